"""Tables of costs over a few nodes: how they are joined, and what is left without one of the nodes.

Takes `Factor`s, gives tables; with `np.add` this is a min-plus product, with `np.maximum` its
counterpart for the largest of the costs.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import prod
from typing import Final

import numpy as np

from .grain import Numbers

#: Sums that are made at once; larger tables are made slice by slice to spare memory.
CACHE_SUMS: Final = 1 << 20


@dataclass(frozen=True, slots=True, eq=False)
class Factor:
    """A table of costs over the nodes of `scope`, one axis for each, nodes ascending."""

    scope: tuple[int, ...]
    table: Numbers


def scope_of(factors: Iterable[Factor], node: int) -> tuple[int, ...]:
    """The nodes that share a factor with a node, ascending."""
    return tuple(sorted({one for factor in factors for one in factor.scope} - {node}))


def spread(factor: Factor, axes: tuple[int, ...]) -> Numbers:
    """The factor's table with its axes in the order of `axes`, one long where it has none."""
    scope, table = factor.scope, factor.table
    if len(scope) == 1:
        return table.reshape([-1 if node == scope[0] else 1 for node in axes])
    order = [scope.index(node) for node in axes if node in scope]
    sizes = iter([table.shape[axis] for axis in order])
    return table.transpose(order).reshape([next(sizes) if node in scope else 1 for node in axes])


def least_over(
    node: int, scope: tuple[int, ...], factors: list[Factor], sizes: list[int], join: np.ufunc
) -> Numbers:
    """The least over a node's labels of its joined factors, as a table over `scope`.

    A large table is made one slice at a time, to spare memory.
    """
    axes = (node, *scope)
    tables = [spread(factor, axes) for factor in factors]
    if not scope or prod(sizes[one] for one in axes) <= CACHE_SUMS:
        return np.asarray(joined(tables, join).min(axis=0))
    rows = [
        joined([table[:, row if table.shape[1] > 1 else 0] for table in tables], join).min(axis=0)
        for row in range(sizes[scope[0]])
    ]
    return np.stack(rows)


def joined(tables: list[Numbers], join: np.ufunc) -> Numbers:
    """All tables joined by `np.add` or `np.maximum`, the small ones first."""
    first, *rest = sorted(tables, key=lambda one: one.size)
    total = first
    for table in rest:
        total = join(total, table)
    return total
