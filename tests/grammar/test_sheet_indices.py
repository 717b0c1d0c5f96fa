"""What a sheet answers about its bars, chords and sections, against a plain walk over them."""

from __future__ import annotations

import pickle
from dataclasses import replace

import pytest
from midneck.grammar.sheet import Sheet
from midneck.grammar.text.reader import read_sheet

TUNE = read_sheet(
    """Key: F

A:
| C7 (pickup) |
| Gm7 C7 | % | F6 / / D7 |
Key: C
| Dm7 |

B:
| N.C. | G7 C6 |
"""
)
EMPTY_END = read_sheet("A:\n| C | % |\n")


@pytest.mark.parametrize("sheet", [TUNE, EMPTY_END])
def test_chords_and_bars_know_each_other(sheet: Sheet) -> None:
    walked = [(at, chord) for at, bar in enumerate(sheet.bars) for chord in bar.chords]
    assert list(sheet.chords) == [chord for _, chord in walked]
    assert [sheet.bar_of(index) for index in range(len(sheet.chords))] == [at for at, _ in walked]
    for at, bar in enumerate(sheet.bars):
        assert tuple(sheet.chords[index] for index in sheet.chords_of(at)) == bar.chords
        assert sheet.chords_of(at).start == sheet.first_chords[at]
    assert sheet.first_chords[-1] == len(sheet.chords)


def test_a_bar_without_chords_holds_none() -> None:
    assert TUNE.first_chords == (0, 1, 3, 3, 5, 6, 7, 9)
    assert TUNE.chords_of(2) == range(3, 3)
    assert TUNE.bar_of(3) == 3
    assert TUNE.bar_numbers == (0, 1, 1, 3, 3, 4, 5, 6, 6)


@pytest.mark.parametrize("chord", [-1, 9])
def test_no_bar_holds_a_chord_that_is_not_there(chord: int) -> None:
    with pytest.raises(IndexError, match=f"the sheet has no chord {chord}"):
        TUNE.bar_of(chord)


def test_bars_know_their_section_and_label() -> None:
    assert TUNE.bar_sections == (0, 0, 0, 0, 1, 2, 2)
    assert TUNE.bar_labels == ("A", "A", "A", "A", "A", "B", "B")


def test_a_section_that_is_only_named_holds_no_bars() -> None:
    sheet = read_sheet("A:\n| C | F |\n\nB:\n| G7 |\n\nA:\n")
    assert sheet.bar_sections == (0, 0, 1)
    assert sheet.bar_labels == ("A", "A", "B")


def test_the_answers_follow_a_replaced_bar_and_survive_pickling() -> None:
    shorter = replace(TUNE, bars=TUNE.bars[:2])
    assert shorter.first_chords == (0, 1, 3)
    again = pickle.loads(pickle.dumps(shorter))
    assert (again, again.chords) == (shorter, shorter.chords)


def test_equal_sheets_are_equal_whatever_was_asked() -> None:
    assert replace(TUNE) == TUNE
    assert hash(TUNE) == hash(replace(TUNE))


def test_the_repr_of_a_sheet_is_one_line() -> None:
    assert repr(TUNE) == "<Sheet '', F major, bars: 7, chords: 9>"
    assert repr(EMPTY_END) == "<Sheet '', no key, bars: 2, chords: 1>"
