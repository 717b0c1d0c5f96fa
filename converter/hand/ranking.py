"""What is hard in a finished chart, and what else could be played, each in one ranking.

Takes a `CompingChart` and answers for the player and the options that its plan was made for:
`hard_changes` ranks its changes, `difficulty_of` sums the tune up in one figure, `alternatives`
ranks the other grips of its chords. Efforts are in mm (see `Effort`), chord indices point into
`Sheet.chords`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from ...grammar.sheet import Frets
from ..chart import CompingChart
from ..timeline import Playing, playings
from .costs import travel_between
from .fingerings import shape_of
from .graph import all_labels, narrowed
from .grip import Grip
from .plan import GripPlan, PlanError
from .planner import FORBIDDEN, PlanTask, plan_from, reach_mm, task_of
from .solver import min_marginals, solve, solve_within

#: How many hard changes an explanation, a practice sheet and a second page name.
HARD_CHANGES: Final = 3

#: Where each part of the difficulty reaches its full 2 points. Settings: slow blues come out low,
#: fast tunes with a change every two beats high.
FULL_PACE_PER_MINUTE: Final = 120.0
FULL_SHIFT_FRETS: Final = 3.0
FULL_LEAP_FRETS: Final = 8.0
FULL_REACH_MM: Final = 90.0
FULL_SHAPES: Final = 12.0


@dataclass(frozen=True, slots=True)
class PlayedChange:
    """A change of grips that a chorus makes: from chord `start` to chord `goal`.

    `grips` are the two grips, `times` says how often the change is made in a chorus; `effort_mm` is
    the effort of its travel made once, in the shortest time that the chorus leaves for it.
    """

    start: int
    goal: int
    grips: tuple[Grip, Grip]
    times: int
    effort_mm: float


def played_changes(chart: CompingChart) -> tuple[PlayedChange, ...]:
    """Every change of a chorus, the loop back to the top included, in order of first playing.

    A chord that is struck again in the same grip is no change.
    """
    found: dict[tuple[int, int, Grip, Grip], list[float]] = {}
    played = list(_played(chart))
    for (here, start), (there, goal) in pairwise((*played, *played[:1])):
        if start != goal:
            found.setdefault((here.chord, there.chord, start, goal), []).append(here.seconds)
    player = chart.player
    return tuple(
        PlayedChange(
            *(key[0], key[1]), (key[2], key[3]), len(seconds),
            travel_between(key[2], key[3], player) * player.effort.hurry(min(seconds)),
        )
        for key, seconds in found.items()
    )  # fmt: skip


def hard_changes(chart: CompingChart, count: int = HARD_CHANGES) -> tuple[PlayedChange, ...]:
    """The hardest changes of a chorus, the hardest first; none where nothing moves.

    This is the one ranking of what to practise: explanation, practice sheet and second page take
    its first entries. It ranks by effort, as the planner does: a short time counts, a finger that
    stays down helps. How often a change is made does not count, since a change that fails once
    stops the tune. Changes between the same two shapes at the same distance are one exercise for
    the hand, on any fret and in either direction: the hardest of them stands for all. Changes of
    equal effort come in order of first playing. Common practice of teachers, no source.
    """
    found: dict[frozenset[Frets], PlayedChange] = {}
    for change in played_changes(chart):
        key = _shapes(change.grips)
        if change.effort_mm > 0 and (key not in found or found[key].effort_mm < change.effort_mm):
            found[key] = change
    return tuple(sorted(found.values(), key=lambda change: -change.effort_mm)[:count])


def _shapes(grips: tuple[Grip, Grip]) -> frozenset[Frets]:
    """The frets of both grips, counted from the lowest of all."""
    base = min(fret for grip in grips for fret in grip.frets if fret is not None)
    return frozenset(
        tuple(None if fret is None else fret - base for fret in grip.frets) for grip in grips
    )


def _played(chart: CompingChart) -> Iterator[tuple[Playing, Grip]]:
    """The playings of a chorus with their grips, silence left out."""
    grips = [grip for grip in chart.plan.playings if grip is not None]
    played = playings(chart.timeline, chart.options.tempo)
    yield from zip(played, grips, strict=True)


@dataclass(frozen=True, slots=True)
class Difficulty:
    """The parts of difficulty, each 0 to 2; 2 from its `FULL_` value on.

    `pace`: changes a minute. `shifting`: frets that the hand shifts for each change. `leap`: the
    widest shift. `reach`: the widest spread of a grip. `shapes`: the number of different shapes.
    It orders tunes for one player; it measures nothing.
    """

    pace: float
    shifting: float
    leap: float
    reach: float
    shapes: float

    @property
    def total(self) -> float:
        """The figure: 0 (nothing moves) to 10."""
        return self.pace + self.shifting + self.leap + self.reach + self.shapes


def difficulty_of(chart: CompingChart) -> Difficulty:
    """How difficult one chorus of a chart is for the hand of its player."""
    played = list(_played(chart))
    if not played:
        return Difficulty(0.0, 0.0, 0.0, 0.0, 0.0)
    grips = [grip for _, grip in played]
    seconds = sum(playing.seconds for playing, _ in played)
    moves = [(start, goal) for start, goal in pairwise((*grips, grips[0])) if start != goal]
    shifts = [abs(start.position - goal.position) for start, goal in moves]
    return Difficulty(
        pace=_points(60.0 * len(moves) / seconds, FULL_PACE_PER_MINUTE),
        shifting=_points(sum(shifts) / max(len(moves), 1), FULL_SHIFT_FRETS),
        leap=_points(max(shifts, default=0), FULL_LEAP_FRETS),
        reach=_points(max(reach_mm(grip, chart.player) for grip in grips), FULL_REACH_MM),
        shapes=_points(len({shape_of(grip.frets) for grip in grips}), FULL_SHAPES),
    )


def _points(value: float, full: float) -> float:
    return min(2.0 * value / full, 2.0)


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another grip for a chord, and the best plan with it.

    `added_mm` is the effort of that plan beyond the one of the chart.
    """

    grip: Grip
    added_mm: float
    plan: GripPlan


def alternatives(
    chart: CompingChart, chords: Sequence[int], count: int = 3
) -> tuple[tuple[Alternative, ...], ...]:
    """For each chord the nearest grips on other frets, at most `count`, the least effort first.

    Where each playing has a grip of its own, the first playing of a chord is meant. Each fret
    pattern comes in its best fingering. Raises PlanError when a chord is silent or the form too
    tangled for exact plans.
    """
    task = task_of(chart.timeline, chart.player, chart.options)
    silent = [chord for chord in chords if chord not in task.chords]
    if silent:
        raise PlanError(f"chord {silent[0]} is silent: it has no grip")
    best = solve(task.graph)
    marginals = min_marginals(task.graph, best)
    nodes = [task.chords.index(chord) for chord in chords]
    return tuple(
        tuple(
            _alternative(task, node, label, float(marginals[node][label]) - best.cost)
            for label in _other_labels(task, node, marginals[node].tolist(), best.labels[node])
            [:count]
        )
        for node in nodes
    )  # fmt: skip


def _other_labels(task: PlanTask, node: int, costs: Sequence[float], best: int) -> list[int]:
    """The labels of a node on other frets than its best one: the first of each fret pattern."""
    grips = task.choices[node].grips
    first: dict[Frets, int] = {grips[best].frets: best}
    for label in sorted(range(len(grips)), key=lambda label: (costs[label], label)):
        if costs[label] < FORBIDDEN:
            first.setdefault(grips[label].frets, label)
    return [label for label in first.values() if label != best]


def _alternative(task: PlanTask, node: int, label: int, added_mm: float) -> Alternative:
    allowed = narrowed(all_labels(task.graph), node, (label,))
    plan = plan_from(task, solve_within(task.graph, allowed))
    return Alternative(task.choices[node].grips[label], added_mm, plan)
