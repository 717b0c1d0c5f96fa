"""Pins in the text of a tune: only the brackets behind the chosen chord change."""

from __future__ import annotations

import midneck
import pytest
from midneck.grammar.errors import SourcePosition
from midneck.grammar.text.reader import read_sheet
from midneck.render.desk.text_places import with_pin

TEXT = "Title: Pins\n\nA:\n| Dm7 / G7<x 10 9 10 x x>(hold) / | Cmaj7 ||\n"
CHART = midneck.chart("| Dm7 | G7 | Cmaj7 | % |\n")


def test_a_grip_is_set_changed_and_taken_away() -> None:
    grip = CHART.plan.grips[0]
    assert grip is not None
    written = read_sheet(TEXT).chords
    text = TEXT
    pinned = with_pin(text, written[0].position, "Dm7", grip)
    frets = " ".join("x" if fret is None else str(fret) for fret in grip.frets)
    assert f"| Dm7<{frets}> / G7<x 10 9 10 x x>(hold)" in pinned
    assert read_sheet(pinned).chords[0].pin == grip.frets
    assert with_pin(pinned, written[0].position, "Dm7", None) == text
    changed = with_pin(text, written[1].position, "G7", None)
    assert "G7(hold) / | Cmaj7" in changed


@pytest.mark.parametrize("place", [(1, 1), (4, 4), (9, 1), (0, 0), (4, 900)])
def test_a_place_without_that_chord_changes_nothing(place: tuple[int, int]) -> None:
    assert with_pin(TEXT, SourcePosition(*place), "Dm7", CHART.plan.grips[0]) == TEXT
