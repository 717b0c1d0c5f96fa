"""Endings, beats, modes and times as teachers type them, and remarks that name every bar."""

from __future__ import annotations

import pytest
from midneck.grammar.errors import SheetError
from midneck.grammar.form.unfold import unfold
from midneck.grammar.key import parse_key
from midneck.grammar.text.reader import read_sheet

SIGNS = "A:\n|: C7 | F |1. Am7 | E7 :|\n|2. Dm7 | G7 |\n"


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("1st ending: |", "2nd ending: |"),
        ("1st time: ", "2nd Time: "),
        ("First ending:\n|", "Second ending:\n|"),
    ],
)
def test_endings_named_in_words(first: str, second: str) -> None:
    typed = f"A:\n|: C7 | F |\n{first} Am7 | E7 :|\n{second} Dm7 | G7 |\n"
    sheet, signs = read_sheet(typed), read_sheet(SIGNS)
    assert [bar.endings for bar in sheet.bars] == [bar.endings for bar in signs.bars]
    assert [section.label for section in sheet.sections] == ["A"]
    assert unfold(sheet).bars == (0, 1, 2, 3, 0, 1, 4, 5)


def test_an_ending_in_words_keeps_its_columns() -> None:
    with pytest.raises(SheetError) as raised:
        read_sheet("|: C | F |\n1st ending: | Am7 | Qm :|\n2nd ending: | C |\n")
    (problem,) = raised.value.problems
    assert (problem.line, problem.column) == (2, 21)


def test_dots_are_beats() -> None:
    dots, slashes = read_sheet("| C7 . . F7 | Bb . C . |"), read_sheet("| C7 / / F7 | Bb / C / |")
    assert [chord.beats for chord in dots.chords] == [chord.beats for chord in slashes.chords]


@pytest.mark.parametrize(
    ("typed", "meant"), [("C7 - - F7", "C7 / / F7"), ("C7 - F7", "C7 F7"), ("C - - -", "C / / /")]
)
def test_dashes_are_suggested_as_beats_where_two_stand_in_a_row(typed: str, meant: str) -> None:
    with pytest.raises(SheetError) as raised:
        read_sheet(f"| {typed} |")
    assert [problem.suggestion for problem in raised.value.problems] == [meant]


def test_a_pickup_behind_an_intro_is_told_what_to_type() -> None:
    with pytest.raises(SheetError) as raised:
        read_sheet("Intro: | Gm7 | C7 |\nA: | C7 / (pickup) |\n| F |")
    (problem,) = raised.value.problems
    assert "| N.C. / C7 / |" in problem.expected
    sheet = read_sheet("Intro: | Gm7 | C7 |\nA: | N.C. / C7 / |\n| F |")
    assert [chord.beats for chord in sheet.chords[2:4]] == [2, 2]


@pytest.mark.parametrize(
    ("short", "mode"),
    [("ion", "ionian"), ("dor", "dorian"), ("phr", "phrygian"), ("lyd", "lydian"),
     ("mix", "mixolydian"), ("aeo", "aeolian"), ("loc", "locrian")],
)  # fmt: skip
def test_short_names_of_modes(short: str, mode: str) -> None:
    assert parse_key(f"D {short}") == parse_key(f"D {mode}")


@pytest.mark.parametrize("times", ["x3", "(3x)", "(x3)", "3x"])
def test_times_behind_a_repeat(times: str) -> None:
    assert read_sheet(f"|: C | F :| {times}").bars[1].repeat_close == 3


def test_every_uneven_bar_is_named() -> None:
    sheet = read_sheet("Time: 3/4\n| C7 F7 | F |\n| G C | C F |\n")
    assert sheet.warnings == (
        "line 2: 2 chords in a bar of 3/4 have 1½ beats each; type C7 / F7 if the first is "
        "longer; so have G C in line 3, C F in line 3",
    )


def test_a_da_capo_plays_the_intro_again() -> None:
    sheet = read_sheet("Intro:\n| Gm7 |\nA:\n| C | F Fine | G D.C. al Fine |\n")
    assert unfold(sheet).bars == (0, 1, 2, 3, 0, 1, 2)
