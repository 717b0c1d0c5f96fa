"""The planner: one grip for each written chord, the least effort over the whole played form.

Takes a sheet, its form, a player and wishes, gives a `GripPlan`. The plan minimises the sum, over
one chorus with all its repeats, endings, jumps and the loop back to the top, of the strain of each
grip each time it is struck and the travel of each change each time it is made. It is the exact
minimum unless its `Travel` says otherwise.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace

from ...grammar.sheet import Sheet
from ..form import Form
from .candidates import Candidates
from .choices import choices_of
from .eliminate import Solution, solve
from .graph import LabelGraph, build, changes_of
from .plan import GripPlan
from .player import Player
from .playings import Playing, playings
from .smooth import smooth_graph, taught_inside_window
from .travel import travel_of
from .wishes import PlanWishes


@dataclass(frozen=True, slots=True, eq=False)
class Task:
    """A plan set up for solving.

    `chords` is the written chord of each node, `nodes` the node of each playing, `choices` the
    candidates of each node. `proved` is False where a smooth plan was wished and its worst change
    could not be proved to be the least.
    """

    sheet: Sheet
    form: Form
    player: Player
    wishes: PlanWishes
    chords: tuple[int, ...]
    nodes: tuple[int, ...]
    played: tuple[Playing, ...]
    choices: tuple[Candidates, ...]
    graph: LabelGraph
    proved: bool


def plan_hand(
    sheet: Sheet, form: Form, player: Player | None = None, wishes: PlanWishes | None = None
) -> GripPlan:
    """The plan of least effort for one player (by default an adult with a standard guitar).

    Raises PlanError naming chord, bar and reason for every chord that no hand can play as asked.
    """
    return plan_of(task_of(sheet, form, player or Player(), wishes or PlanWishes()))


def plan_of(task: Task) -> GripPlan:
    """The plan of least effort for a task that is set up, for callers who go on to explain it."""
    return finished(task, solve(task.graph))


def task_of(sheet: Sheet, form: Form, player: Player, wishes: PlanWishes) -> Task:
    """The graph of the plan and all that belongs to it. Raises PlanError as `plan_hand` does."""
    played = playings(sheet, form, wishes.tempo)
    by_chord = choices_of(sheet, player, wishes, played[0].chord if played else None)
    if wishes.per_playing:
        unplayed = sorted(by_chord.keys() - {playing.chord for playing in played})
        chords = (*(playing.chord for playing in played), *unplayed)
        nodes = tuple(range(len(played)))
    else:
        chords = tuple(by_chord)
        place = {chord: node for node, chord in enumerate(chords)}
        nodes = tuple(place[playing.chord] for playing in played)
    if wishes.smooth:
        by_chord = {chord: taught_inside_window(choice) for chord, choice in by_chord.items()}
    choices = tuple(by_chord[chord] for chord in chords)
    changes = changes_of(nodes, played, player.effort)
    times = Counter(nodes)
    graph, proved = build(choices, [times[node] for node in range(len(chords))], changes), True
    if wishes.smooth:
        graph, proved = smooth_graph(graph, choices, changes)
    return Task(sheet, form, player, wishes, chords, nodes, played, choices, graph, proved)


def finished(task: Task, solution: Solution) -> GripPlan:
    """The plan that a solution stands for."""
    labelled = zip(task.choices, solution.labels, strict=True)
    hold = [choice.grips[label] for choice, label in labelled]
    by_chord = {chord: hold[node] for node, chord in reversed(list(enumerate(task.chords)))}
    chords = task.sheet.chords
    grips = tuple(by_chord.get(chord) for chord in range(len(chords)))
    played = [hold[node] for node in task.nodes]
    written = [grip for grip in grips if grip is not None]
    gap = max(solution.cost - solution.bound, 0.0)
    rest = iter(played)
    sounding = (chords[chord].chord is not None for chord in task.form.chords)
    order = tuple(next(rest) if sounds else None for sounds in sounding)
    travel = travel_of(played, written, task.player, gap)
    travel = replace(travel, optimal=travel.optimal and task.proved, smooth=task.wishes.smooth)
    return GripPlan(grips, solution.cost, travel, order)
