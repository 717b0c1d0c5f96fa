"""The smooth wish: the worst single change made least, and then the sum.

Takes the graph of a plan with its candidates and changes, gives the graph of the plans whose worst
change is least. The worst change is found exactly, by the same elimination with the larger of two
costs in the place of their sum.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from .candidates import Candidates
from .eliminate import solve
from .graph import Change, LabelGraph, pair_tables
from .strain import PARTS

#: Beyond every sum of efforts, and yet exact when added up (see `grain.py`).
FORBIDDEN: Final = float(1 << 32)


def taught_inside_window(choice: Candidates) -> Candidates:
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


def smooth_graph(
    graph: LabelGraph, choices: Sequence[Candidates], changes: Sequence[Change]
) -> tuple[LabelGraph, bool]:
    """The plans whose worst single change is the least possible; all others are priced out.

    Told with it is whether no plan has a lesser one, which is unproved in a tangled form.
    """
    single = single_changes(choices, changes)
    least = solve(single, maximum=True)
    pairs = {
        ends: np.where(single.pairs[ends] <= least.cost, table, table + FORBIDDEN)
        for ends, table in graph.pairs.items()
    }
    return LabelGraph(graph.unary, pairs), least.optimal


def single_changes(choices: Sequence[Candidates], changes: Sequence[Change]) -> LabelGraph:
    """The cost of each change made once, at the most hurried of its playings."""
    hurries = [change.hurry for change in changes]
    pairs = pair_tables(choices, changes, hurries, np.maximum)
    return LabelGraph(tuple(np.zeros(len(choice.grips)) for choice in choices), pairs)
