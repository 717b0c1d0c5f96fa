"""Hard changes ranked by effort, each pair of shapes once, for the options of the chart."""

from __future__ import annotations

from dataclasses import replace

import pytest
from midneck.converter.alternatives import alternatives
from midneck.converter.explain import hard_changes, played_changes
from midneck.converter.hand.plan import PlanOptions
from support.charts import chart_of
from support.hand_effort import travel
from support.hand_sheets import planned, sheet

X = None


def bars(chart) -> list[tuple[int, int]]:
    return [(change.start, change.goal) for change in hard_changes(chart)]


def test_the_hardest_changes_are_those_of_the_most_effort() -> None:
    chart = planned(sheet("Dm7 G7 C6 F#m7 B7 E6"))
    efforts = sorted({change.effort_mm for change in played_changes(chart)}, reverse=True)
    hard = hard_changes(chart)
    assert [change.effort_mm for change in hard] == efforts[:3]
    assert [change.effort_mm for change in hard_changes(chart, 1)] == efforts[:1]


def test_a_change_there_and_back_is_ranked_once() -> None:
    chart = planned(sheet("Dm7 Ab7 Dm7 Ab7"))
    assert len(played_changes(chart)) == 4
    assert len(hard_changes(chart)) == 1


def test_the_same_shapes_at_the_same_distance_are_ranked_once() -> None:
    """Minor seventh to dominant on one fret, root 6 to root 5, at fret 3 and at fret 5."""
    pins = (3, X, 3, 3, X, X), (X, 3, 2, 3, X, X), (5, X, 5, 5, X, X), (X, 5, 4, 5, X, X)
    chart = planned(sheet("Gm7 C7 Am7 D7", dict(enumerate(pins))))
    assert {(0, 1), (2, 3)} <= {(one.start, one.goal) for one in played_changes(chart)}
    assert len({(0, 1), (2, 3)} & set(bars(chart))) == 1


def test_the_hardest_of_the_same_changes_stands_for_all() -> None:
    """The ii–V on fret 3 is played in whole bars, that on fret 5 in half the time."""
    chart = chart_of(
        "Key: F\n\nA:\n| Gm7<3 x 3 3 x x> | C7<x 3 2 3 x x> "
        "| Am7<5 x 5 5 x x> D7<x 5 4 5 x x> | % ||"
    )
    same = [
        change
        for change in hard_changes(chart, 10)
        if (change.start, change.goal) in {(0, 1), (2, 3)}
    ]
    assert [(change.start, change.goal) for change in same] == [(2, 3)]


def test_the_shortest_time_for_a_change_counts() -> None:
    """Dm7 G7 in two bars and in one: the effort is that of two beats at 120, one second."""
    chart = chart_of("Key: C\n\nA:\n| Dm7 | G7 | C6 | Dm7 G7 ||")
    grips = chart.plan.grips
    hurry = 1 + chart.player.effort.hurry_s / 1.0
    for change in played_changes(chart):
        if (change.start, change.goal) == (3, 4):
            assert change.effort_mm == pytest.approx(
                travel(grips[3], grips[4], chart.player) * hurry
            )


def test_the_tempo_of_the_chart_counts() -> None:
    """At 240 a bar of four lasts a second, at 120 two."""
    slow = planned(sheet("Dm7 Ab7", tempo=120))
    fast = replace(slow, options=PlanOptions(tempo=240))
    ratio = hard_changes(fast)[0].effort_mm / hard_changes(slow)[0].effort_mm
    assert ratio == pytest.approx((1 + 0.25 / 1.0) / (1 + 0.25 / 2.0))


def test_alternatives_are_those_of_the_options() -> None:
    """With the first root on one string no other grip of its chord has its root elsewhere."""
    for string, strings in ((None, {5, 6}), (5, {5}), (6, {6})):
        options = PlanOptions("colour", first_root_string=string)
        chart = planned(sheet("B7 Dm7 G7"), options=options)
        (others,) = alternatives(chart, [0], count=5)
        assert {other.grip.voicing.root.string for other in others} == strings
