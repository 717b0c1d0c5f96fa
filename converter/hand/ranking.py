"""Other grips and plans in order of what they cost, and how hard a plan is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from .fingerings import shape_of
from .graph import all_labels, narrowed, restricted
from .grip import Grip
from .plan import GripPlan, PlanError
from .planner import FORBIDDEN, Task, finished, reach_mm
from .player import Player
from .solver import k_best, min_marginals, solve, solve_within

# How hard a planned tune is for the hand: one figure from five parts that a teacher can check.
#
# Takes the grips of a chorus in played order with their seconds, gives a `Difficulty` from 0 to 10.
# Each part runs from 0 to 2 and reaches 2 at a value of its own; those values are settings, chosen
# so that slow blues come out low and fast tunes with a change every two beats high. It orders tunes
# for one player; it measures nothing.

#: Where each part reaches its full 2 points.
FULL_PACE_PER_MINUTE: Final = 120.0
FULL_SHIFT_FRETS: Final = 3.0
FULL_LEAP_FRETS: Final = 8.0
FULL_REACH_MM: Final = 90.0
FULL_SHAPES: Final = 12.0


@dataclass(frozen=True, slots=True)
class Difficulty:
    """The parts of difficulty, each 0 to 2; 2 from its `FULL_` value on.

    `pace`: changes a minute. `shifting`: frets that the hand shifts for each change. `leap`: the
    widest shift. `reach`: the widest spread of a grip. `shapes`: the number of different shapes.
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


def difficulty_of(grips: Sequence[Grip], seconds: Sequence[float], player: Player) -> Difficulty:
    """The difficulty of a chorus; `seconds` last from each grip to the next."""
    if not grips:
        return Difficulty(0.0, 0.0, 0.0, 0.0, 0.0)
    moves = [(a, b) for a, b in pairwise((*grips, grips[0])) if a != b]
    shifts = [abs(a.position - b.position) for a, b in moves]
    return Difficulty(
        pace=_points(60.0 * len(moves) / sum(seconds), FULL_PACE_PER_MINUTE),
        shifting=_points(sum(shifts) / max(len(moves), 1), FULL_SHIFT_FRETS),
        leap=_points(max(shifts, default=0), FULL_LEAP_FRETS),
        reach=_points(max(reach_mm(grip, player) for grip in grips), FULL_REACH_MM),
        shapes=_points(len({shape_of(grip.frets) for grip in grips}), FULL_SHAPES),
    )


def _points(value: float, full: float) -> float:
    return min(2.0 * value / full, 2.0)


# Other ways to play: the k best plans, and the nearest other grips of one chord.
#
# Takes the task that `task_of` sets up, gives whole plans. Each alternative is replanned around:
# its added effort is what the best plan with that grip costs above the best plan of all.


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another grip for a chord: what it adds in mm of effort, and the plan around it."""

    grip: Grip
    added_mm: float
    plan: GripPlan


def best_plans(task: Task, k: int) -> tuple[GripPlan, ...]:
    """The k plans of least effort, best first; chords that are never played keep their first grip.

    With the smooth wish, only plans whose worst change is the least are ranked. Raises PlanError
    when the form is too tangled for exact plans.
    """
    played = set(task.nodes)
    allowed = tuple(
        labels if node in played else labels[:1]
        for node, labels in enumerate(all_labels(task.graph))
    )
    ranked = k_best(restricted(task.graph, allowed), k)
    return tuple(finished(task, one) for one in ranked if one.cost < FORBIDDEN)


def alternatives(task: Task, chord: int, count: int = 3) -> tuple[Alternative, ...]:
    """The nearest grips on other frets for a written chord, the least added effort first.

    `chord` is an index into `Sheet.chords`; where each playing has a grip of its own, its first
    playing is meant. Each fret pattern comes in its best fingering. Raises PlanError when the
    chord is silent or the form too tangled for exact plans.
    """
    if chord not in task.chords:
        raise PlanError(f"chord {chord} is silent: it has no grip")
    node = task.chords.index(chord)
    best = solve(task.graph)
    everything = all_labels(task.graph)
    costs = min_marginals(task.graph, best)[node]
    grips = task.choices[node].grips
    found: list[Alternative] = []
    seen = {grips[best.labels[node]].frets}
    for label in sorted(range(len(grips)), key=lambda row: (costs[row], row)):
        if grips[label].frets in seen or costs[label] >= FORBIDDEN:
            continue
        seen.add(grips[label].frets)
        added = float(costs[label]) - best.cost
        around = solve_within(task.graph, narrowed(everything, node, (label,)))
        found.append(Alternative(grips[label], added, finished(task, around)))
        if len(found) == count:
            break
    return tuple(found)
