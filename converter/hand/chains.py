"""Chains of a graph, eliminated all at once: the part of a search that every tune has.

Takes a `LabelGraph`, gives the graph of the nodes that stay, whose edges stand for whole chains,
and what finds the labels inside them again. A chain is a run of nodes with two neighbours, all
with few labels: a tune without repeats is one chain that closes; repeats and endings leave
junctions with chains between them. Every second node of all chains is eliminated in one min-plus
product of stacked tables, then every second of those left: a chain of n nodes takes log n products.

The tables of a stack lie along its last axis, so that a product runs over all of them in its
innermost loop; they are padded with infinite costs to the size of the largest.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence, Set
from itertools import pairwise
from typing import Final

import numpy as np

from ...grammar.frozen import frozen
from .graph import LabelGraph
from .quantization import FloatArray, IntArray

#: The maximum number of labels of a node in a chain, to which its tables are padded. With more of
#: them the products take longer than the calls that are saved.
NARROW: Final = 16
#: The maximum number of sums in a product; a longer stack is computed in parts. It is 8 MB.
STACK_SUMS: Final = 1 << 20

#: The nodes of a chain with those between which it lies; both ends of a ring are one node.
Chain = tuple[int, ...]


def chains_of(graph: LabelGraph) -> tuple[Chain, ...]:
    """The chains of a graph; every node with two neighbours is inside one if all three are narrow.

    A ring without a junction begins and ends at its first node with the fewest labels.
    """
    near: list[list[int]] = [[] for _ in graph.unary]
    for i, j in graph.pairs:
        near[i].append(j)
        near[j].append(i)
    sizes = [len(costs) for costs in graph.unary]
    narrow = [size <= NARROW for size in sizes]
    inside = {
        node
        for node, others in enumerate(near)
        if len(others) == 2 and narrow[node] and narrow[others[0]] and narrow[others[1]]
    }
    ends = [node for node in range(len(near)) if node not in inside]
    chains = list(_walks(ends, near, inside))
    while inside:
        start = min(inside)
        ring = next(_walks([start], near, inside - {start}))
        inside.difference_update(ring)
        smallest = min(range(len(ring) - 1), key=lambda at: (sizes[ring[at]], ring[at]))
        chains.append((*ring[smallest:-1], *ring[: smallest + 1]))
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
class _Step:
    """Nodes that were eliminated at once, and what their labels depend on.

    `before` and `after` are stacks of tables: of the node `left` and the eliminated `node`, and of
    that and the node `right`.
    """

    left: IntArray
    node: IntArray
    right: IntArray
    before: FloatArray
    after: FloatArray

    def decide(self, labels: IntArray, join: np.ufunc) -> None:
        """Set the best labels of the nodes, the first of equal ones, from those beside them."""
        tables = np.arange(len(self.node))
        before = self.before[labels[self.left], :, tables]
        after = self.after[:, labels[self.right], tables]
        labels[self.node] = join(before.T, after).argmin(axis=0)


@frozen(eq=False)
class Contracted:
    """A graph without the insides of its chains: `graph` over the nodes `kept`, ascending."""

    graph: LabelGraph
    kept: tuple[int, ...]
    steps: tuple[_Step, ...]
    join: np.ufunc

    def whole(self, labels: Sequence[int]) -> tuple[int, ...]:
        """The best labels of all nodes, given those of the nodes that were kept."""
        count = len(self.kept) + sum(len(step.node) for step in self.steps)
        every = np.zeros(count, dtype=np.int64)
        every[list(self.kept)] = labels
        for step in reversed(self.steps):
            step.decide(every, self.join)
        return tuple(every.tolist())


def contracted(graph: LabelGraph, join: np.ufunc) -> Contracted:
    """The graph without the insides of its chains; the least cost stays what it is.

    `join` adds two costs, or takes the larger (`np.add`, `np.maximum`).
    """
    chains = chains_of(graph)
    if not chains:
        return Contracted(graph, tuple(range(len(graph.unary))), (), join)
    within = {node for chain in chains for node in chain[1:-1]}
    costs, steps = _eliminated(graph, chains, within, join)
    kept = tuple(node for node in range(len(graph.unary)) if node not in within)
    place = {node: at for at, node in enumerate(kept)}
    unary = [graph.unary[node] for node in kept]
    pairs = {
        (place[i], place[j]): table
        for (i, j), table in graph.pairs.items()
        if i in place and j in place
    }
    for at, chain in enumerate(chains):
        start, goal = place[chain[0]], place[chain[-1]]
        table = costs[: len(unary[start]), : len(unary[goal]), at]
        if start == goal:
            unary[start] = join(unary[start], table.diagonal())
            continue
        if start > goal:
            start, goal, table = goal, start, table.T
        known = pairs.get((start, goal))
        pairs[start, goal] = table if known is None else join(known, table)
    return Contracted(LabelGraph(tuple(unary), pairs), kept, steps, join)


def _eliminated(
    graph: LabelGraph, chains: Sequence[Chain], inside: Set[int], join: np.ufunc
) -> tuple[FloatArray, tuple[_Step, ...]]:
    """The least costs of each chain between the labels of its ends, and the steps to them."""
    starts = np.array([node for chain in chains for node in chain[:-1]])
    goals = np.array([node for chain in chains for node in chain[1:]])
    costs = _stack(graph, chains, inside, join)
    steps, runs, first = [], [], 0
    for chain in chains:
        runs.append(range(first, first + len(chain) - 1))
        first += len(chain) - 1
    while any(len(run) > 1 for run in runs):
        left = [link for run in runs for link in run[:-1:2]]
        right = [link for run in runs for link in run[1::2]]
        before, after = costs.take(left, axis=2), costs.take(right, axis=2)
        step = _Step(starts[left], goals[left], goals[right], before, after)
        costs[:, :, left] = _product(before, after, join)
        goals[left] = step.right
        steps.append(step)
        runs = [run[::2] for run in runs]
    return costs[:, :, [run[0] for run in runs]], tuple(steps)


def _stack(
    graph: LabelGraph, chains: Sequence[Chain], inside: Set[int], join: np.ufunc
) -> FloatArray:
    """The tables of all links of the chains; the costs of an inner node are in the link from it."""
    width = max(len(graph.unary[node]) for chain in chains for node in chain)
    links = [link for chain in chains for link in pairwise(chain)]
    stack = np.full((width, width, len(links)), np.inf)
    for at, (start, goal) in enumerate(links):
        table = graph.pairs[start, goal] if start < goal else graph.pairs[goal, start].T
        rows, columns = table.shape
        stack[:rows, :columns, at] = table
    alone = np.zeros((width, len(links)))
    for at, (start, _) in enumerate(links):
        if start in inside:
            alone[: len(graph.unary[start]), at] = graph.unary[start]
    return np.asarray(join(stack, alone[:, None]))


def _product(before: FloatArray, after: FloatArray, join: np.ufunc) -> FloatArray:
    """The min-plus products of two stacks of tables (or min-max), part by part."""
    width, _, count = before.shape
    part = max(1, STACK_SUMS // width**3)
    middle = before.transpose(1, 0, 2)[:, :, None], after[:, None]
    products = [
        join(*(tables[..., at : at + part] for tables in middle)).min(axis=0)
        for at in range(0, count, part)
    ]
    return products[0] if len(products) == 1 else np.concatenate(products, axis=2)
