"""The k best labellings of a graph, exactly and in order.

Takes a `LabelGraph`, gives `Solution`s. The set of all labellings is split again and again: the
second best of a set differs from its best in some node, and its cost is the least of the
min-marginals of labels that the best does not use; splitting on that label parts the two. Source:
the scheme of Yanover and Weiss (2003) and Fromer and Globerson (2009), from memory. Equal costs
come in the order found.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import count

from .eliminate import Solution, solve, solve_within
from .graph import Allowed, LabelGraph, all_labels, narrowed, restricted
from .marginals import min_marginals


@dataclass(frozen=True, slots=True)
class _Part:
    """A set of labellings: the labels allowed on each node, and its best labelling."""

    allowed: Allowed
    best: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Queue:
    """Second bests by cost, then by turn: (cost, turn, part, node, label)."""

    heap: list[tuple[float, int, _Part, int, int]]
    turns: Iterator[int]


def k_best(graph: LabelGraph, k: int) -> list[Solution]:
    """The k least costly labellings, fewer when there are not so many.

    Raises PlanError when the graph is too tangled for an exact elimination.
    """
    first = solve(graph)
    found = [first]
    queue = _Queue([], count())
    _queue_second(graph, _Part(all_labels(graph), first.labels), queue)
    while queue.heap and len(found) < k:
        _, _, part, node, label = heappop(queue.heap)
        with_label = narrowed(part.allowed, node, (label,))
        found.append(solve_within(graph, with_label))
        _queue_second(graph, _Part(with_label, found[-1].labels), queue)
        others = tuple(one for one in part.allowed[node] if one != label)
        _queue_second(graph, _Part(narrowed(part.allowed, node, others), part.best), queue)
    return found[:k]


def _queue_second(graph: LabelGraph, part: _Part, queue: _Queue) -> None:
    """Queue the second best of a part by its cost, unless the part holds a single labelling."""
    second: tuple[float, int, int] | None = None
    for node, costs in enumerate(min_marginals(restricted(graph, part.allowed))):
        for label, cost in zip(part.allowed[node], costs.tolist(), strict=True):
            if label != part.best[node] and (second is None or cost < second[0]):
                second = cost, node, label
    if second is not None:
        heappush(queue.heap, (second[0], next(queue.turns), part, *second[1:]))
