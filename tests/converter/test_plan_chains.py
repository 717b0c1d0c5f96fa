"""Chains are swept from end to end: judged by the elimination of node after node.

`min_marginals` takes no chains out; its least cost is that of a graph without this shortcut.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from midneck.converter.hand.chains import NARROW, chains_of, contracted
from midneck.converter.hand.graph import LabelGraph
from midneck.converter.hand.solver import min_marginals, solve

#: Edges of forms: a ring, rings that meet in a junction, a ladder of chains, an open chain, a loop
#: at a node of its own, two rings apart, nothing.
FORMS = (
    [(i, (i + 1) % 9) for i in range(9)],
    [(0, 1), (1, 2), (2, 0), (0, 3), (3, 4), (4, 5), (5, 0)],
    [(0, 1), (1, 2), (2, 3), (0, 4), (4, 3), (0, 5), (5, 6), (6, 3), (0, 3)],
    [(i, i + 1) for i in range(7)],
    [(0, 1), (1, 2), (2, 3), (3, 1), (3, 4)],
    [(0, 1), (1, 2), (2, 0), (3, 4), (4, 5), (5, 6), (6, 3)],
    [],
)


def random_graph(form: int, seed: int, most: int) -> LabelGraph:
    """A graph of a form with at most so many labels a node; whole costs, so that ties are many."""
    rng = np.random.default_rng((form, seed))
    count = max((node for edge in FORMS[form] for node in edge), default=1) + 1
    sizes = rng.integers(1, most + 1, count)
    unary = tuple(rng.integers(0, 30, size).astype(float) for size in sizes)
    edges = sorted({tuple(sorted(edge)) for edge in FORMS[form]})
    pairs = {(i, j): rng.integers(0, 30, (sizes[i], sizes[j])).astype(float) for i, j in edges}
    return LabelGraph(unary, pairs)


@pytest.mark.parametrize("most", [1, 4, NARROW, NARROW + 8])
@pytest.mark.parametrize("form", range(len(FORMS)))
def test_the_least_cost_is_that_without_chains(form: int, most: int) -> None:
    for seed in range(12):
        graph = random_graph(form, seed, most)
        found = solve(graph)
        assert found.cost_mm == graph.cost(found.labels)
        assert found.cost_mm == sum_of_parts(graph)


def sum_of_parts(graph: LabelGraph) -> float:
    """The least cost by the other elimination: every node's best marginal is the whole."""
    marginals = min_marginals(graph)
    assert len({float(costs.min()) for costs in marginals}) == 1
    return float(marginals[0].min())


@pytest.mark.parametrize("form", range(len(FORMS)))
def test_the_worst_cost_is_that_of_the_labels(form: int) -> None:
    for seed in range(12):
        graph = random_graph(form, seed, 4)
        found = solve(graph, maximum=True)
        assert found.cost_mm == graph.worst(found.labels)
        assert found.cost_mm == least_threshold(graph)


def least_threshold(graph: LabelGraph) -> float:
    """The least limit under which a labelling remains when every greater cost is forbidden."""
    costs = [table.ravel() for table in (*graph.unary, *graph.pairs.values())]
    for limit in np.unique(np.concatenate(costs)):
        unary = tuple(np.where(one <= limit, 0.0, 1.0) for one in graph.unary)
        pairs = {ends: np.where(table <= limit, 0.0, 1.0) for ends, table in graph.pairs.items()}
        if sum_of_parts(LabelGraph(unary, pairs)) == 0.0:
            return float(limit)
    raise AssertionError("the largest cost allows every labelling")


@pytest.mark.parametrize("form", range(len(FORMS)))
def test_every_narrow_node_between_two_narrow_ones_is_inside_one_chain(form: int) -> None:
    graph = random_graph(form, 3, NARROW)
    near: dict[int, set[int]] = {}
    for i, j in graph.pairs:
        near.setdefault(i, set()).add(j)
        near.setdefault(j, set()).add(i)
    found = chains_of(graph)
    inside = [node for chain in found for node in chain[1:-1]]
    assert len(inside) == len(set(inside))
    rings = [chain for chain in found if chain[0] == chain[-1]]
    passed = {node for node, others in near.items() if len(others) == 2}
    cut = {chain[0] for chain in rings if chain[0] in passed}
    assert set(inside) == passed - cut
    for chain in found:
        assert all(other in near[node] for node, other in pairwise(chain))
    for ring in rings:
        if ring[0] in cut:
            assert len(graph.unary[ring[0]]) == min(len(graph.unary[node]) for node in ring)


@pytest.mark.parametrize("form", range(len(FORMS)))
def test_a_chain_begins_at_its_end_with_fewer_labels(form: int) -> None:
    for seed in range(12):
        graph = random_graph(form, seed, 9)
        for chain in chains_of(graph):
            assert len(graph.unary[chain[0]]) <= len(graph.unary[chain[-1]])


def test_of_equal_labels_the_first_is_taken() -> None:
    for form in range(len(FORMS)):
        graph = random_graph(form, 0, 4)
        unary = tuple(np.zeros_like(costs) for costs in graph.unary)
        flat = {ends: np.zeros_like(table) for ends, table in graph.pairs.items()}
        assert set(solve(LabelGraph(unary, flat)).labels) == {0}


def test_nodes_that_stay_keep_their_order() -> None:
    short = contracted(random_graph(2, 1, 4), np.add)
    assert short.kept == (0, 3)
    assert list(short.graph.pairs) == [(0, 1)]
