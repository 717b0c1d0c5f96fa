"""How fast a drill of twelve keys is planned, exactly, in one go.

The hardest case leaves every root to the planner; the usual one places them first. "From chords"
has seen no chord before, as in a command that has just started. scipy finds the shortest way round
the same ring with all costs already there (see `bench_plan`).
"""

from __future__ import annotations

from benchmarks.bench_plan import by_scipy, cost_of, opened_ring, sparse_matrix
from benchmarks.rows import Extent, Row, at_least, at_most, forget, in_turns
from midneck.converter.drill.drill import Drill
from midneck.converter.drill.make import Route, make_drill
from midneck.converter.drill.positions import StringChoice
from midneck.converter.drill.progressions import find_named
from midneck.converter.hand.plan import PlanOptions
from midneck.converter.hand.planner import plan_hand, task_of
from midneck.converter.hand.player import Player
from midneck.converter.hand.solver import solve

#: What "in one go, exactly" must stay below, in milliseconds.
MOST_MS = 50

forget_all = forget("midneck.converter")


def rows(extent: Extent) -> list[Row]:
    """The plan of ii–V–I through twelve keys, its whole drill, and scipy on the same ring."""
    timeline = free_drill().exercises[0].chart.timeline
    graph = task_of(timeline, Player(), PlanOptions()).graph
    ring = opened_ring(graph)
    matrix = sparse_matrix(ring)
    assert abs(cost_of(ring, by_scipy(ring, matrix)) - solve(graph).cost_mm) < 1e-6
    given, plan, free, taught, scipy = in_turns(
        extent.rounds,
        lambda: solve(graph),
        lambda: (forget_all(), plan_hand(timeline)),
        lambda: (forget_all(), free_drill()),
        lambda: (forget_all(), taught_drill()),
        lambda: by_scipy(ring, matrix),
    )
    work, alone = "drill of 12 keys", "scipy `dijkstra` alone"
    return [
        Row(f"{work}: exact plan, costs given", given, "ms", alone, scipy, at_least(1)),
        Row(f"{work}: exact plan, from chords", plan, "ms", target=at_most(MOST_MS)),
        Row(f"{work}: all of it, from chords", taught, "ms", target=at_most(MOST_MS)),
        Row(f"{work}: all of it, planner chooses the strings", free, "ms"),
    ]


def taught_drill() -> Drill:
    """ii–V–I down in whole steps, both rounds, from string 6."""
    return make_drill(find_named("ii-V-I"))


def free_drill() -> Drill:
    """The same with every root left to the planner."""
    return make_drill(find_named("ii-V-I"), Route(string_choice=StringChoice(None)))
