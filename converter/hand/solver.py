"""The exact least labelling of a graph with cycles, and the least cost with each label.

Takes a `LabelGraph`, gives a `Solution`. The insides of chains are swept first (see `chains.py`);
the nodes that remain, where repeats, endings and jumps meet, are eliminated one after another, the
least work first: the costs of a node's best labels become a table over its neighbours (a
min-plus product; on a chain this is the shortest path). Time grows linearly with the length of a
form.

If a table would take more than `limit` sums, or all tables together more than the budget of a form
(`SUMS_LIMIT`, `COSTS_LIMIT`), the costs of the node are split into parts that are minimised
separately; the result is then a lower bound. If the labelling found costs more than the bound, the
labels that no best labelling uses are removed and the elimination is repeated; a gap that remains
is part of the `Solution`.

Ties: of equal labels of a node, given the labels of its neighbours, the first is taken; the nodes
are decided in the reverse order of elimination, those of a chain from its last one. Sources, from
memory: variable elimination as in Dechter, "Bucket elimination" (1999), mini-buckets as in Dechter
and Rish (2003), dead ends by the criterion of Goldstein (1994).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from heapq import heapify, heappop, heappush
from math import prod
from typing import Final

import numpy as np

from ...grammar.frozen import frozen
from .chains import contracted
from .graph import Allowed, LabelGraph, restricted
from .plan import PlanError
from .quantization import FloatArray

#: The number of sums computed at once; larger tables are computed in slices to save memory.
CACHE_SUMS: Final = 1 << 20


@frozen(eq=False)
class Factor:
    """A table of costs over the nodes of `scope`, one axis for each, nodes ascending."""

    scope: tuple[int, ...]
    table: FloatArray


def scope_of(factors: Iterable[Factor], node: int) -> tuple[int, ...]:
    """The nodes that share a factor with a node, ascending."""
    return tuple(sorted({other for factor in factors for other in factor.scope} - {node}))


def spread(factor: Factor, axes: tuple[int, ...]) -> FloatArray:
    """The factor's table with its axes in the order of `axes`; missing axes have length 1."""
    scope, table = factor.scope, factor.table
    if len(scope) == 1:
        return table.reshape([-1 if node == scope[0] else 1 for node in axes])
    order = [scope.index(node) for node in axes if node in scope]
    sizes = iter([table.shape[axis] for axis in order])
    return table.transpose(order).reshape([next(sizes) if node in scope else 1 for node in axes])


def least_over(
    node: int, scope: tuple[int, ...], factors: list[Factor], sizes: list[int], join: np.ufunc
) -> FloatArray:
    """The least over a node's labels of its joined factors, as a table over `scope`.

    A large table is computed in slices along its first axes, to save memory.
    """
    axes = (node, *scope)
    tables = [spread(factor, axes) for factor in factors]
    shape = [sizes[other] for other in scope]
    sums, sliced = sizes[node] * prod(shape), 0
    while sums > CACHE_SUMS and sliced < len(scope):
        sums, sliced = sums // shape[sliced], sliced + 1
    if not sliced:
        return np.asarray(joined(tables, join).min(axis=0))
    least = np.empty(shape)
    for at in np.ndindex(*shape[:sliced]):
        slices = [table[_sliced(table, at)] for table in tables]
        least[at] = joined(slices, join).min(axis=0)
    return least


def _sliced(table: FloatArray, at: tuple[int, ...]) -> tuple[int | slice, ...]:
    """The index of a slice of a table at its axes after the first; missing axes have length 1."""
    rows = zip(at, table.shape[1:], strict=False)
    return (slice(None), *(row if size > 1 else 0 for row, size in rows))


def joined(tables: list[FloatArray], join: np.ufunc) -> FloatArray:
    """All tables joined by `np.add` or `np.maximum`, the small ones first."""
    first, *rest = sorted(tables, key=lambda table: table.size)
    total = first
    for table in rest:
        total = join(total, table)
    return total


def without_dead_ends(graph: LabelGraph) -> Allowed:
    """The labels of each node that are not dead ends, in their order.

    A label is a dead end if another label of its node costs less for all labels of the neighbours.
    Its removal changes neither the least cost nor which of equal labellings comes first. In a form
    past the budget (`SUMS_LIMIT`) some of them may be left.
    """
    keep = [np.arange(len(costs)) for costs in graph.unary]
    near = graph.neighbours()
    left = SUMS_LIMIT
    shrinking = True
    while shrinking and left > 0:
        shrinking = False
        for node, costs in enumerate(graph.unary):
            mine = keep[node]
            margin = costs[mine][:, None] - costs[mine][None, :]
            for other, table in near[node]:
                margin = margin + _least_margin(table[np.ix_(mine, keep[other])])
                left -= len(mine) ** 2 * len(keep[other])
            alive = ~(margin > 0).any(axis=1)
            if not alive.all():
                keep[node] = mine[alive]
                shrinking = True
    return tuple(tuple(rows.tolist()) for rows in keep)


def _least_margin(table: FloatArray) -> FloatArray:
    """For each pair of labels the minimum of the first's cost less the second's."""
    return np.asarray((table[:, None, :] - table[None, :, :]).min(axis=2))


#: The maximum number of sums for one table: about a quarter of a second.
TABLE_LIMIT: Final = 50_000_000
#: The maximum number of sums for all tables over three nodes and more: a few seconds. Smaller
#: tables are linear in the length of the form.
SUMS_LIMIT: Final = 500_000_000
#: The maximum number of costs in these tables, which are all kept: 80 MB.
COSTS_LIMIT: Final = 10_000_000
#: The maximum number of axes of a table: numpy before 2.0 has 32, of which one joins tables.
MOST_AXES: Final = 31
#: The maximum number of sums in a table of `min_marginals`, which holds it whole: 128 MB.
MARGINAL_LIMIT: Final = 1 << 24


@frozen(eq=False)
class Bucket:
    """An eliminated node with the factors that contained it at that time."""

    node: int
    factors: tuple[Factor, ...]


@frozen
class Solution:
    """The labels, their cost, and a lower bound on the cost of every labelling, in mm.

    `split` tells whether a table was larger than the limit and was minimised in parts.
    """

    labels: tuple[int, ...]
    cost_mm: float
    bound_mm: float
    split: bool = False

    @property
    def optimal(self) -> bool:
        """Whether the cost is proved to be the least."""
        return self.cost_mm <= self.bound_mm


def solve(graph: LabelGraph, limit: int = TABLE_LIMIT, maximum: bool = False) -> Solution:
    """The labelling of least cost: the sum of all costs, or (`maximum`) the largest of them."""
    first_solution = _eliminated(graph, limit, maximum)
    if not first_solution.split or first_solution.optimal or maximum:
        return first_solution
    allowed = without_dead_ends(graph)
    inner = _whole(_eliminated(restricted(graph, allowed), limit, False), allowed)
    return replace(inner, bound_mm=max(inner.bound_mm, first_solution.bound_mm), split=True)


def solve_within(graph: LabelGraph, allowed: Allowed) -> Solution:
    """The best of the labellings that use only the allowed labels."""
    return _whole(solve(restricted(graph, allowed)), allowed)


def _whole(inner: Solution, allowed: Allowed) -> Solution:
    """A solution of the restricted graph, with labels numbered as in the whole graph."""
    labels = tuple(keep[label] for keep, label in zip(allowed, inner.labels, strict=True))
    return Solution(labels, inner.cost_mm, inner.bound_mm, split=inner.split)


def _eliminated(graph: LabelGraph, limit: int, maximum: bool) -> Solution:
    join = np.maximum if maximum else np.add
    short = contracted(graph, join)
    elimination = _Elimination(short.graph, limit, join)
    bound = elimination.run()
    labels = short.whole(_decode(elimination))
    if not elimination.split:
        return Solution(labels, bound, bound)
    cost = graph.worst(labels) if maximum else graph.cost(labels)
    if cost > bound and not maximum:
        labels = _improved(graph, labels)
        cost = graph.cost(labels)
    return Solution(labels, cost, bound, split=True)


class _Elimination:
    """The working state of one elimination; lives for one call of `solve`."""

    def __init__(self, graph: LabelGraph, limit: int, join: np.ufunc) -> None:
        self.sizes = [len(costs) for costs in graph.unary]
        self.limit = limit
        self.sums_left = SUMS_LIMIT
        self.costs_left = COSTS_LIMIT
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
        """Eliminate every node, the least work first; gives the least cost or a lower bound."""
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
            rest = [factor for factor in self.touching[other] if node not in factor.scope]
            self.touching[other] = rest
            self.near[other] = {at for factor in rest for at in factor.scope}
            self.near[other].discard(other)
        for part in self._parts(node, factors):
            scope = scope_of(part, node)
            table = least_over(node, scope, part, self.sizes, self.join)
            if len(scope) > 2:
                self.sums_left -= table.size * self.sizes[node]
                self.costs_left -= table.size
            if scope:
                self._add(Factor(scope, table))
            else:
                self.rest.append(float(table))
        return near

    def _parts(self, node: int, factors: list[Factor]) -> Iterable[list[Factor]]:
        """The factors in one part, or in as many parts as the limits on tables need."""
        if self._fits(node, self.near[node]):
            return [factors]
        self.split = True
        parts: list[tuple[set[int], list[Factor]]] = []
        for factor in sorted(factors, key=lambda factor: (-len(factor.scope), factor.scope)):
            scope = set(factor.scope) - {node}
            tried = parts if scope and self.sums_left > 0 and self.costs_left > 0 else parts[:1]
            home = next((part for part in tried if self._fits(node, part[0] | scope)), None)
            if home is None:
                parts.append((scope, [factor]))
            else:
                home[0].update(scope)
                home[1].append(factor)
        return [part for _, part in parts]

    def _fits(self, node: int, scope: set[int]) -> bool:
        """Whether a table over `scope`, with the node's labels minimised, is within the limits."""
        costs = prod(self.sizes[other] for other in scope)
        sums = costs * self.sizes[node]
        if len(scope) <= 2:
            return sums <= self.limit
        within = sums <= min(self.limit, self.sums_left) and costs <= self.costs_left
        return within and len(scope) < MOST_AXES


def _decode(elimination: _Elimination) -> tuple[int, ...]:
    labels = [0] * len(elimination.sizes)
    for bucket in reversed(elimination.buckets):
        costs: FloatArray | None = None
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
    """The labelling improved node by node until no change of a single label lowers the cost."""
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


def min_marginals(graph: LabelGraph, limit: int = TABLE_LIMIT) -> tuple[FloatArray, ...]:
    """For each node the least cost of a labelling with each of its labels.

    They are computed by one elimination of node after node and one pass back over its buckets.
    Raises PlanError when the graph is too tangled for an exact elimination.
    """
    elimination = _Elimination(graph, limit, np.add)
    least = elimination.run()
    buckets, sizes = elimination.buckets, elimination.sizes
    most = max((prod(sizes[node] for node in _axes(one)) for one in buckets), default=0)
    if elimination.split or most > MARGINAL_LIMIT:
        raise PlanError("the form is too tangled to rank its plans exactly")
    place = {bucket.node: at for at, bucket in enumerate(buckets)}
    outside: dict[int, FloatArray] = {}
    marginals: dict[int, FloatArray] = {}
    for bucket in reversed(buckets):
        near = scope_of(bucket.factors, bucket.node)
        inside = _costs(bucket)
        if near:
            parent = min(near, key=lambda node: place[node])
            upper = buckets[place[parent]]
            beyond = _outside(upper, outside[parent], near) - inside.min(axis=0)
        else:
            beyond = np.array(least - inside.min())
        outside[bucket.node] = beyond
        marginals[bucket.node] = (inside + beyond[None]).reshape(len(inside), -1).min(axis=1)
    return tuple(marginals[node] for node in range(len(graph.unary)))


def _axes(bucket: Bucket) -> tuple[int, ...]:
    """The bucket's own node and the neighbours that it had when it was eliminated."""
    return (bucket.node, *scope_of(bucket.factors, bucket.node))


def _costs(bucket: Bucket) -> FloatArray:
    """The sum of a bucket's factors over its axes."""
    return joined([spread(factor, _axes(bucket)) for factor in bucket.factors], np.add)


def _outside(parent: Bucket, beyond: FloatArray, near: tuple[int, ...]) -> FloatArray:
    """The least cost of everything, as a table over `near`, nodes of the parent's bucket."""
    axes = _axes(parent)
    whole = _costs(parent) + beyond[None]
    whole = whole.min(axis=tuple(at for at, node in enumerate(axes) if node not in near))
    kept = [node for node in axes if node in near]
    return np.asarray(whole.transpose([kept.index(node) for node in near]))
