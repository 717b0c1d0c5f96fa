"""Progressions as musicians type them: numerals, chords in a key, bars, slashes, and mistakes.

What a numeral means is common practice, no source; the chords expected here were worked out by hand
in C.
"""

from __future__ import annotations

import pytest
from midneck.grammar.errors import Problem, SheetError
from midneck.grammar.key import parse_key
from midneck.grammar.limits import MAX_PROGRESSION, MAX_PROGRESSION_CHORDS
from midneck.grammar.mistakes import MISTAKES, PROGRESSION_MISTAKES
from midneck.grammar.progression import Progression
from midneck.grammar.sheet import Meter
from midneck.grammar.text.progression import (
    chords_typed,
    is_music,
    read_progression,
)

C = parse_key("C")

#: What is typed → its chords in C, and its canonical text.
TYPED = {
    "ii7 V7 I6": ("Dm7 G7 C6", "ii7 | V7 | I6"),
    "ii7 | V7 | I6 | %": ("Dm7 G7 C6", "ii7 | V7 | I6 | %"),
    "ii–V–I": ("Dm G C", "ii | V | I"),
    "ii7-V7-Imaj7": ("Dm7 G7 Cmaj7", "ii7 | V7 | Imaj7"),
    "ii7, V7, I△": ("Dm7 G7 Cmaj7", "ii7 | V7 | Imaj7"),
    "iiø7 V7b9 i6": ("Dm7b5 G7(b9) Cm6", "iiø7 | V7(b9) | i6"),
    "ii7b5 V7 i(maj7)": ("Dm7b5 G7 Cm(maj7)", "iiø7 | V7 | i(maj7)"),
    "ii V#9 i": ("Dm G7(#9) Cm", "ii | V7(#9) | i"),
    "iib9 V♭9♭13 V#11/ii": ("Dm7(b9) G7(b9,b13) A7(#11)", "ii7(b9) | V7(b9,b13) | V7(#11)/ii"),
    "V#5 iib5 Vb5 subVb9": ("Gaug Ddim G(b5) Db7(b9)", "V+ | ii° | V(b5) | subV7(b9)"),
    "V7(b9,no5) I(add9,no3)": ("G7(b9,no5) Cadd9(no3)", "V7(b9,no5) | Iadd9(no3)"),
    "bII7": ("Db7", "bII7"),
    "♭II7 ♯iv°7": ("Db7 F#dim7", "bII7 | #iv°7"),
    "subV7 I": ("Db7 C", "subV7 | I"),
    "subV7/IV IV": ("Gb7 F", "subV7/IV | IV"),
    "V7/ii ii7": ("A7 Dm7", "V7/ii | ii7"),
    "ii7/IV V7/IV IVmaj7": ("Gm7 C7 Fmaj7", "ii7/IV | V7/IV | IVmaj7"),
    "vii°7/V V": ("F#dim7 G", "vii°7/V | V"),
    "V7/bVI": ("Eb7", "V7/bVI"),
    "IVmaj7 iv-6 bVII7": ("Fmaj7 Fm6 Bb7", "IVmaj7 | iv6 | bVII7"),
    "iim7 ii-7 II-7 IIm7": ("Dm7 Dm7 Dm7 Dm7", "ii7 | ii7 | ii7 | ii7"),
    "I6/9 vi9 V13 V7(b9,#11)": (
        "C6/9 Am9 G13 G7(b9,#11)",
        "I6/9 | vi9 | V13 | V7(b9,#11)",
    ),
    "V7sus4 V+7 iii VI7 v": ("G7sus4 G7#5 Em A7 Gm", "V7sus4 | V7#5 | iii | VI7 | v"),
    "| ii7 V7 | I6 |": ("Dm7 G7 C6", "ii7 V7 | I6"),
    "| ii7 V7 |": ("Dm7 G7", "| ii7 V7 |"),
    "ii7 / / V7 | I6": ("Dm7 G7 C6", "ii7 / / V7 | I6"),
    "minor: ii7 V7": ("Dm7 G7", "minor: ii7 | V7"),
    "major: iiø7 V7": ("Dm7b5 G7", "major: iiø7 | V7"),
}


@pytest.mark.parametrize("text", TYPED)
def test_numerals_are_read_as_musicians_type_them(text: str) -> None:
    chords, canonical = TYPED[text]
    progression = read_progression(text)
    assert " ".join(str(numeral.chord_in(C)) for numeral in progression.numerals) == chords
    assert str(progression) == canonical


@pytest.mark.parametrize("text", TYPED)
def test_a_progression_reads_back_from_its_text(text: str) -> None:
    progression = read_progression(text)
    assert read_progression(str(progression)) == progression


@pytest.mark.parametrize(
    ("text", "mode"),
    [
        ("ii7 V7 I6", "major"), ("iiø7 V7 i6", "minor"), ("iiø7 V7", "minor"), ("V7", "major"),
        ("iiø7 V7 Imaj7", "major"), ("i6 VI7 I6", "major"), ("iiø7/vi V7/vi", "major"),
        ("Minor: V7", "minor"),
    ],
)  # fmt: skip
def test_the_mode_is_that_of_the_tonic_else_of_the_ii(text: str, mode: str) -> None:
    assert read_progression(text).mode == mode


def test_chords_in_a_key_become_numerals() -> None:
    assert str(read_progression("Dm7 G7 C6", C)) == "ii7 | V7 | I6"
    assert str(read_progression("F#m7 | B7 E7 | A6", parse_key("A"))) == "vi7 | II7 V7 | I6"
    assert str(read_progression("Ebm7 Ab7 Dbmaj7", parse_key("Db"))) == "ii7 | V7 | Imaj7"
    minor = read_progression("Bm7b5 E7b9 Am6 Fmaj7", parse_key("Am"))
    assert (str(minor), minor.mode) == ("iiø7 | V7(b9) | i6 | bVImaj7", "minor")


def test_the_mode_of_a_stated_key_is_kept_and_reads_back() -> None:
    progression = read_progression("Dm7 G7", parse_key("Cm"))
    assert (str(progression), progression.mode) == ("minor: ii7 | V7", "minor")
    assert read_progression(str(progression)) == progression


@pytest.mark.parametrize(
    ("text", "meter", "lengths"),
    [
        ("ii7 V7 I6", Meter(4, 4), "1 1 1"),
        ("| ii7 V7 | I6 | %", Meter(4, 4), "1/2 1/2 2"),
        ("| ii7 / / V7 | I6", Meter(4, 4), "3/4 1/4 1"),
        # Three chords in four beats: the last one takes what is left.
        ("| ii7 V7 I6 |", Meter(4, 4), "1/4 1/4 1/2"),
        ("| ii7 V7 I6 |", Meter(3, 4), "1/3 1/3 1/3"),
        ("| ii7 V7 |", Meter(3, 4), "1/2 1/2"),
        # One chord sounds on, several are played again, as `%` says in a sheet.
        ("| ii7 V7 | % | I6 | % | %", Meter(4, 4), "1/2 1/2 1/2 1/2 3"),
    ],
)
def test_bars_are_shared_as_in_a_sheet(text: str, meter: Meter, lengths: str) -> None:
    found = read_progression(text, meter=meter).lengths(meter)
    assert found is not None
    assert " ".join(map(str, found)) == lengths


def test_a_repeated_bar_of_several_chords_is_played_again() -> None:
    progression = read_progression("| ii7 V7 | % | I6 | %")
    assert [str(one) for one in progression.numerals] == ["ii7", "V7", "ii7", "V7", "I6"]
    assert str(progression) == "ii7 V7 | % | I6 | %"
    assert read_progression(str(progression)) == progression


def test_slashes_that_do_not_fill_a_meter_give_no_lengths() -> None:
    assert read_progression("| ii7 / / V7 |").lengths(Meter(3, 4)) is None


def problems_of(text: str) -> tuple[Problem, ...]:
    with pytest.raises(SheetError) as caught:
        read_progression(text)
    return caught.value.problems


EXAMPLES = [(label, text) for label, kind in MISTAKES.items() for text in kind.progressions]


@pytest.mark.parametrize(("label", "text"), EXAMPLES, ids=[label for label, _ in EXAMPLES])
def test_each_example_makes_its_mistake(label: str, text: str) -> None:
    problems = problems_of(text)
    found = {problem.label for problem in problems}
    assert label in found
    # A chord beside the mistake may want its key as well.
    assert found <= {label, "key-unknown"}
    for problem in problems:
        assert text[problem.column - 1 :].startswith(problem.text)


def test_every_mistake_has_examples_but_those_of_length_and_key() -> None:
    without = {label for label, kind in PROGRESSION_MISTAKES.items() if not kind.progressions}
    assert without == {"progression-too-long", "key-unknown"}
    assert [one.label for one in problems_of("Dm7 G7")] == ["key-unknown"]
    assert [one.label for one in problems_of("I" * (MAX_PROGRESSION + 1))] == [
        "progression-too-long"
    ]
    assert len(read_progression("I " * MAX_PROGRESSION_CHORDS).numerals) == MAX_PROGRESSION_CHORDS


def test_all_mistakes_are_told_at_once_with_carets() -> None:
    with pytest.raises(SheetError) as caught:
        read_progression("ii7xx | V7 qqq | IIII6")
    assert str(caught.value) == (
        "the progression:1:4: not part of a chord 'xx'; expected a changed degree such as b9, #11,"
        " add9 or no5; did you mean iim7?\n"
        "    ii7xx | V7 qqq | IIII6\n"
        "       ^^\n"
        "the progression:1:12: neither a numeral nor a chord 'qqq'; expected a numeral such as "
        "ii7, bVII7, V7/ii\n"
        "    ii7xx | V7 qqq | IIII6\n"
        "               ^^^\n"
        "the progression:1:18: no such degree 'IIII6'; expected I to VII, all capitals or all "
        "small\n"
        "    ii7xx | V7 qqq | IIII6\n"
        "                     ^^^^^"
    )


def test_the_chords_of_typed_chords_are_known_before_their_key() -> None:
    assert [str(chord) for chord in chords_typed("Dm7 G7 | C6")] == ["Dm7", "G7", "C6"]
    assert chords_typed("ii7 V7 I6") == ()


@pytest.mark.parametrize(
    ("text", "found"), [("ii7", True), ("Dm7", True), ("backdoor", False), ("Bakdoor", False)]
)
def test_music_is_told_from_a_name(text: str, found: bool) -> None:
    assert is_music(text) is found


def test_a_progression_begins_with_a_chord() -> None:
    with pytest.raises(ValueError, match="begins with a chord"):
        Progression(((),))
