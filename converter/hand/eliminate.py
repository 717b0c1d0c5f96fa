"""The exact least labelling of a graph with cycles, by elimination of its nodes.

Takes a `LabelGraph`, gives a `Solution`. A node with two neighbours is contracted by a min-plus
matrix product, so that the chains of a form vanish first; the junctions that are left (where
repeats, endings and jumps meet) are eliminated with tables over their neighbours. Time grows
linearly with the length of a form. Where a table would take more than `limit` sums, the node's
costs are split into parts that are minimised apart: the result is then a lower bound. If the plan
found lies above it, labels that no best plan uses are left out and all is done again; a gap that is
still there is said.

Ties: of equal labels of a node, given the labels of its neighbours, the first is taken, nodes being
decided in the reverse order of elimination. Sources: variable elimination as in Dechter, "Bucket
elimination" (1999), and mini-buckets as in Dechter and Rish (2003), both from memory.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from heapq import heapify, heappop, heappush
from math import prod
from typing import Final

import numpy as np

from .dead_ends import without_dead_ends
from .factors import Factor, least_over, scope_of
from .grain import Numbers
from .graph import Allowed, LabelGraph, restricted

#: Sums that one table may take: a quarter of a second or so.
TABLE_LIMIT: Final = 50_000_000


@dataclass(frozen=True, slots=True, eq=False)
class Bucket:
    """A node as it was eliminated: the factors that then touched it."""

    node: int
    factors: tuple[Factor, ...]


@dataclass(frozen=True, slots=True)
class Solution:
    """The labels found, their cost, and a lower bound on every cost.

    `buckets` are the nodes in the order of their elimination; `split` tells that some table would
    have outgrown the limit and was minimised in parts.
    """

    labels: tuple[int, ...]
    cost: float
    bound: float
    buckets: tuple[Bucket, ...] = field(default=(), repr=False)
    split: bool = False

    @property
    def optimal(self) -> bool:
        """Whether the cost is proved to be the least."""
        return self.cost <= self.bound


def solve(graph: LabelGraph, limit: int = TABLE_LIMIT, maximum: bool = False) -> Solution:
    """The labelling of least cost: the sum of all costs, or (`maximum`) the largest of them."""
    found = _eliminated(graph, limit, maximum)
    if not found.split or found.optimal or maximum:
        return found
    allowed = without_dead_ends(graph)
    inner = _whole(_eliminated(restricted(graph, allowed), limit, False), allowed)
    return replace(inner, bound=max(inner.bound, found.bound), split=True)


def solve_within(graph: LabelGraph, allowed: Allowed) -> Solution:
    """The best of the labellings that keep to the allowed labels."""
    return _whole(solve(restricted(graph, allowed)), allowed)


def _whole(inner: Solution, allowed: Allowed) -> Solution:
    """A solution among the allowed labels alone, in the labels of the whole graph."""
    labels = tuple(keep[label] for keep, label in zip(allowed, inner.labels, strict=True))
    return Solution(labels, inner.cost, inner.bound, split=inner.split)


def _eliminated(graph: LabelGraph, limit: int, maximum: bool) -> Solution:
    elimination = _Elimination(graph, limit, np.maximum if maximum else np.add)
    bound = elimination.run()
    labels = _decode(elimination)
    cost = graph.worst(labels) if maximum and labels else graph.cost(labels)
    if cost > bound and not maximum:
        labels = _improved(graph, labels)
        cost = graph.cost(labels)
    return Solution(labels, cost, bound, tuple(elimination.buckets), elimination.split)


class _Elimination:
    """The working state of one elimination; lives for one call of `solve`."""

    def __init__(self, graph: LabelGraph, limit: int, join: np.ufunc) -> None:
        self.sizes = [len(costs) for costs in graph.unary]
        self.limit = limit
        self.join = join
        self.touching: list[list[Factor]] = [
            [Factor((node,), costs)] for node, costs in enumerate(graph.unary)
        ]
        self.near: list[set[int]] = [set() for _ in self.sizes]
        for (i, j), table in graph.pairs.items():
            self._add(Factor((i, j), table))
        self.buckets: list[Bucket] = []
        self.rest: list[float] = []
        self.split = False

    def _add(self, factor: Factor) -> None:
        for node in factor.scope:
            self.touching[node].append(factor)
            self.near[node].update(factor.scope)
            self.near[node].discard(node)

    def _work(self, node: int) -> int:
        return self.sizes[node] * prod(self.sizes[other] for other in self.near[node])

    def run(self) -> float:
        """Eliminate every node, the least work first; the least cost, or a lower bound on it."""
        queue = [(self._work(node), node) for node in range(len(self.sizes))]
        heapify(queue)
        done = [False] * len(self.sizes)
        while queue:
            work, node = heappop(queue)
            if done[node] or work != self._work(node):
                continue
            done[node] = True
            for other in self._eliminate(node):
                heappush(queue, (self._work(other), other))
        return float(self.join.reduce(self.rest)) if self.rest else 0.0

    def _eliminate(self, node: int) -> list[int]:
        factors = self.touching[node]
        near = sorted(self.near[node])
        self.buckets.append(Bucket(node, tuple(factors)))
        for other in near:
            self.touching[other] = [one for one in self.touching[other] if node not in one.scope]
            self.near[other] = {one for known in self.touching[other] for one in known.scope}
            self.near[other].discard(other)
        for part in self._parts(node, factors):
            scope = scope_of(part, node)
            table = least_over(node, scope, part, self.sizes, self.join)
            if scope:
                self._add(Factor(scope, table))
            else:
                self.rest.append(float(table))
        return near

    def _parts(self, node: int, factors: list[Factor]) -> Iterable[list[Factor]]:
        """The factors in one part, or in as many as keep every table within the limit."""
        if self._scope_work(node, factors) <= self.limit:
            return [factors]
        self.split = True
        parts: list[list[Factor]] = []
        for factor in sorted(factors, key=lambda one: (-len(one.scope), one.scope)):
            home = next(
                (part for part in parts if self._scope_work(node, [*part, factor]) <= self.limit),
                None,
            )
            if home is None:
                parts.append([factor])
            else:
                home.append(factor)
        return parts

    def _scope_work(self, node: int, factors: list[Factor]) -> int:
        scope = {one for factor in factors for one in factor.scope} | {node}
        return prod(self.sizes[one] for one in scope)


def _decode(elimination: _Elimination) -> tuple[int, ...]:
    labels = [0] * len(elimination.sizes)
    for bucket in reversed(elimination.buckets):
        costs: Numbers | None = None
        for factor in bucket.factors:
            at = tuple(
                slice(None) if node == bucket.node else labels[node] for node in factor.scope
            )
            row = factor.table[at]
            costs = row if costs is None else elimination.join(costs, row)
        assert costs is not None  # every node has its own costs
        labels[bucket.node] = int(costs.argmin())
    return tuple(labels)


def _improved(graph: LabelGraph, labels: tuple[int, ...]) -> tuple[int, ...]:
    """The labelling improved node by node until no single change of label helps."""
    best = list(labels)
    near = graph.neighbours()
    moving = True
    while moving:
        moving = False
        for node, costs in enumerate(graph.unary):
            total = costs + sum(table[:, best[other]] for other, table in near[node])
            label = int(total.argmin())
            if total[label] < total[best[node]]:
                best[node], moving = label, True
    return tuple(best)
