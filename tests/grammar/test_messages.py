"""Lines with a slip as people type them: the cause and the fix, by the text of the message."""

from __future__ import annotations

import pytest
from midneck.grammar.errors import SheetError
from midneck.grammar.text.reader import read_sheet

#: What is typed, the place, the cause with the text that is wrong, the fix.
SLIPS = [
    ("| Bbm(maj7 | F |", "1:6", "the bracket is not closed '(maj7'", "Bbm(maj7)"),
    ("A:\n| C |\nC: agian", "3:4", "neither bars nor 'again' 'agian'", "C: again"),
    ("| C | F To Cdoa |", "1:9", "neither a chord nor a sign 'To Cdoa'", "To Coda"),
    ("| C | G D.C. al Cdoa |", "1:14", "neither a chord nor a sign 'al Cdoa'", "al Coda"),
    ("| C | Fien |", "1:7", "neither a chord nor a sign 'Fien'", "Fine"),
    ("| F//A |", "1:5", "two slashes before a bass note '/A'", "F/A"),
    ("| F /A |", "1:5", "a slash stands apart from its chord", "F/A or F / A"),
    ("| F#m7 – B7 |", "1:8", "a dash between chords '-'", "F#m7 B7"),
    ("| F#m7-B7 |", "1:3", "a dash between chords 'F#m7-B7'", "F#m7 B7"),
    ("| C\\E |", "1:4", "not a quality '\\E'", "C/E"),
    ("| C7(B9) |", "1:6", "not part of a chord 'B9)'", "C7(b9)"),
    ("Time: 3\\4\n| C |", "1:7", "not a meter '3\\4'", "3/4"),
    ("Time: waltz\n| C |", "1:7", "not a meter 'waltz'", "3/4"),
    ("Key: H\n| C |", "1:6", "not a key 'H'", "B"),
    ("Key: Hm\n| C |", "1:6", "not a key 'Hm'", "Bm"),
    ("Key: c\n| C |", "1:6", "not a key 'c'", "C or Cm"),
    ("Tempo: medium swing\n| C |", "1:8", "not a tempo 'medium swing'", "Feel: medium swing"),
    ("| C |\nBridge: softly", "2:1", "no header of this name can stand among the bars 'Bridge'",
     '"Bridge: softly"'),
    ("| / C F | F6 |", "1:3", "3 beats in a first bar of 4/4 that begins with rests '/'",
     "/ C F /"),
    ("| Bb7/ F | C |", "1:3", "a space inside a chord symbol 'Bb7/ F'", "Bb7/F"),
    ("| C | Bb7/   F# |", "1:7", "a space inside a chord symbol 'Bb7/   F#'", "Bb7/F#"),
    ("| C  maj7 | F |", "1:3", "a space inside a chord symbol 'C  maj7'", "Cmaj7"),
    ("| F - 7 | C |", "1:3", "a space inside a chord symbol 'F - 7'", "F-7"),
    ("| C Am – 7 |", "1:5", "a space inside a chord symbol 'Am - 7'", "Am-7"),
    ("| C m - 7 | F |", "1:3", "a space inside a chord symbol 'C m'", "Cm"),
    ("| Bb7 push | C |", "1:7", "a push or a hold that cannot be read 'push'", "(push)"),
    ("| Bb7 F Hold |", "1:9", "a push or a hold that cannot be read 'Hold'", "(hold)"),
    ("| C fermata |", "1:5", "a push or a hold that cannot be read 'fermata'", "(fermata)"),
    ("| C To Coda | D D.C. al Coda |\nCode:\n| F |", "2:1",
     "there is no Coda to go to, but a label like it 'Code'", "Coda"),
]  # fmt: skip

#: Qualities that could stand for several, each of which would change the music.
DOUBTFUL = [
    ("C^7", "Cmaj7 or C7"),
    ("Eb^9", "Ebmaj9 or Eb9"),
    ("C^", "Cmaj7"),
    ("Ch7", "Cm7b5 or C7"),
    ("F#h", "F#m7b5"),
    ("Bbx7", "Bb7, Bbm7 or Bbmaj7"),
]


def message_of(text: str) -> str:
    with pytest.raises(SheetError) as caught:
        read_sheet(text, "tune.txt")
    return str(caught.value).splitlines()[0]


@pytest.mark.parametrize(("text", "place", "cause", "fix"), SLIPS, ids=[one[0] for one in SLIPS])
def test_a_slip_is_told_with_its_cause_and_its_fix(
    text: str, place: str, cause: str, fix: str
) -> None:
    message = message_of(text)
    assert message.startswith(f"tune.txt:{place}: {cause}")
    assert message.endswith(f"; did you mean {fix}?")


@pytest.mark.parametrize(
    "bar", ["C / 7", "C(push) 7", "C=4 7", "C - - 7", "(C) 7", "C         7", "C - Dm7 - F"]
)
def test_what_stands_apart_for_a_reason_is_no_symbol_with_a_space_in_it(bar: str) -> None:
    assert "a space inside a chord symbol" not in message_of(f"| {bar} |")


@pytest.mark.parametrize("bar", ["Bb7/ F G7", "Bb7/ F /", "Bb7 / F /", "Bb7/F"])
def test_a_slash_that_fits_the_bar_is_a_beat(bar: str) -> None:
    beats = [chord.beats for chord in read_sheet(f"| {bar} |").chords]
    assert sum(beats) == 4


@pytest.mark.parametrize(
    ("label", "is_near"), [("Code", True), ("Codas", True), ("Codetta", False), ("Solo", False)]
)
def test_a_label_near_coda_is_remarked_on_where_there_is_none(label: str, is_near: bool) -> None:
    remark = f"line 2: section '{label}', kept as it is; did you mean Coda?"
    assert read_sheet(f"| C |\n{label}:\n| F |").warnings == ((remark,) if is_near else ())
    other = f"| C To Coda | D D.C. al Coda |\nCoda:\n| F |\n{label}:\n| F |"
    assert read_sheet(other).warnings == ()


@pytest.mark.parametrize(("symbol", "candidates"), DOUBTFUL)
def test_candidates_are_offered_where_the_music_would_change(symbol: str, candidates: str) -> None:
    assert message_of(f"| {symbol} |").endswith(f"; did you mean {candidates}?")


def test_a_sheet_without_a_fix_for_form_says_so() -> None:
    sheet = read_sheet("Form: ABC\nA:\n| C |\nB:\n| F |\n")
    assert sheet.warnings == (
        "line 1: Form: ABC does not order what is typed (sections A B), which is played as it "
        "stands",
    )


@pytest.mark.parametrize("around", [("", ""), ("Intro:\n| G7 |\n", "Tag:\n| C |\n")])
def test_sections_typed_as_often_as_the_form_names_them_need_no_word(
    around: tuple[str, str],
) -> None:
    sections = "".join(f"{name}:\n| C | F |\n" for name in "AABA")
    sheet = read_sheet(f"Form: AABA\n{around[0]}{sections}{around[1]}")
    assert sheet.warnings == ()
    assert [one.label for one in sheet.sections if one.label in ("A", "B")] == list("AABA")
    assert len(sheet.bars) == 8 + sum(text.count("C |") + text.count("G7") for text in around)


def test_a_capo_is_told_how_to_be_charted() -> None:
    sheet = read_sheet("Capo: 3\n| C |\n")
    assert sheet.warnings == (
        "line 1: grips are for a neck without a capo; if the chords are shapes above it, add "
        "--up 3",
    )
