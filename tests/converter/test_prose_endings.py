"""The bars of areas across endings: those that are played; an arrow leads to the next chord played.

From the signs of repeats and endings (common practice, no source).
"""

from __future__ import annotations

import pytest
from midneck.converter.prose.areas import area_lines
from midneck.converter.prose.facts import played_text
from midneck.grammar.text.reader import read_sheet
from support.harmony import analysed

ENDINGS = """Key: C

|: Cmaj7 | Am7 | Dm7 | G7 |1. Em7 | A7 :|2. Cmaj7 | C6 | Dm7 | G7 ||
"""


@pytest.mark.parametrize(
    ("bars", "text"),
    [
        ((3, 7), "3–4, 7"),
        ((3, 5), "3–5"),
        ((4, 8), "4, 7–8"),
        ((3, 9), "3–4, 7–9"),
        ((5, 6), "5–6"),
        ((10, 1), "10→1"),
        ((4, 4), "4"),
    ],
)
def test_bars_of_an_ending_that_is_skipped_are_not_named(bars: tuple[int, int], text: str) -> None:
    assert played_text(read_sheet(ENDINGS), bars) == text


def test_an_area_of_the_second_ending_does_not_claim_the_first() -> None:
    sheet = read_sheet(ENDINGS)
    analysis = analysed(sheet)
    lines = area_lines(sheet, analysis.areas)
    assert "  bars 3–4, 7: ii-V-I in C major (Dm7 G7 Cmaj7)" in lines
    assert "  bars 3–4: ii-V in C major (Dm7 G7)" in lines


def test_the_goal_before_endings_is_in_the_first_though_the_second_is_played_more() -> None:
    line = "|: Cmaj7 | Am7 | Dm7 | G7 |1. Cmaj7 | A7 :|2,3. C6 | F6 |"
    reading = analysed(read_sheet(f"Key: C\n\n{line}\n")).readings[3]
    assert reading is not None
    assert reading.resolves_to == 4


@pytest.mark.parametrize("first", ["Cmaj7 | A7", "Em7 | A7", "C6 | D7"])
def test_a_dominant_before_endings_resolves_to_the_first_ending(first: str) -> None:
    sheet = read_sheet(f"Key: C\n\n|: Cmaj7 | Am7 | Dm7 | G7 |1. {first} :|2. Cmaj7 | C6 |\n")
    reading = analysed(sheet).readings[3]
    assert reading is not None
    assert reading.resolves_to == 4
