"""The graph of a planning problem: costs of the labels of each node and of pairs on each edge.

Takes the candidates of every node and the changes between nodes, gives a `LabelGraph`. A node is a
written chord, its labels are the rows of its candidates, an edge is a change. Nodes are numbered
from 0; costs are quantized (see `quantization.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from ...grammar.chord import Chord
from ...grammar.frozen import frozen
from ..timeline import Playing
from .costs import Candidates, lead_matrix
from .leading import Lead, leads_between
from .plan import PlanError
from .player import Effort
from .quantization import FloatArray, quantize
from .travel import travel_tables

#: The maximum number of costs in the tables of a graph: 240 MB.
GRAPH_LIMIT: Final = 30_000_000

#: The labels that each node may have, in their order.
Allowed = tuple[tuple[int, ...], ...]


@frozen(eq=False)
class LabelGraph:
    """`unary[i][a]`: cost of label a on node i. `pairs[i, j][a, b]`, i < j: of a on i, b on j."""

    unary: tuple[FloatArray, ...]
    pairs: dict[tuple[int, int], FloatArray]

    def cost(self, labels: Sequence[int]) -> float:
        """The cost of one labelling."""
        alone = sum(float(costs[label]) for costs, label in zip(self.unary, labels, strict=True))
        edges = self.pairs.items()
        return alone + sum(float(table[labels[i], labels[j]]) for (i, j), table in edges)

    def worst(self, labels: Sequence[int]) -> float:
        """The greatest single cost in one labelling."""
        alone = [float(costs[label]) for costs, label in zip(self.unary, labels, strict=True)]
        edges = self.pairs.items()
        return max([*alone, *(float(table[labels[i], labels[j]]) for (i, j), table in edges)])

    def neighbours(self) -> list[list[tuple[int, FloatArray]]]:
        """For each node its neighbours and the tables of pair costs, rows being its own labels."""
        near: list[list[tuple[int, FloatArray]]] = [[] for _ in self.unary]
        for (i, j), table in self.pairs.items():
            near[i].append((j, table))
            near[j].append((i, table.T))
        return near


@frozen
class ChordChange:
    """A change from node `start` to node `goal`, with its weight and hurry.

    `hurry` is the maximum over its playings (see `Effort.hurry`), `weight` the sum over them.
    `leads` are the voices that should move by step.
    """

    start: int
    goal: int
    weight: float
    hurry: float
    leads: tuple[Lead, ...] = ()


def changes_of(
    nodes: Sequence[int],
    played: Sequence[Playing],
    successions: Sequence[tuple[int, int]],
    chords: Sequence[Chord],
    effort: Effort,
) -> list[ChordChange]:
    """The changes between the nodes of playings that follow each other, sorted.

    `nodes` gives the node of each playing, `successions` are those of the form, `chords` gives the
    chord of each node. A node that follows itself makes no change.
    """
    changes: dict[tuple[int, int], tuple[float, float]] = {}
    for here, there in successions:
        ends = nodes[here], nodes[there]
        if ends[0] != ends[1]:
            hurry = effort.hurry(played[here].seconds)
            weight, most = changes.get(ends, (0.0, 0.0))
            changes[ends] = weight + hurry, max(most, hurry)
    return [
        ChordChange(*ends, *values, leads_between(chords[ends[0]], chords[ends[1]]))
        for ends, values in sorted(changes.items())
    ]


def build(
    choices: Sequence[Candidates], struck: Sequence[int], changes: Sequence[ChordChange]
) -> LabelGraph:
    """The graph of a plan: strain times number of strokes, travel times weight of the change."""
    unary = tuple(choice.strain * count for choice, count in zip(choices, struck, strict=True))
    weights = [change.weight for change in changes]
    return LabelGraph(unary, pair_tables(choices, changes, weights, np.add))


def pair_tables(
    choices: Sequence[Candidates],
    changes: Sequence[ChordChange],
    weights: Sequence[float],
    join: np.ufunc,
) -> dict[tuple[int, int], FloatArray]:
    """The travel of the changes times their weights; both directions are joined on one edge.

    Raises PlanError when the tables would be larger than `GRAPH_LIMIT`.
    """
    sizes = [len(choice.grips) for choice in choices]
    if sum(sizes[change.start] * sizes[change.goal] for change in changes) > GRAPH_LIMIT:
        raise PlanError(
            "the tune has too many different changes to plan them all; plan a part of it"
        )
    pairs: dict[tuple[int, int], FloatArray] = {}
    ways = [(choices[change.start], choices[change.goal]) for change in changes]
    for change, table in zip(changes, _weighted(ways, changes, weights), strict=True):
        ends = change.start, change.goal
        if ends[0] > ends[1]:
            ends, table = ends[::-1], table.T
        known = pairs.get(ends)
        pairs[ends] = table if known is None else join(known, table)
    return pairs


def _weighted(
    ways: Sequence[tuple[Candidates, Candidates]],
    changes: Sequence[ChordChange],
    weights: Sequence[float],
) -> Iterator[FloatArray]:
    """The travel of each change times its weight, and the price of the voices that should lead."""
    if not ways:
        return
    different = {way: (way[0].placement, way[1].placement) for way in ways}
    tables = travel_tables(list(different.values()), ways[0][0].player)
    travel = dict(zip(different, tables, strict=True))
    for way, change, weight in zip(ways, changes, weights, strict=True):
        table = travel[way]
        for lead in change.leads:
            table = table + lead_matrix(*way, lead)
        yield quantize(table * weight)


def all_labels(graph: LabelGraph) -> Allowed:
    """Every label of every node."""
    return tuple(tuple(range(len(costs))) for costs in graph.unary)


def narrowed(allowed: Allowed, node: int, labels: tuple[int, ...]) -> Allowed:
    """The allowed labels, with only `labels` allowed at one node."""
    return (*allowed[:node], labels, *allowed[node + 1 :])


def restricted(graph: LabelGraph, allowed: Allowed) -> LabelGraph:
    """The graph with only the allowed labels, in the order given."""
    unary = tuple(costs[list(keep)] for costs, keep in zip(graph.unary, allowed, strict=True))
    pairs = {(i, j): table[np.ix_(allowed[i], allowed[j])] for (i, j), table in graph.pairs.items()}
    return LabelGraph(unary, pairs)
