"""How fast the hand is planned, against shortest paths of scipy and networkx on the same graph.

Run as `python tests/benchmarks/bench_plan.py`. Prints milliseconds and ratios, best of several
runs; compare within one run, since absolute times drift. The rivals are given tunes played straight
through and looped, with all costs already there: repeats and endings, which make the graph more
than a ring, they cannot say as a shortest path at all.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable
from pathlib import Path

import networkx
import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import dijkstra

sys.path.insert(0, str(Path(__file__).parents[1]))

from midneck.converter.form import Form
from midneck.converter.hand.candidates import candidates
from midneck.converter.hand.eliminate import solve
from midneck.converter.hand.graph import LabelGraph
from midneck.converter.hand.moves import travel_matrix
from midneck.converter.hand.planner import plan_hand, task_of
from midneck.converter.hand.player import Player
from midneck.converter.hand.wishes import PlanWishes
from midneck.grammar.sheet import Sheet
from support.hand_sheets import ROOTS, form, sheet, straight

CHORUS = (
    "Gm7 C7 F6 D7b9 Gm7 C7 F6 C7 F6 F6 "
    "Cm7 F7 Bb6 Bb6 Dbm7 Gb7 Bb6 C7 Gm7 C7 F6 D7b9 Gm7 C7 F6 F6"
).replace("Db", "C#").replace("Gb", "F#")  # fmt: skip


def chorus() -> tuple[Sheet, Form]:
    """32 bars: A with a repeat and two endings, a bridge, A again."""
    written = sheet(CHORUS)
    first = [0, 1, 2, 3, 4, 5]
    order = [*first, 6, 7, *first, 8, 9, *range(10, 26)]
    return written, form(order, written)


def long_tune(bars: int) -> tuple[Sheet, Form]:
    """A tune of that many bars, no two of them planned alike, played straight through."""
    chance = random.Random(bars)
    kinds = ("7", "m7", "6", "maj7", "m7b5", "7b9")
    written = sheet(" ".join(chance.choice(ROOTS) + chance.choice(kinds) for _ in range(bars)))
    return written, straight(written)


def best_ms(work: Callable[[], object], runs: int = 7) -> float:
    """The shortest of several runs, in milliseconds."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return 1e3 * min(times)


def forgetting(work: Callable[[], object]) -> Callable[[], object]:
    """The work with the planner's caches emptied first: chords and moves never seen before."""

    def run() -> object:
        candidates.cache_clear()
        travel_matrix.cache_clear()
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


def main() -> None:
    """Measure and print."""
    player, wishes = Player(), PlanWishes()
    written, played = chorus()
    plan_hand(*long_tune(20))
    seen = best_ms(lambda: plan_hand(written, played))
    unseen = best_ms(forgetting(lambda: plan_hand(written, played)))
    print(f"32-bar chorus with repeats: {seen:.1f} ms; chords never seen before: {unseen:.1f} ms")
    for bars in (100, 200, 400):
        tune = long_tune(bars)
        first = best_ms(forgetting(lambda tune=tune: plan_hand(*tune)), 3)
        print(f"{bars} bars: {first:.1f} ms, {1e3 * first / bars:.0f} µs a bar")
    for style in ("guide tones", "colour", "four-note"):
        wish = PlanWishes(style=style)
        took = best_ms(forgetting(lambda wish=wish: plan_hand(written, played, player, wish)), 3)
        print(f"32-bar chorus, {style}: {took:.1f} ms")
    for name, tune in (("64 bars", long_tune(64)), ("32-bar chorus", (written, straight(written)))):
        graph = task_of(*tune, player, wishes).graph
        count = len(graph.unary)
        ours = best_ms(lambda graph=graph: solve(graph))
        whole = best_ms(lambda tune=tune: solve(task_of(*tune, player, wishes).graph))
        scipy_ms = best_ms(lambda graph=graph: by_scipy(graph))
        networkx_ms = best_ms(lambda graph=graph: by_networkx(graph), 1)
        assert abs(by_scipy(graph) - solve(graph).cost) < 1e-6
        print(
            f"{name} ({count} chords, {sum(map(len, graph.unary))} grips) and back to the top: "
            f"{ours:.1f} ms, with its costs {whole:.1f} ms; "
            f"scipy {scipy_ms:.1f} ms ({scipy_ms / whole:.1f} times as long), "
            f"networkx {networkx_ms:.1f} ms ({networkx_ms / whole:.1f} times)"
        )


if __name__ == "__main__":
    main()
