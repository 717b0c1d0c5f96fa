"""What is said about text that is no chord symbol."""

from __future__ import annotations

import re

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from midneck.grammar.chord_parser import ChordError, parse_chord
from midneck.grammar.limits import MAX_SYMBOL


@pytest.mark.parametrize(("text", "said"), [
    ("", "column 1: there is no chord symbol; expected a root from A to G"),
    ("dm7", "column 1: roots are capitals 'd'; .*did you mean Dm7?"),
    ("c", "column 1: roots are capitals 'c'; .*did you mean C or Cm?"),
    ("bb7", "column 1: roots are capitals 'b'; .*did you mean Bb7?"),
    ("Hm7", "column 1: H is written B here, and the German B is Bb 'H'; .*did you mean Bm7?"),
    ("N.C.", "column 1: N.C. is silence, not a chord"),
    ("X7", "column 1: not a root 'X'; expected a root from A to G"),
    ("Cmoj7", "column 3: not part of a chord 'oj7'; .*did you mean Cmaj7?"),
    ("Ebdom8", "column 3: not a quality 'dom8'; .*did you mean Eb7?"),
    ("Bbbmoj7", "column 5: not part of a chord 'oj7'; .*did you mean Bbbmaj7?"),
    ("Fxmoj7", "column 4: not part of a chord 'oj7'; .*did you mean Fxmaj7?"),
    ("Bbx7", "column 3: not a quality 'x7'; .*did you mean Bb7, Bbm7 or Bbmaj7\\?"),
    ("C7x9", "column 3: not part of a chord 'x9'; expected a changed degree such as b9"),
    ("C7addx9", "column 3: not part of a chord 'addx9'"),
    ("Cnone", "column 2: not a quality 'none'"),
    ("Cmoj7/Exx", "column 3: not part of a chord 'oj7/Exx'; .*did you mean Cmaj7?"),
    ("C79", "column 2: not a quality '79'; expected a quality such as"),
    ("C7b8", "column 3: not part of a chord 'b8'; expected a changed degree such as b9"),
    ("C/e", "column 3: not a bass note 'e'; expected a bass note.*did you mean C/E?"),
    ("C/h", "column 3: not a bass note 'h'; .*did you mean C/B?"),
    ("Cm7/", "column 5: the bass is missing; expected a bass note from A to G"),
    ("C/E/G", "column 4: not part of a chord '/G'"),
    ("C7(b9", "the bracket is not closed '\\(b9'; expected \\); did you mean C7\\(b9\\)?"),
    ("C7(", "column 3: the bracket is not closed '\\('; expected \\)"),
    ("C7)", "column 3: this closes nothing"),
    ("C7()", "column 3: there is nothing in the brackets"),
    ("C" * (MAX_SYMBOL + 1), f"column {MAX_SYMBOL + 1}: this is too long for a chord symbol"),
])  # fmt: skip
def test_messages_say_where_what_and_what_instead(text: str, said: str) -> None:
    with pytest.raises(ChordError, match=said.replace("?", "\\?")):
        parse_chord(text)


def test_an_error_carries_its_parts() -> None:
    with pytest.raises(ChordError) as caught:
        parse_chord("F♯m7/g♯")
    error = caught.value
    assert (error.column, error.text, error.suggestion) == (6, "g♯", "F♯m7/G♯")
    assert error.expected == "a bass note from A to G"
    assert isinstance(error, ValueError)


@pytest.mark.parametrize(
    "text", ["Dmn7", "Cmajr7", "Gsuss4", "Abdimm", "Bb7suss", "C#hlfdim", "Fadd"]
)
def test_suggestions_can_be_read(text: str) -> None:
    with pytest.raises(ChordError) as caught:
        parse_chord(text)
    assert caught.value.suggestion
    parse_chord(caught.value.suggestion)


PIECES = st.sampled_from([
    "C", "F#", "Bb", "A♭", "m", "maj", "M", "-", "+", "7", "9", "11", "13", "6", "/", "(", ")", ",",
    "b", "#", "♭", "♯", "5", "sus4", "add", "no", "alt", "dim", "o", "ø", "△", "x", "0", "2", " ",
])  # fmt: skip


@pytest.mark.slow
@given(st.text(max_size=100) | st.lists(PIECES, max_size=9).map("".join))
@example("C" + "(" * 70)
@example("C7" + "b9" * 38)
@example("C" + "\x00")
@example("C𝄪𝄪")
def test_nothing_else_is_raised_and_what_is_read_reads_back(text: str) -> None:
    error = None
    try:
        chord = parse_chord(text)
    except ChordError as caught:
        error = caught
    if error is None:
        assert parse_chord(str(chord)) == chord
    else:
        assert 1 <= error.column <= max(len(text), MAX_SYMBOL) + 1
        assert re.match(r"column \d+: ", str(error))
