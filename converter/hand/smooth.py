"""The smooth wish: the worst single change made least, and then the sum.

Takes the graph of a plan with its candidates and changes, gives the graph of the plans whose worst
change is least. The worst change is found exactly, by the same elimination with the larger of two
costs in the place of their sum.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .candidates import Candidates
from .eliminate import solve
from .grain import Numbers, rounded
from .graph import Change, LabelGraph
from .moves import travel_matrix
from .strain import PARTS

#: Beyond every sum of efforts, and yet exact when added up (see `graph.py`).
FORBIDDEN = float(1 << 32)


def settled(choice: Candidates) -> Candidates:
    """The grips that a smooth plan chooses from: as taught, the root inside the window.

    Without this the hand would leave the window and its habits for the sake of one change. A chord
    that has no such grip keeps what it has.
    """
    outside = choice.parts[:, PARTS.index("window_mm")] > 0
    strange = choice.parts[:, PARTS.index("habit_mm")] > 0
    for unwanted in (outside | strange, outside):
        rows = np.flatnonzero(~unwanted)
        if len(rows):
            return choice.only(rows.tolist())
    return choice


@dataclass(frozen=True, slots=True, eq=False)
class SmoothGraph:
    """The graph of the smooth plans alone; `worst_mm` is their worst single change.

    `proved` tells whether no plan has a lesser one.
    """

    graph: LabelGraph
    worst_mm: float
    proved: bool


def smooth_graph(
    graph: LabelGraph, choices: Sequence[Candidates], changes: Sequence[Change], limit: int
) -> SmoothGraph:
    """The plans whose worst single change is the least possible; all others are priced out."""
    single = single_changes(choices, changes)
    least = solve(single, limit, maximum=True)
    pairs = {
        ends: np.where(single.pairs[ends] <= least.cost, table, table + FORBIDDEN)
        for ends, table in graph.pairs.items()
    }
    return SmoothGraph(LabelGraph(graph.unary, pairs), least.cost, least.optimal)


def single_changes(choices: Sequence[Candidates], changes: Sequence[Change]) -> LabelGraph:
    """The cost of each change made once, at the most hurried of its playings."""
    pairs: dict[tuple[int, int], Numbers] = {}
    for change in changes:
        table = rounded(travel_matrix(choices[change.start], choices[change.goal]) * change.hurry)
        ends = change.start, change.goal
        if ends[0] > ends[1]:
            ends, table = ends[::-1], table.T
        known = pairs.get(ends)
        pairs[ends] = table if known is None else np.maximum(known, table)
    return LabelGraph(tuple(np.zeros(len(choice.grips)) for choice in choices), pairs)
