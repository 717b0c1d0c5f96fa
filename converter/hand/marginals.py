"""What every label of every node costs when all others are planned around it, exactly.

Takes a `LabelGraph`, gives for each node the least cost of all labellings with each of its labels:
the numbers behind alternatives and the k best plans. They come from one elimination and one pass
back over its buckets. Only for graphs that `solve` eliminates exactly.
"""

from __future__ import annotations

import numpy as np

from .eliminate import Bucket, Solution, solve
from .factors import joined, scope_of, spread
from .grain import Numbers
from .graph import LabelGraph
from .plan import PlanError


def min_marginals(graph: LabelGraph, solution: Solution | None = None) -> tuple[Numbers, ...]:
    """For each node the least cost of the whole with each of its labels.

    Raises PlanError when the graph is too tangled for an exact elimination.
    """
    solution = solve(graph) if solution is None else solution
    if solution.split:
        raise PlanError("the form is too tangled to rank its plans exactly")
    place = {bucket.node: at for at, bucket in enumerate(solution.buckets)}
    outside: dict[int, Numbers] = {}
    found: dict[int, Numbers] = {}
    for bucket in reversed(solution.buckets):
        near = scope_of(bucket.factors, bucket.node)
        inside = _costs(bucket)
        if near:
            parent = min(near, key=lambda node: place[node])
            upper = solution.buckets[place[parent]]
            beyond = _outside(upper, outside[parent], near) - inside.min(axis=0)
        else:
            beyond = np.array(solution.cost - inside.min())
        outside[bucket.node] = beyond
        found[bucket.node] = (inside + beyond[None]).reshape(len(inside), -1).min(axis=1)
    return tuple(found[node] for node in range(len(graph.unary)))


def _axes(bucket: Bucket) -> tuple[int, ...]:
    """The bucket's own node and the neighbours that it had when it was eliminated."""
    return (bucket.node, *scope_of(bucket.factors, bucket.node))


def _costs(bucket: Bucket) -> Numbers:
    """The sum of a bucket's factors over its axes."""
    return joined([spread(factor, _axes(bucket)) for factor in bucket.factors], np.add)


def _outside(parent: Bucket, beyond: Numbers, near: tuple[int, ...]) -> Numbers:
    """The least cost of everything, as a table over `near`, nodes of the parent's bucket."""
    axes = _axes(parent)
    whole = _costs(parent) + beyond[None]
    whole = whole.min(axis=tuple(at for at, node in enumerate(axes) if node not in near))
    kept = [node for node in axes if node in near]
    return np.asarray(whole.transpose([kept.index(node) for node in near]))
