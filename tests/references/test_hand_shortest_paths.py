"""The plan against shortest paths of networkx and scipy, on chains and on cycles.

On a chain (the form played once, its loop back cut open) a plan is a shortest path through layers
of grips; on a cycle it is the shortest of the paths that come back to the grip they began with.
Sources: networkx `shortest_path_length` (Dijkstra), scipy `csgraph.dijkstra`.
"""

from __future__ import annotations

import random
from itertools import pairwise

import networkx
import pytest
from benchmarks.bench_plan import by_scipy, cost_of, opened_ring, sparse_matrix
from midneck.converter.hand.graph import LabelGraph
from midneck.converter.hand.plan import PlanOptions
from midneck.converter.hand.planner import task_of
from midneck.converter.hand.player import Player
from midneck.converter.hand.solver import solve
from support.hand_sheets import sheet, straight
from support.roots import ROOTS

KINDS = ("7", "m7", "6", "maj7", "m6", "m7b5", "7b9", "")


def random_cycle(seed: int) -> LabelGraph:
    """The graph of a tune that is played straight through and loops: nodes in one ring."""
    chance = random.Random(seed)
    symbols = [chance.choice(ROOTS) + chance.choice(KINDS) for _ in range(chance.randint(3, 20))]
    written = sheet(" ".join(symbols), tempo=chance.randrange(80, 260, 20))
    return task_of(straight(written), Player(), PlanOptions()).graph


def opened(graph: LabelGraph) -> LabelGraph:
    """The ring cut open between its last node and its first."""
    ends = 0, len(graph.unary) - 1
    pairs = {key: table for key, table in graph.pairs.items() if key != ends}
    return LabelGraph(graph.unary, pairs)


@pytest.mark.parametrize("seed", range(25))
def test_chains_cost_what_networkx_finds(seed: int) -> None:
    graph = opened(random_cycle(seed))
    paths = networkx.DiGraph()
    for label, cost in enumerate(graph.unary[0]):
        paths.add_edge("start", (0, label), weight=float(cost))
    for node, after in pairwise(range(len(graph.unary))):
        for label, row in enumerate(graph.pairs[node, after]):
            for other, cost in enumerate(row):
                total = float(cost) + float(graph.unary[after][other])
                paths.add_edge((node, label), (after, other), weight=total)
    last = len(graph.unary) - 1
    for label in range(len(graph.unary[last])):
        paths.add_edge((last, label), "goal", weight=0.0)
    expected = networkx.shortest_path_length(paths, "start", "goal", weight="weight")
    assert solve(graph).cost_mm == expected


@pytest.mark.parametrize("seed", range(25, 45))
def test_cycles_cost_what_scipy_finds(seed: int) -> None:
    """From every grip of the first chord round to itself; the least is the plan."""
    graph = random_cycle(seed)
    ring = opened_ring(graph)
    least = cost_of(ring, by_scipy(ring, sparse_matrix(ring)))
    assert solve(graph).cost_mm == pytest.approx(least, abs=1e-6)
