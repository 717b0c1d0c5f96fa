"""How fast the hand is planned, against shortest paths of scipy and networkx on the same graph.

The rivals are given tunes played straight through and looped, with all costs already there, and
build their graph from them: repeats and endings, which make the graph more than a ring, they cannot
say as a shortest path at all. Ours is timed with its costs worked out too ("from grips"), and from
the chords as they stand on the sheet, nothing seen before ("from chords").
"""

from __future__ import annotations

import random
from collections.abc import Callable

import networkx
import numpy as np
from benchmarks.rows import Extent, Row, at_least, at_most, forget, in_turns
from midneck.converter.hand.graph import LabelGraph
from midneck.converter.hand.plan import PlanOptions
from midneck.converter.hand.planner import plan_hand, task_of
from midneck.converter.hand.player import Player
from midneck.converter.hand.solver import solve
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
    """One tune planned by us, and the ring of its chords by both libraries."""
    graph, ring_graph = (task_of(each, Player(), PlanOptions()).graph for each in (tune, ring))
    assert abs(by_scipy(ring_graph) - solve(ring_graph).cost_mm) < 1e-6
    table, grips, scipy_ms = in_turns(
        rounds,
        lambda: solve(graph),
        lambda: solve(task_of(tune, Player(), PlanOptions()).graph),
        lambda: by_scipy(ring_graph),
    )
    (networkx_ms,) = in_turns(max(1, rounds // 5), lambda: by_networkx(ring_graph))
    straight_too = f", {note}" if note else ""
    scipy, networkx_name = f"scipy `dijkstra`{straight_too}", f"networkx `dijkstra`{straight_too}"
    return [
        Row(f"{work}, costs given", table, "ms", scipy, scipy_ms, at_least(1)),
        Row(f"{work}, from grips", grips, "ms", scipy, scipy_ms, at_least(1)),
        Row(f"{work}, from grips", grips, "ms", networkx_name, networkx_ms, at_least(1)),
    ]


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


def ring_edges(graph: LabelGraph) -> tuple[list[np.ndarray], list[np.ndarray], list[np.ndarray]]:
    """The edges of the ring, unrolled from the first chord to its second copy: from, to, cost.

    scipy drops edges of no cost, so each carries 1 more.
    """
    sizes = [len(costs) for costs in graph.unary]
    starts = np.concatenate(([0], np.cumsum(sizes)))
    last = len(sizes) - 1
    rows, columns, costs = [], [], []
    for node in range(len(sizes)):
        after = (node + 1) % len(sizes)
        table = graph.pairs[0, last].T if node == last else graph.pairs[node, after]
        rows.append(np.repeat(np.arange(sizes[node]) + starts[node], sizes[after]))
        columns.append(np.tile(np.arange(sizes[after]) + starts[node + 1], sizes[node]))
        costs.append((table + graph.unary[node][:, None] + 1.0).ravel())
    return rows, columns, costs


def by_scipy(graph: LabelGraph) -> float:
    """The ring as one sparse graph, and Dijkstra from each grip of its first chord to itself."""
    rows, columns, costs = (np.concatenate(parts) for parts in ring_edges(graph))
    # Older versions of scipy search graphs of 32-bit indices alone.
    rows, columns = rows.astype(np.int32), columns.astype(np.int32)
    size = len(graph.unary[0])
    states = int(columns.max()) + 1
    table = csr_array((costs, (rows, columns)), shape=(states, states))
    found = dijkstra(table, indices=np.arange(size))
    ends = found[np.arange(size), states - size + np.arange(size)]
    return float(ends.min()) - len(graph.unary)


def by_networkx(graph: LabelGraph) -> float:
    """The same ring as a networkx graph, and Dijkstra from each grip of its first chord."""
    paths = networkx.DiGraph()
    for rows, columns, costs in zip(*ring_edges(graph), strict=True):
        edges = zip(rows.tolist(), columns.tolist(), costs.tolist(), strict=True)
        paths.add_weighted_edges_from(edges)
    size = len(graph.unary[0])
    states = paths.number_of_nodes()
    ends = [
        networkx.dijkstra_path_length(paths, label, states - size + label) for label in range(size)
    ]
    return float(min(ends)) - len(graph.unary)
