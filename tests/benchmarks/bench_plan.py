"""How fast the hand is planned, against shortest paths of scipy and networkx on the same graph.

The rivals are given tunes played straight through and looped: repeats and endings, which make the
graph more than a ring, they cannot say as a shortest path at all. Each is given the ring in the
form that suits it, cut open at its smallest node, and is timed without making it: scipy its sparse
matrix, networkx its graph, a sweep of min-plus products by numpy (for rings alone) its tables.

Ours is timed with all costs given, from the grips and changes of a tune, whose travel and graph are
then worked out too ("from grips"), and from the chords as they stand on the sheet, nothing seen
before ("from chords"). All give the labels of a least plan, and not its cost alone: the rivals go
back over what they kept, scipy over its predecessors.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from itertools import accumulate, pairwise

import networkx
import numpy as np
from benchmarks.rows import Extent, Row, at_least, at_most, forget, in_turns
from midneck.converter.hand.costs import lead_matrix
from midneck.converter.hand.graph import LabelGraph, build
from midneck.converter.hand.plan import PlanOptions
from midneck.converter.hand.planner import PlanTask, plan_hand, task_of
from midneck.converter.hand.player import Player
from midneck.converter.hand.solver import Solution, solve
from midneck.converter.timeline import Timeline, timeline_of
from scipy.sparse import csr_array
from scipy.sparse.csgraph import dijkstra
from support.hand_sheets import form, sheet, straight
from support.roots import ROOTS

forget_grips = forget("midneck.converter.hand")

CHORUS = (
    "Gm7 C7 F6 D7b9 Gm7 C7 F6 C7 F6 F6 Cm7 F7 Bb6 Bb6 Dbm7 Gb7 Bb6 C7 Gm7 C7 F6 D7b9 Gm7 C7 F6 F6"
)
BARS = 64


def rows(extent: Extent) -> list[Row]:
    """A long tune and a chorus as rings, the chorus with its repeats, and how planning grows."""
    repeated = chorus()
    ring, tune = straight(repeated.sheet), long_tune(min(BARS, extent.bars))
    return [
        *_rivals(f"plan of {len(tune.sheet.chords)} chords", tune, tune, extent.rounds),
        *_rivals("plan of a 32-bar chorus", ring, ring, extent.rounds),
        *_rivals("the chorus with repeat and endings", repeated, ring, extent.rounds, "straight"),
        *_growth(extent),
    ]


def chorus() -> Timeline:
    """32 bars: A with a repeat and two endings, a bridge, A again."""
    written = sheet(CHORUS)
    first = [0, 1, 2, 3, 4, 5]
    order = [*first, 6, 7, *first, 8, 9, *range(10, 26)]
    return timeline_of(written, form(order, written))


def long_tune(bars: int) -> Timeline:
    """A tune of that many bars, no two of them planned alike, played straight through."""
    chance = random.Random(bars)
    kinds = ("7", "m7", "6", "maj7", "m7b5", "7b9")
    written = sheet(" ".join(chance.choice(ROOTS) + chance.choice(kinds) for _ in range(bars)))
    return straight(written)


def _rivals(work: str, tune: Timeline, ring: Timeline, rounds: int, note: str = "") -> list[Row]:
    """One tune planned by us, and the ring of its chords by the others."""
    task = task_of(tune, Player(), PlanOptions())
    graph, ring_graph = task.graph, task_of(ring, Player(), PlanOptions()).graph
    opened = opened_ring(ring_graph)
    matrix, paths = sparse_matrix(opened), networkx_graph(opened)
    least = solve(ring_graph).cost_mm
    for found in (by_sweep(opened), by_scipy(opened, matrix), by_networkx(opened, paths)):
        assert abs(cost_of(opened, found) - least) < 1e-6
    given, grips, sweep, scipy = in_turns(
        rounds,
        lambda: solve(graph),
        lambda: from_grips(task),
        lambda: by_sweep(opened),
        lambda: by_scipy(opened, matrix),
    )
    (networkx_ms,) = in_turns(max(1, rounds // 5), lambda: by_networkx(opened, paths))
    straight_too = f", {note}" if note else ""
    scipy_name, networkx_name, sweep_name = (
        f"{name}{straight_too}"
        for name in ("scipy `dijkstra` alone", "networkx `dijkstra` alone", "numpy sweep alone")
    )
    return [
        Row(f"{work}, costs given", given, "ms", sweep_name, sweep, at_most(1.5)),
        Row(f"{work}, costs given", given, "ms", scipy_name, scipy, at_least(1)),
        Row(f"{work}, costs given", given, "ms", networkx_name, networkx_ms, at_least(1)),
        Row(f"{work}, from grips", grips, "ms", scipy_name, scipy, at_least(1.5)),
    ]


def from_grips(task: PlanTask) -> Solution:
    """The plan of a task of which the grips and the changes are known, their travel not yet."""
    lead_matrix.cache_clear()
    times = Counter(task.nodes)
    struck = [times[node] for node in range(len(task.choices))]
    return solve(build(task.choices, struck, task.changes))


def _growth(extent: Extent) -> list[Row]:
    """The plan of a tune and of one twice as long, chords and moves never seen before."""
    bars = min(512, extent.bars)
    tunes = long_tune(bars // 2), long_tune(bars)
    rounds = max(1, extent.rounds // 3)
    half, full = in_turns(rounds, *(_forgetting(lambda t=t: plan_hand(t)) for t in tunes))
    work = f"plan of {bars} bars, from chords"
    return [Row(work, full, "ms", f"{bars // 2} bars", half, at_most(2.2))]


def _forgetting(work: Callable[[], object]) -> Callable[[], object]:
    """The work with the planner's caches emptied first: chords and moves never seen before."""

    def run() -> object:
        forget_grips()
        return work()

    return run


#: A ring cut open at its smallest node, which stands at both ends: the table from each node to the
#: next, with the cost of the node that is left.
OpenedRing = list[np.ndarray]


def opened_ring(graph: LabelGraph) -> OpenedRing:
    """The tables of a ring of nodes 0, 1, 2 …, from its smallest node once round."""
    count = len(graph.unary)
    first = min(range(count), key=lambda node: len(graph.unary[node]))
    order = [(first + step) % count for step in range(count + 1)]
    return [
        graph.unary[node][:, None]
        + (graph.pairs[node, after] if node < after else graph.pairs[after, node].T)
        for node, after in pairwise(order)
    ]


def by_sweep(ring: OpenedRing) -> list[int]:
    """One min-plus product after another, and the best labels from the last one backwards."""
    costs = [ring[0]]
    for table in ring[1:]:
        costs.append((costs[-1][:, :, None] + table).min(axis=1))
    start = label = int(np.diagonal(costs[-1]).argmin())
    labels = [start]
    for before, table in zip(costs[-2::-1], ring[:0:-1], strict=True):
        label = int((before[start] + table[:, label]).argmin())
        labels.append(label)
    return [*labels, start][::-1]


def cost_of(ring: OpenedRing, labels: list[int]) -> float:
    """The cost of labels that are the same at both ends of an opened ring."""
    assert labels[0] == labels[-1]
    changes = zip(ring, pairwise(labels), strict=True)
    return float(sum(table[here, there] for table, (here, there) in changes))


def ring_edges(ring: OpenedRing) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The edges of the opened ring: from, to, cost.

    scipy drops edges of no cost, so each carries 1 more.
    """
    starts = np.concatenate(([0], np.cumsum([len(table) for table in ring])))
    rows, columns, costs = [], [], []
    for node, table in enumerate(ring):
        here, there = table.shape
        rows.append(np.repeat(np.arange(here) + starts[node], there))
        columns.append(np.tile(np.arange(there) + starts[node + 1], here))
        costs.append((table + 1.0).ravel())
    return np.concatenate(rows), np.concatenate(columns), np.concatenate(costs)


def sparse_matrix(ring: OpenedRing) -> csr_array:
    """The opened ring as one sparse graph."""
    rows, columns, costs = ring_edges(ring)
    # Older versions of scipy search graphs of 32-bit indices alone.
    rows, columns = rows.astype(np.int32), columns.astype(np.int32)
    states = int(columns.max()) + 1
    return csr_array((costs, (rows, columns)), shape=(states, states))


def by_scipy(ring: OpenedRing, matrix: csr_array) -> list[int]:
    """Dijkstra from each grip of the first chord to itself at the other end."""
    size, states = len(ring[0]), matrix.shape[0]
    starts = np.arange(size)
    found, before = dijkstra(matrix, indices=starts, return_predecessors=True)
    start = int(found[starts, states - size + starts].argmin())
    came_from = before[start].tolist()
    way = [states - size + start]
    while came_from[way[-1]] >= 0:
        way.append(came_from[way[-1]])
    return _labels(ring, way[::-1])


def _labels(ring: OpenedRing, states: list[int]) -> list[int]:
    """The label of each node on a way through states, which count on from node to node."""
    starts = accumulate((len(table) for table in ring), initial=0)
    return [state - start for state, start in zip(states, starts, strict=True)]


def networkx_graph(ring: OpenedRing) -> networkx.DiGraph:
    """The opened ring as a networkx graph."""
    paths = networkx.DiGraph()
    rows, columns, costs = ring_edges(ring)
    edges = zip(rows.tolist(), columns.tolist(), costs.tolist(), strict=True)
    paths.add_weighted_edges_from(edges)
    return paths


def by_networkx(ring: OpenedRing, paths: networkx.DiGraph) -> list[int]:
    """Dijkstra from each grip of the first chord to itself at the other end."""
    size, states = len(ring[0]), paths.number_of_nodes()
    ways = [
        networkx.single_source_dijkstra(paths, label, states - size + label)
        for label in range(size)
    ]
    return _labels(ring, min(ways)[1])
