"""Two charts of one tune side by side: how far each hand moves, and which grips differ.

Takes two `CompingChart`s with the same chords, gives lines of text for a terminal of 80 columns.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from ...grammar.errors import MidneckError
from ..chart import CompingChart
from ..explain import difficulty_of, hard_changes
from ..hand.grip import Grip, frets_text
from .facts import counted, title_text

_FIRST: Final = 20
_OTHER: Final = 29


class ChordsDifferError(MidneckError, ValueError):
    """The two charts do not have the same number of chords in their written bars."""


def comparison_lines(charts: Sequence[CompingChart], names: Sequence[str]) -> list[str]:
    """Two charts with a name each, side by side. Raises ChordsDifferError."""
    left, right = charts
    if len(left.sheet.chords) != len(right.sheet.chords):
        raise ChordsDifferError(
            f"the tunes have {counted(len(left.sheet.chords), 'chord')} and "
            f"{len(right.sheet.chords)}: they cannot be set side by side"
        )
    rows = [("", *names), *_figures(charts)]
    return [title_text(left.sheet), "", *map(_row, rows), "", *_grips(left, right)]


def _row(cells: Sequence[str]) -> str:
    first, *others = cells
    return (first.ljust(_FIRST) + "".join(cell.ljust(_OTHER) for cell in others)).rstrip()


def _figures(charts: Sequence[CompingChart]) -> Iterator[tuple[str, ...]]:
    """What each hand does in a chorus."""
    travels = [chart.plan.travel for chart in charts]
    yield ("shifts", *(f"{one.shifts} in {counted(one.changes, 'change')}" for one in travels))
    yield ("shifting", *(counted(one.shift_frets, "fret") for one in travels))
    yield ("frets", *(f"{one.lowest_fret} to {one.highest_fret}" for one in travels))
    yield ("outside window", *(counted(one.outside_window, "chord") for one in travels))
    yield ("widest reach", *(f"{one.widest_reach_mm:.0f} mm" for one in travels))
    if charts[0].player == charts[1].player:
        yield ("effort", *(f"{chart.plan.effort_mm:.0f} mm" for chart in charts))
    yield ("difficulty", *(f"{difficulty_of(chart).total:.1f} of 10" for chart in charts))
    yield ("hardest change", *map(_hardest, charts))


def _hardest(chart: CompingChart) -> str:
    changes = hard_changes(chart, 1)
    if not changes:
        return "none"
    sheet, hardest = chart.sheet, changes[0]
    start, goal = (sheet.chords[index].symbol for index in (hardest.start, hardest.goal))
    return f"bar {sheet.bar_number_of(hardest.goal)}, {start} to {goal}"


def _grips(left: CompingChart, right: CompingChart) -> Iterator[str]:
    """The chords that have different grips, and how many have the same."""
    pairs = list(zip(left.plan.grips, right.plan.grips, strict=True))
    sounding = sum(one is not None for one, _ in pairs)
    same = sum(one == other for one, other in pairs if one is not None)
    yield f"Grips: the same for {same} of {counted(sounding, 'chord')}"
    numbers = left.sheet.bar_numbers
    for index, (one, other) in enumerate(pairs):
        if one != other:
            symbols = [chart.sheet.chords[index].symbol for chart in (left, right)]
            symbol = symbols[0] if symbols[0] == symbols[1] else " / ".join(symbols)
            yield _row((f"bar {numbers[index]} {symbol}", _grip(one), _grip(other)))


def _grip(grip: Grip | None) -> str:
    """Frets and fingers: `3 x 3 3 x x, 2 3 3`; `silent` without a grip."""
    if grip is None:
        return "silent"
    fingers = " ".join(str(finger) for finger in grip.fingers if finger is not None)
    return f"{frets_text(grip.frets)}, {fingers}"
