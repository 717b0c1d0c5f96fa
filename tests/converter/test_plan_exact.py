"""The plan is the exact minimum: judged by brute force over all plans of small forms.

The costs of single grips and changes come from `support.hand_effort`, which knows nothing of the
planner's arrays; the brute force adds them over every combination of grips.
"""

from __future__ import annotations

import itertools
import random

import numpy as np
import pytest
from midneck.converter.alternatives import alternatives
from midneck.converter.hand.graph import LabelGraph, restricted
from midneck.converter.hand.plan import PlanError, PlanOptions
from midneck.converter.hand.planner import PlanTask, plan_from, plan_hand, task_of
from midneck.converter.hand.player import Player
from midneck.converter.hand.solver import min_marginals, solve, without_dead_ends
from midneck.converter.timeline import playings, timeline_of
from midneck.grammar.text.reader import read_sheet
from support.brute_force import brute_force, chord_of
from support.hand_effort import plan_cost
from support.hand_sheets import form, planned, sheet, straight
from support.roots import ROOTS

KINDS = ("7", "m7", "6", "maj7", "m6", "m7b5", "7b9", "o7", "")


def random_graph(seed: int) -> LabelGraph:
    """A graph of up to six nodes with whole-number costs, so that ties are frequent."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(1, 7))
    sizes = rng.integers(1, 5, count)
    unary = tuple(rng.integers(0, 40, size).astype(float) for size in sizes)
    ends = [ends for ends in itertools.combinations(range(count), 2) if rng.random() < 0.5]
    pairs = {(i, j): rng.integers(0, 40, (sizes[i], sizes[j])).astype(float) for i, j in ends}
    return LabelGraph(unary, pairs)


def all_labellings(graph: LabelGraph) -> list[tuple[int, ...]]:
    return list(itertools.product(*(range(len(costs)) for costs in graph.unary)))


@pytest.mark.parametrize("block", range(10))
def test_elimination_finds_the_least_of_all_labellings(block: int) -> None:
    for seed in range(200 * block, 200 * block + 200):
        graph = random_graph(seed)
        costs = [graph.cost(labels) for labels in all_labellings(graph)]
        found = solve(graph)
        assert found.optimal
        assert found.cost_mm == graph.cost(found.labels) == min(costs)


def test_marginals_are_the_least_costs_around_each_label() -> None:
    for seed in range(300):
        graph = random_graph(seed)
        costs = {labels: graph.cost(labels) for labels in all_labellings(graph)}
        for node, marginals in enumerate(min_marginals(graph)):
            for label, cost in enumerate(marginals):
                expected = min(one for labels, one in costs.items() if labels[node] == label)
                assert cost == expected


def test_worst_cost_is_made_least() -> None:
    for seed in range(200):
        graph = random_graph(seed)
        found = solve(graph, maximum=True)
        assert found.cost_mm == min(graph.worst(labels) for labels in all_labellings(graph))


def test_a_bounded_table_gives_an_honest_bound() -> None:
    gaps = 0
    for seed in range(300):
        graph = random_graph(seed)
        least = min(graph.cost(labels) for labels in all_labellings(graph))
        found = solve(graph, limit=30)
        assert found.bound_mm <= least <= found.cost_mm == graph.cost(found.labels)
        assert found.optimal == (found.cost_mm == found.bound_mm)
        gaps += not found.optimal
    assert gaps > 0, "the limit was never felt: the test proves nothing"


def test_dead_ends_are_used_by_no_best_labelling() -> None:
    fewer = 0
    for seed in range(300):
        graph = random_graph(seed)
        allowed = without_dead_ends(graph)
        costs = {labels: graph.cost(labels) for labels in all_labellings(graph)}
        least = min(costs.values())
        for labels, cost in costs.items():
            if cost == least:
                assert all(label in keep for label, keep in zip(labels, allowed, strict=True))
        assert solve(restricted(graph, allowed)).cost_mm == least
        fewer += sum(map(len, allowed)) < sum(map(len, graph.unary))
    assert fewer > 100


def test_a_badly_tangled_form_is_still_proved() -> None:
    """Eighteen chords in random order, 250 times: no table over its junctions would fit."""
    chance = random.Random(1)
    written = sheet(" ".join(chance.choice(ROOTS) + chance.choice(KINDS) for _ in range(18)))
    order = [*range(18), *(chance.randrange(18) for _ in range(250))]
    task = task_of(timeline_of(written, form(order, written)), Player(), PlanOptions())
    found = solve(task.graph)
    assert found.split
    assert found.optimal
    with pytest.raises(PlanError, match="too tangled"):
        alternatives(planned(written, task.timeline.form), [0])


def test_tangled_forms_are_not_ranked_as_if_exact() -> None:
    graph = next(one for one in map(random_graph, range(300)) if solve(one, limit=30).split)
    with pytest.raises(PlanError, match="too tangled"):
        min_marginals(graph, limit=30)


def random_task(seed: int) -> PlanTask:
    """A sheet of up to four chords, played in a tangled order with repeats, some pinned."""
    chance = random.Random(seed)
    symbols = [chance.choice(ROOTS) + chance.choice(KINDS) for _ in range(chance.randint(1, 4))]
    order = [*range(len(symbols))]
    order += [chance.randrange(len(symbols)) for _ in range(chance.randint(0, 6))]
    pins = {}
    free = task_of(timeline_of(*_played(symbols, order, {})), Player(), PlanOptions())
    for node, choice in enumerate(free.choices):
        if chance.random() < 0.2:
            pins[node] = chance.choice(choice.grips).frets
    return task_of(timeline_of(*_played(symbols, order, pins)), Player(), PlanOptions())


def _played(symbols, order, pins):
    written = sheet(" ".join(symbols), pins, tempo=120 + 20 * len(order))
    return written, form(order, written)


@pytest.mark.parametrize("seed", range(40))
def test_plans_of_small_forms_are_the_least_of_all_plans(seed: int) -> None:
    task = random_task(seed)
    costs = brute_force(task)
    plan = plan_from(task, solve(task.graph))
    assert plan.travel.optimal
    assert plan.effort_mm == pytest.approx(costs.min(), abs=0.01)


@pytest.mark.parametrize("seed", range(12))
def test_alternatives_add_what_brute_force_says(seed: int) -> None:
    task = random_task(seed)
    costs = brute_force(task)
    (others,) = alternatives(planned(task.timeline.sheet, task.timeline.form), [0], count=5)
    for other in others:
        same = [
            row for row, grip in enumerate(task.choices[0].grips) if grip.frets == other.grip.frets
        ]
        expected = costs[same].min() - costs.min()
        assert other.added_mm == pytest.approx(expected, abs=0.01)
        assert other.plan.grips[0].frets == other.grip.frets
        assert other.plan.effort_mm == pytest.approx(costs.min() + other.added_mm, abs=0.01)


@pytest.mark.parametrize("seed", range(60))
def test_the_reported_cost_is_that_of_the_printed_grips(seed: int) -> None:
    task = random_task(seed)
    plan = plan_from(task, solve(task.graph))
    played = [grip for grip in plan.playings if grip is not None]
    seconds = [playing.seconds for playing in task.played]
    chords = [chord_of(task, node) for node in task.nodes]
    expected = plan_cost(played, task.nodes, seconds, chords, task.player)
    assert plan.effort_mm == pytest.approx(expected, abs=0.01)


def test_a_repeated_bar_counts_as_often_as_it_is_played() -> None:
    """Two chords played three times round cost three times as much."""
    written = sheet("Ebm7 Ab7")
    once = plan_hand(straight(written))
    often = plan_hand(timeline_of(written, form([0, 1, 0, 1, 0, 1], written)))
    assert often.effort_mm == pytest.approx(3 * once.effort_mm, rel=1e-3)


def test_a_written_chord_has_one_grip_at_all_its_playings() -> None:
    written = sheet("Dm7 G7 C6 A7")
    order = form([0, 1, 2, 0, 3, 1, 2, 3], written)
    plan = plan_hand(timeline_of(written, order))
    assert plan.playings == tuple(plan.grips[chord] for chord in order.chords)


def test_the_same_sheet_gives_the_same_plan() -> None:
    written = sheet("Dm7 G7 C6 A7 Dm7 G7 Em7b5 A7b9")
    plans = [plan_hand(straight(written)) for _ in range(2)]
    assert plans[0] == plans[1]


def test_silence_is_passed_over_and_gives_its_time() -> None:
    rested, plain = sheet("Dm7 N.C. G7"), sheet("Dm7 G7")
    with_rest = plan_hand(straight(rested))
    without = plan_hand(straight(plain))
    assert with_rest.grips[1] is None
    assert with_rest.playings[1] is None
    assert [with_rest.grips[0], with_rest.grips[2]] == list(without.grips)
    assert with_rest.effort_mm < without.effort_mm


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("| C7 | -4- | F7 |", [10, 2]),
        ("| -2- | C7 | F7 |", [2, 6]),
        ("| C7 | N.C. | F7 N.C. |", [4, 2]),
        ("|: C7 | -2- :| F7 |", [6, 6, 2]),
    ],
)
def test_rests_of_many_bars_give_their_time_too(text: str, seconds: list[int]) -> None:
    """At 120 a bar of four beats lasts two seconds; a rest at the top is waited for at the end."""
    written = read_sheet(text)
    assert [one.seconds for one in playings(timeline_of(written), 120)] == seconds


def test_a_sheet_of_silence_has_an_empty_plan() -> None:
    written = sheet("N.C. N.C.")
    plan = plan_hand(straight(written))
    assert plan.grips == (None, None)
    assert plan.effort_mm == 0.0
    assert plan.travel.changes == 0
    assert plan.travel.optimal
