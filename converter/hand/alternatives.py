"""Other ways to play: the k best plans, and the nearest other grips of one chord.

Takes the task that `task_of` sets up, gives whole plans. Each alternative is replanned around: its
added effort is what the best plan with that grip costs above the best plan of all.
"""

from __future__ import annotations

from dataclasses import dataclass

from .eliminate import solve, solve_within
from .graph import all_labels, narrowed, restricted
from .grip import Grip
from .kbest import k_best
from .marginals import min_marginals
from .plan import GripPlan, PlanError
from .planner import Task, finished
from .smooth import FORBIDDEN


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
