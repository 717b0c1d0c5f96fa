"""What a chart says of its plan: no more than is proved of it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from midneck.converter.hand.plan import PlanOptions
from midneck.converter.make import make_chart
from midneck.converter.prose.facts import summary_lines, travel_lines
from midneck.grammar.text.reader import read_sheet

SHEET = read_sheet("| Gm7 | Bb6 | Bbm7 | Dm7 | Cm7 | Gm7 |")


@pytest.mark.parametrize(
    ("smooth", "known", "words"),
    [
        (False, {}, "the least there is"),
        (False, {"optimal": False, "gap_mm": 12.4}, "within 13 mm of the least"),
        (True, {}, "the hardest change the least"),
        (True, {"optimal": False}, "not proved"),
    ],
)
def test_the_hand_is_told_with_what_is_proved(smooth: bool, known: dict, words: str) -> None:
    chart = make_chart(SHEET, options=PlanOptions(smooth=smooth))
    plan = replace(chart.plan, travel=replace(chart.plan.travel, **known))
    line, _ = travel_lines(replace(chart, plan=plan))
    assert line.startswith("Hand: 4 shifts in 5 changes, ")
    assert line.endswith(f" frets in all, {words}")


def test_a_silent_tune_tells_of_no_frets() -> None:
    chart = make_chart(read_sheet("| N.C. | N.C. |"))
    assert travel_lines(chart) == ["Hand: at rest, for no chord sounds"]
    assert summary_lines(chart)[3:] == ["  hand    at rest, for no chord sounds"]
