"""The planner: one grip for each written chord, the least effort over the whole played form.

Takes a `Timeline`, a player and `PlanOptions`, gives a `GripPlan`. The plan minimises the sum,
over the form played with one chorus (repeats, endings, jumps, the way back to the top, and once
each the ways out of an intro and into a coda), of the strain of each grip each time it is struck
and the travel of each change each time it is made. It is the exact minimum unless its `Travel` says
otherwise.

With `smooth` the worst single change is minimised first, and then the sum: the worst change is
computed by the same elimination with the maximum of two costs instead of their sum.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import hypot
from typing import Final

import numpy as np

from ...grammar.chord import Chord
from ...grammar.frozen import frozen
from ...grammar.sheet import Sheet
from ..timeline import Playing, Timeline, playings
from .clashes import clashes_of
from .constraints import constrained_candidates
from .costs import PARTS, Candidates
from .graph import ChordChange, LabelGraph, build, changes_of, pair_tables
from .grip import Grip, finger_positions
from .phrases import shared_chords
from .plan import GripPlan, PlanOptions, Travel
from .player import ADULT, Player
from .reach import reach_mm
from .solver import Solution, solve

#: A cost larger than every sum of efforts, but small enough for exact sums (see `quantization.py`).
FORBIDDEN: Final = float(1 << 32)


def inside_window(choice: Candidates) -> Candidates:
    """The grips for a smooth plan: those with the root inside the window.

    Without this restriction one hard change would lead to roots outside the window in the whole
    plan. A chord without such a grip keeps its other grips.
    """
    rows = np.flatnonzero(choice.parts[:, PARTS.index("window_mm")] == 0)
    return choice.only(rows.tolist()) if len(rows) else choice


def smooth_graph(
    graph: LabelGraph, choices: Sequence[Candidates], changes: Sequence[ChordChange]
) -> tuple[LabelGraph, bool]:
    """The graph in which a change worse than the least possible worst one costs `FORBIDDEN` more.

    The second value tells whether that least is proved, which can fail in a form with many
    junctions.
    """
    single = single_changes(choices, changes)
    least = solve(single, maximum=True)
    pairs = {
        ends: np.where(single.pairs[ends] <= least.cost_mm, table, table + FORBIDDEN)
        for ends, table in graph.pairs.items()
    }
    return LabelGraph(graph.unary, pairs), least.optimal


def single_changes(choices: Sequence[Candidates], changes: Sequence[ChordChange]) -> LabelGraph:
    """The travel of each change once, at the largest hurry of its playings."""
    hurries = [change.hurry for change in changes]
    changes = [replace(change, leads=()) for change in changes]
    pairs = pair_tables(choices, changes, hurries, np.maximum)
    return LabelGraph(tuple(np.zeros(len(choice.grips)) for choice in choices), pairs)


def travel_of(
    moves: Sequence[tuple[Grip, Grip]], printed: Sequence[Grip], player: Player, gap_mm: float
) -> Travel:
    """The travel of one chorus: its `moves`, `printed` one grip for each written chord.

    Frets and reach are taken over both; `outside_window` counts only the printed grips. `gap_mm` is
    0.0 for a plan that is proved to be the least. A change is a move to a different grip or
    voicing; a chord that is struck again with the same grip is not a change.
    """
    ends = {id(grip): grip for move in moves for grip in move}
    held = (ends | {id(grip): grip for grip in printed}).values()
    moves = [(a, b) for a, b in moves if a is not b and a != b]
    different = {(id(a), id(b)): (a, b) for a, b in moves}
    ways = {key: way_mm(a, b, player) for key, (a, b) in different.items()}
    shifts = [abs(a.position - b.position) for a, b in moves]
    frets = [fret for grip in held for fret in grip.frets if fret is not None]
    low, high = player.window
    return Travel(
        shift_frets=sum(shifts),
        shifts=sum(1 for shift in shifts if shift),
        changes=len(moves),
        travel_mm=sum(ways[id(a), id(b)] for a, b in moves),
        outside_window=sum(1 for grip in printed if not low <= grip.voicing.bass.fret <= high),
        lowest_fret=min(frets, default=0),
        highest_fret=max(frets, default=0),
        widest_reach_mm=max((reach_mm(grip, player) for grip in held), default=0.0),
        optimal=gap_mm == 0.0,
        gap_mm=gap_mm,
    )


def way_mm(start: Grip, goal: Grip, player: Player) -> float:
    """The distance that hand and fingers move from one grip to another, in mm, without prices.

    It is the shift of the hand along the neck plus, for each finger that stays in use and moves,
    its distance relative to the hand.
    """
    neck = player.neck
    shift = neck.fret_mm(goal.position) - neck.fret_mm(start.position)
    before, after = finger_positions(start), finger_positions(goal)
    fingers = 0.0
    for finger, place in before.items():
        other = after.get(finger)
        if other is not None and not place.stands_as(other):
            along = neck.fret_mm(other.fret) - neck.fret_mm(place.fret) - shift
            fingers += hypot(along, (other.low - place.low) * neck.string_gap_mm)
    return abs(shift) + fingers


@frozen(eq=False)
class PlanTask:
    """A planning problem: the graph and the data of its nodes.

    `chords` is the first written chord of each node, `nodes` the node of each playing, `choices`
    the candidates of each node, `changes` the changes between nodes. `node_of` is the node of each
    written chord that sounds. `proved` is False for a smooth plan whose worst change is not proved
    to be the least.
    """

    timeline: Timeline
    player: Player
    options: PlanOptions
    chords: tuple[int, ...]
    nodes: tuple[int, ...]
    node_of: Mapping[int, int]
    played: tuple[Playing, ...]
    choices: tuple[Candidates, ...]
    changes: tuple[ChordChange, ...]
    graph: LabelGraph
    proved: bool


def plan_hand(
    timeline: Timeline, player: Player | None = None, options: PlanOptions | None = None
) -> GripPlan:
    """The plan of least effort for one player (by default an adult with a standard guitar).

    Raises PlanError with chord, bar and reason for every chord that the player cannot play.
    """
    player, options = player or ADULT, options or PlanOptions()
    shared = _shared(timeline, options)
    material = _material(timeline, player, options, shared)
    free = _task(material, {})
    solution = solve(free.graph)
    if not shared:
        return plan_from(free, solution)
    if _agree(free, solution, shared):
        # The least of all plans is then the least of those with shared grips.
        return plan_from(free, solution, shared_mm=0.0)
    task = _task(material, shared)
    tied = solve(task.graph)
    return plan_from(task, tied, shared_mm=max(tied.cost_mm - solution.cost_mm, 0.0))


def _shared(timeline: Timeline, options: PlanOptions) -> dict[int, int]:
    """The chords that share grips with earlier ones, if the options ask for it."""
    if not options.same_grips:
        return {}
    return shared_chords(timeline.sheet, timeline.form)


def _agree(task: PlanTask, solution: Solution, shared: Mapping[int, int]) -> bool:
    """Whether chords that are to share a grip have the same one in a solution without ties."""
    node_of, choices, labels = task.node_of, task.choices, solution.labels
    return all(
        choices[node_of[one]] is not choices[node_of[other]]
        or labels[node_of[one]] == labels[node_of[other]]
        for one, other in shared.items()
        if one in node_of
    )


def task_of(
    timeline: Timeline,
    player: Player,
    options: PlanOptions,
    replaced: Mapping[int, Candidates] | None = None,
) -> PlanTask:
    """The task of a plan: its graph and the data of its nodes. Raises PlanError as `plan_hand`.

    `replaced` are the candidates of chords for which those of the options are not to be used.
    """
    shared = _shared(timeline, options)
    material = _material(timeline, player, options, shared)
    material.by_chord.update(replaced or {})
    return _task(material, shared)


@frozen(eq=False)
class _Material:
    """What tasks of a tune are made of: the playings, and the candidates of each chord."""

    timeline: Timeline
    player: Player
    options: PlanOptions
    played: tuple[Playing, ...]
    by_chord: dict[int, Candidates]


def _material(
    timeline: Timeline, player: Player, options: PlanOptions, shared: Mapping[int, int]
) -> _Material:
    played = playings(timeline, options.tempo)
    order = [playing.chord for playing in played]
    by_chord = constrained_candidates(timeline.sheet, player, options, order, shared)
    if options.smooth:
        inside = {choice: inside_window(choice) for choice in by_chord.values()}
        by_chord = {chord: inside[choice] for chord, choice in by_chord.items()}
    return _Material(timeline, player, options, played, by_chord)


def _task(material: _Material, ties: Mapping[int, int]) -> PlanTask:
    """A task; chords that `ties` joins and that have the same candidates are one node."""
    sheet, player, options = material.timeline.sheet, material.player, material.options
    played, by_chord = material.played, material.by_chord
    chords, node_of = _nodes(by_chord, ties)
    nodes = tuple(node_of[playing.chord] for playing in played)
    choices = tuple(by_chord[chord] for chord in chords)
    names = _chords(sheet, chords)
    successions = material.timeline.form.successions
    changes = tuple(changes_of(nodes, played, successions, names, player.effort))
    if options.style == "guide tones":
        changes = tuple(map(_without_bass, changes))
    times = Counter(nodes)
    graph, proved = build(choices, [times[node] for node in range(len(chords))], changes), True
    if options.smooth:
        graph, proved = smooth_graph(graph, choices, changes)
    return PlanTask(
        material.timeline, player, options, chords, nodes, node_of, played, choices, changes, graph,
        proved,
    )  # fmt: skip


def _nodes(
    by_chord: Mapping[int, Candidates], ties: Mapping[int, int]
) -> tuple[tuple[int, ...], dict[int, int]]:
    """The first written chord of each node, and the node of each written chord that sounds.

    Chords that are never played have nodes too.
    """
    chords: list[int] = []
    node_of: dict[int, int] = {}
    for chord, choice in by_chord.items():
        first = ties.get(chord, chord)
        if first != chord and choice is by_chord[first]:
            node_of[chord] = node_of[first]
        else:
            node_of[chord] = len(chords)
            chords.append(chord)
    return tuple(chords), node_of


def _without_bass(change: ChordChange) -> ChordChange:
    """A change of grips without a root, in which no bass can move by step."""
    return replace(change, leads=tuple(lead for lead in change.leads if not lead.lowest))


def _chords(sheet: Sheet, indices: Sequence[int]) -> list[Chord]:
    """The chords at some indices of `Sheet.chords`; N.C. is not among them."""
    chords = [sheet.chords[index].chord for index in indices]
    return [chord for chord in chords if chord is not None]


def plan_from(task: PlanTask, solution: Solution, shared_mm: float | None = None) -> GripPlan:
    """The plan of a solution; `shared_mm` as in `GripPlan`."""
    labelled = zip(task.choices, solution.labels, strict=True)
    by_node = [choice.grips[label] for choice, label in labelled]
    form, chords = task.timeline.form, task.timeline.sheet.chords
    grips = tuple(
        by_node[task.node_of[chord]] if chord in task.node_of else None
        for chord in range(len(chords))
    )
    played = [by_node[node] for node in task.nodes]
    printed = [grip for grip in grips if grip is not None]
    gap = max(solution.cost_mm - solution.bound_mm, 0.0)
    rest = iter(played)
    sounding = (chords[chord].chord is not None for chord in form.chords)
    order = tuple(next(rest) if sounds else None for sounds in sounding)
    moves = [(played[here], played[there]) for here, there in form.successions]
    travel = travel_of(moves, printed, task.player, gap)
    travel = replace(travel, optimal=travel.optimal and task.proved, smooth=task.options.smooth)
    clashes = clashes_of(chords, grips)
    return GripPlan(grips, solution.cost_mm, travel, order, shared_mm, clashes)
