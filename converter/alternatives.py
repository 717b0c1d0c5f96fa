"""What else a plan could have been: other grips of a chord, other styles, a hand that stays.

Takes a `CompingChart` and gives `Alternative`s: another grip for one chord, with the best plan
around it. All are for the player and the options of the chart and exact like its plan; efforts are
in mm (see `Effort`), chord indices point into `Sheet.chords`. Chords that share a grip with the
chord (`PlanOptions.same_grips`) get the other grip too.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from ..grammar.frozen import frozen
from ..grammar.sheet import Frets
from .chart import CompingChart
from .explain import PlayedChange
from .hand.costs import PARTS, Candidates, candidates, lead_matrix
from .hand.graph import Allowed, all_labels, narrowed
from .hand.grip import Grip
from .hand.plan import STYLES, GripPlan, PlanError, Style
from .hand.planner import FORBIDDEN, PlanTask, plan_from, task_of
from .hand.player import Player
from .hand.solver import Solution, min_marginals, solve, solve_within
from .hand.voicings import WIDEST_FRETS

#: What a plan's effort consists of: the strain of its grips by `PARTS`, the price of voices that
#: should move by step and do not, and the travel.
EFFORT_PARTS: Final = (*PARTS, "unled_mm", "travel_mm")


@frozen
class Alternative:
    """Another grip for a chord, and the best plan with it.

    `chord` is the chord's index. `added_mm` is the effort of that plan less that of the chart's
    plan, `parts_mm` the same for each of `EFFORT_PARTS`. `style` is the style of the grip, `inside`
    whether its lowest note lies inside the player's window.
    """

    chord: int
    grip: Grip
    added_mm: float
    parts_mm: tuple[float, ...]
    plan: GripPlan
    style: Style
    inside: bool


def alternatives(
    chart: CompingChart, chords: Sequence[int], count: int = 3
) -> tuple[tuple[Alternative, ...], ...]:
    """For each chord at most `count` grips on other frets, those inside the window first.

    Among them the least added effort comes first. Grips beyond `_highest_fret` are left out. Each
    fret pattern has its best fingering. Raises PlanError when a chord is silent or the form has too
    many junctions for exact plans.
    """
    task, best = _solved(chart)
    silent = [chord for chord in chords if chord not in task.node_of]
    if silent:
        raise PlanError(f"chord {silent[0]} is silent: it has no grip")
    marginals = min_marginals(task.graph)
    found = []
    for chord in chords:
        node = task.node_of[chord]
        every = _other_labels(task, node, marginals[node].tolist(), best.labels[node])
        labels = [label for label in every if _is_low_enough(task, node, label)]
        labels.sort(key=lambda label: not _inside(task, task.choices[node].grips[label]))
        found.append(tuple(_alternative(task, best, chord, (label,)) for label in labels[:count]))
    return tuple(found)


def _is_low_enough(task: PlanTask, node: int, label: int) -> bool:
    frets = task.choices[node].grips[label].frets
    return max(fret for fret in frets if fret is not None) <= _highest_fret(task.player)


def _highest_fret(player: Player) -> int:
    """The highest fret of grips that are offered.

    It is the one that the player names, else the highest that a grip inside the window can reach:
    beyond the joint of the body few hands hold a chord (common practice, no source).
    """
    neck, (_, high) = player.neck, player.window
    return neck.last_fret if neck.highest_fret is not None else high + WIDEST_FRETS


def _solved(chart: CompingChart) -> tuple[PlanTask, Solution]:
    """The task of a chart's plan, and the plan as its solution."""
    task = task_of(chart.timeline, chart.player, chart.options)
    grips = (chart.plan.grips[chord] for chord in task.chords)
    pairs = list(zip(task.choices, grips, strict=True))
    if not all(grip in choice.grips for choice, grip in pairs):
        return task, solve(task.graph)  # a chart with grips that were not planned
    labels = tuple(choice.grips.index(grip) for choice, grip in pairs if grip is not None)
    return task, Solution(labels, task.graph.cost(labels), task.graph.cost(labels))


def _other_labels(task: PlanTask, node: int, costs: Sequence[float], best: int) -> list[int]:
    """The first label of each fret pattern of a node, except the pattern of its best label."""
    grips = task.choices[node].grips
    first: dict[Frets, int] = {grips[best].frets: best}
    for label in sorted(range(len(grips)), key=lambda label: (costs[label], label)):
        if costs[label] < FORBIDDEN:
            first.setdefault(grips[label].frets, label)
    return [label for label in first.values() if label != best]


def _inside(task: PlanTask, grip: Grip) -> bool:
    low, high = task.player.window
    return low <= grip.voicing.bass.fret <= high


def _alternative(
    task: PlanTask,
    best: Solution,
    chord: int,
    labels: Sequence[int],
    allowed: Allowed | None = None,
    style: Style | None = None,
) -> Alternative:
    """The best plan in which a chord has one of some labels; `best` is the plan without that."""
    node = task.node_of[chord]
    allowed = all_labels(task.graph) if allowed is None else allowed
    found = solve_within(task.graph, narrowed(allowed, node, tuple(labels)))
    grip = task.choices[node].grips[found.labels[node]]
    parts = zip(_parts(task, found), _parts(task, best), strict=True)
    return Alternative(
        chord,
        grip,
        found.cost_mm - best.cost_mm,
        tuple(one - other for one, other in parts),
        plan_from(task, found),
        style or task.options.style,
        _inside(task, grip),
    )


def _parts(task: PlanTask, solution: Solution) -> list[float]:
    """The effort of a plan by `EFFORT_PARTS`."""
    strain = [0.0] * len(PARTS)
    for node, (choice, label) in enumerate(zip(task.choices, solution.labels, strict=True)):
        strokes = task.nodes.count(node)
        for at, part in enumerate(choice.parts[label].tolist()):
            strain[at] += strokes * part
    unled = sum(
        change.weight * float(lead_matrix(choices[0], choices[1], lead)[rows])
        for change in task.changes
        for choices in [(task.choices[change.start], task.choices[change.goal])]
        for rows in [(solution.labels[change.start], solution.labels[change.goal])]
        for lead in change.leads
    )
    return [*strain, unled, solution.cost_mm - sum(strain) - unled]


def in_other_styles(chart: CompingChart, chord: int) -> tuple[Alternative, ...]:
    """The best grip of a chord in each other style, inside the window if one is there.

    The rest of the tune keeps the style of the chart. Empty for a pinned chord; a style with no
    grip on other frets than the chart's and than those before it is left out.
    """
    written, options = chart.sheet.chords[chord], chart.options
    grip = chart.plan.grips[chord]
    if written.chord is None or grip is None or written.pin is not None:
        return ()
    plain, base = _solved(chart)
    known = {one.frets for one in plain.choices[plain.node_of[chord]].grips}
    found = []
    for style in STYLES:
        choice = candidates(written.chord, chart.player, style)
        fresh = [row for row, one in enumerate(choice.grips) if one.frets not in known]
        inside = [row for row in fresh if _is_free(choice, row)]
        if style != options.style and fresh:
            shared = [one for one, node in plain.node_of.items() if node == plain.node_of[chord]]
            task = task_of(chart.timeline, chart.player, options, dict.fromkeys(shared, choice))
            other = _alternative(task, base, chord, inside or fresh, style=style)
            known.add(other.grip.frets)
            found.append(other)
    return tuple(other for other in found if other.added_mm < FORBIDDEN)


def _is_free(choice: Candidates, row: int) -> bool:
    """Whether a grip lies inside the window."""
    return float(choice.parts[row, PARTS.index("window_mm")]) == 0.0


def offered(
    chart: CompingChart, chords: Sequence[int], count: int = 3
) -> tuple[tuple[Alternative, ...], ...]:
    """For each chord the grips to choose from: those inside the window, then other styles' best.

    Of `alternatives` those outside the window are left out, but for the first where all are. Raises
    PlanError as `alternatives` does.
    """
    ranked = zip(chords, alternatives(chart, chords, count), strict=True)
    return tuple(
        (
            *(tuple(one for one in others if one.inside) or others[:1]),
            *in_other_styles(chart, chord),
        )
        for chord, others in ranked
    )


def next_best(chart: CompingChart) -> Alternative | None:
    """The plan of least effort that has other frets for at least one chord; None if none has.

    Raises PlanError when the form has too many junctions for exact plans.
    """
    task, best = _solved(chart)
    marginals = min_marginals(task.graph)
    offers = [
        (float(marginals[node][label]), node, label)
        for node in range(len(task.chords))
        for label in _other_labels(task, node, marginals[node].tolist(), best.labels[node])[:1]
    ]
    if not offers:
        return None
    _, node, label = min(offers)
    return _alternative(task, best, task.chords[node], (label,))


def staying(
    chart: CompingChart, changes: Iterable[PlayedChange]
) -> tuple[tuple[PlayedChange, Alternative | None], ...]:
    """For each change that shifts the hand the best plan in which it stays there.

    The first grip is kept, and the second has its hand position; None if no grip has it. Changes
    between chords that share their grips are left out. Empty for a smooth plan, whose shifts are
    not chosen for their sum.
    """
    if chart.options.smooth:
        return ()
    task, best = _solved(chart)
    found: list[tuple[PlayedChange, Alternative | None]] = []
    for change in changes:
        first, second = (task.node_of[chord] for chord in (change.start, change.goal))
        position = change.grips[0].position
        if first == second or change.grips[1].position == position:
            continue
        labels = [
            label
            for label, grip in enumerate(task.choices[second].grips)
            if grip.position == position
        ]
        kept = narrowed(all_labels(task.graph), first, (best.labels[first],))
        other = _alternative(task, best, change.goal, labels, kept) if labels else None
        found.append((change, other))
    return tuple(found)
