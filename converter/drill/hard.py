"""The hard changes of a chart: where going from one grip to the next asks most of the hand.

Takes a finished chart, gives the changes of the most effort, in mm, hurry counted as the planner
counts it. Changes between the same two shapes the same way apart are one, wherever on the neck and
whichever comes first: a loop goes there and back.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from ...grammar.sheet import Frets
from ..chart import CompingChart
from ..hand.changes import change_between
from ..hand.moves import travel_between
from ..hand.playings import playings
from ..hand.sentences import sentence_of

#: How many hard changes a practice sheet has.
MOST_CHANGES: Final = 3


@dataclass(frozen=True, slots=True)
class HardChange:
    """A change from chord `start` to chord `goal`, indices into `Sheet.chords`, and its effort.

    `bars` are their written bars; `sentence` says what moves.
    """

    start: int
    goal: int
    bars: tuple[int, int]
    effort_mm: float
    sentence: str


def hard_changes(chart: CompingChart, count: int = MOST_CHANGES) -> tuple[HardChange, ...]:
    """The changes of the most effort, the hardest first; none where nothing moves."""
    found: dict[frozenset[Frets], HardChange] = {}
    numbers = [bar.number for bar in chart.sheet.bars for _ in bar.chords]
    played = playings(chart.sheet, chart.form)
    for here, there in pairwise((*played, *played[:1])):
        start, goal = chart.plan.grips[here.chord], chart.plan.grips[there.chord]
        chords = chart.sheet.chords[here.chord].chord, chart.sheet.chords[there.chord].chord
        if start is None or goal is None or chords[0] is None or chords[1] is None:
            continue
        hurry = chart.player.effort.hurry(here.seconds)
        effort = travel_between(start, goal, chart.player) * hurry
        if start == goal or effort <= 0:
            continue
        key = _move(start.frets, goal.frets)
        if key not in found or found[key].effort_mm < effort:
            change = change_between(start, goal, (chords[0], chords[1]))
            sentence = sentence_of(change, (str(chords[0]), str(chords[1])))
            bars = numbers[here.chord], numbers[there.chord]
            found[key] = HardChange(here.chord, there.chord, bars, effort, sentence)
    hardest = sorted(found.values(), key=lambda one: -one.effort_mm)
    return tuple(hardest[:count])


def _move(start: Frets, goal: Frets) -> frozenset[Frets]:
    """Both shapes, counted from the lowest fret of the two."""
    base = min(fret for fret in (*start, *goal) if fret is not None)
    return frozenset(
        tuple(None if fret is None else fret - base for fret in frets) for frets in (start, goal)
    )
