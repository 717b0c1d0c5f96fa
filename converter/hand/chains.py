"""Chains of a graph, swept from end to end: the part of a search that every tune has.

Takes a `LabelGraph`, gives the graph of the nodes that stay, whose edges stand for whole chains,
and what finds the labels inside them again. A chain is a run of nodes with two neighbours: a tune
without repeats is one chain that closes; repeats and endings leave junctions with chains between
them. A chain is swept from the end with fewer labels: for every label of that end, the least cost
of the way to each label of each node, node after node.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import Final

import numpy as np

from ...grammar.frozen import frozen
from .graph import LabelGraph
from .quantization import FloatArray

#: The maximum number of labels of a node in a chain: a sweep computes and keeps whole tables, which
#: are within reason up to this size. Wider nodes are left to the elimination, which keeps limits.
NARROW: Final = 64

#: The nodes of a chain with those between which it lies; both ends of a ring are one node.
Chain = tuple[int, ...]


def chains_of(graph: LabelGraph) -> tuple[Chain, ...]:
    """The chains of a graph; every node with two neighbours is inside one if all three are narrow.

    A chain begins at its end with fewer labels; a ring without a junction begins and ends at its
    first node with the fewest.
    """
    near: list[list[int]] = [[] for _ in graph.unary]
    for i, j in graph.pairs:
        near[i].append(j)
        near[j].append(i)
    sizes = [len(costs) for costs in graph.unary]
    inside = {
        node
        for node, others in enumerate(near)
        if len(others) == 2 and max(sizes[node], sizes[others[0]], sizes[others[1]]) <= NARROW
    }
    ends = [node for node in range(len(near)) if node not in inside]
    chains = [
        chain if sizes[chain[0]] <= sizes[chain[-1]] else chain[::-1]
        for chain in _walks(ends, near, inside)
    ]
    while inside:
        end = min(inside, key=lambda node: (sizes[node], node))
        inside.remove(end)
        chains.append(next(_walks([end], near, inside)))
    return tuple(chains)


def _walks(ends: Iterable[int], near: Sequence[Sequence[int]], inside: set[int]) -> Iterator[Chain]:
    """The chains from these ends on, through the nodes `inside`, which are taken out of it."""
    for end in ends:
        for first in near[end]:
            if first not in inside:
                continue
            chain, node = [end], first
            while node in inside:
                inside.remove(node)
                one, other = near[node]
                chain.append(node)
                node = other if one == chain[-2] else one
            yield (*chain, node)


@frozen(eq=False)
class _Sweep:
    """A swept chain; costs of its ends are not in it.

    `costs[k]`: the least cost of the way from each label of the first node to each of node k + 1,
    that node's own cost included if it is inside. `tables[k]`: the costs of the change to node k +
    1 from node k.
    """

    chain: Chain
    costs: tuple[FloatArray, ...]
    tables: tuple[FloatArray, ...]

    def decide(self, labels: list[int], join: np.ufunc) -> None:
        """Set the best labels inside, the first of equal ones, from the last node backwards."""
        start, label = labels[self.chain[0]], labels[self.chain[-1]]
        for at in range(len(self.chain) - 2, 0, -1):
            label = int(join(self.costs[at - 1][start], self.tables[at][:, label]).argmin())
            labels[self.chain[at]] = label


def _swept(graph: LabelGraph, chain: Chain, join: np.ufunc) -> _Sweep:
    """The sweep of a chain from its first node to its last (min-plus products, or min-max)."""
    tables = [
        graph.pairs[here, there] if here < there else graph.pairs[there, here].T
        for here, there in pairwise(chain)
    ]
    way = tables[0]
    costs = []
    for node, table in zip(chain[1:-1], tables[1:], strict=True):
        way = join(way, graph.unary[node])
        costs.append(way)
        way = np.minimum.reduce(join(way[:, :, None], table), axis=1)
    return _Sweep(chain, (*costs, way), tuple(tables))


@frozen(eq=False)
class Contracted:
    """A graph without the insides of its chains: `graph` over the nodes `kept`, ascending."""

    graph: LabelGraph
    kept: tuple[int, ...]
    sweeps: tuple[_Sweep, ...]
    join: np.ufunc

    def whole(self, labels: Sequence[int]) -> tuple[int, ...]:
        """The best labels of all nodes, given those of the nodes that were kept."""
        every = [0] * (len(self.kept) + sum(len(sweep.chain) - 2 for sweep in self.sweeps))
        for node, label in zip(self.kept, labels, strict=True):
            every[node] = label
        for sweep in self.sweeps:
            sweep.decide(every, self.join)
        return tuple(every)


def contracted(graph: LabelGraph, join: np.ufunc) -> Contracted:
    """The graph without the insides of its chains; the least cost stays what it is.

    `join` adds two costs, or takes the larger (`np.add`, `np.maximum`).
    """
    sweeps = tuple(_swept(graph, chain, join) for chain in chains_of(graph))
    within = {node for sweep in sweeps for node in sweep.chain[1:-1]}
    kept = tuple(node for node in range(len(graph.unary)) if node not in within)
    place = {node: at for at, node in enumerate(kept)}
    unary = [graph.unary[node] for node in kept]
    pairs = {
        (place[i], place[j]): table
        for (i, j), table in graph.pairs.items()
        if i in place and j in place
    }
    for sweep in sweeps:
        start, goal, table = place[sweep.chain[0]], place[sweep.chain[-1]], sweep.costs[-1]
        if start == goal:
            unary[start] = join(unary[start], table.diagonal())
            continue
        if start > goal:
            start, goal, table = goal, start, table.T
        known = pairs.get((start, goal))
        pairs[start, goal] = table if known is None else join(known, table)
    return Contracted(LabelGraph(tuple(unary), pairs), kept, sweeps, join)
