"""Labels that no best labelling uses, found and left out before a tangled graph is solved again.

Takes a `LabelGraph`, gives the labels worth keeping. A label is a dead end when some other label
of its node costs less whatever the neighbours do; leaving it out changes neither the least cost
nor which of equal labellings comes first. Source: the criterion of Goldstein (1994), from memory.
"""

from __future__ import annotations

import numpy as np

from .grain import Numbers
from .graph import Allowed, LabelGraph


def without_dead_ends(graph: LabelGraph) -> Allowed:
    """The labels of each node that are no dead ends, in their order."""
    keep = [np.arange(len(costs)) for costs in graph.unary]
    near = graph.neighbours()
    shrinking = True
    while shrinking:
        shrinking = False
        for node, costs in enumerate(graph.unary):
            mine = keep[node]
            margin = costs[mine][:, None] - costs[mine][None, :]
            for other, table in near[node]:
                margin = margin + _least_margin(table[np.ix_(mine, keep[other])])
            alive = ~(margin > 0).any(axis=1)
            if not alive.all():
                keep[node] = mine[alive]
                shrinking = True
    return tuple(tuple(rows.tolist()) for rows in keep)


def _least_margin(table: Numbers) -> Numbers:
    """For each pair of labels the least by which the first costs more than the second."""
    return np.asarray((table[:, None, :] - table[None, :, :]).min(axis=2))
