"""Explanation, practice sheet and second page name the same hard changes in the same order."""

from __future__ import annotations

from pathlib import Path

import midneck
import pytest
from midneck.converter.chart import CompingChart
from midneck.converter.drill.tune import drill_of
from midneck.converter.explain import HARD_CHANGES, hard_changes
from midneck.converter.hand.plan import PlanOptions
from midneck.converter.make import make_chart
from midneck.converter.prose.hand import change_sentence, explanation_lines, practice_lines
from midneck.grammar.text.reader import read_sheet
from support.charts import example_paths


def explained(chart: CompingChart) -> list[str]:
    lines = explanation_lines(chart)
    first = lines.index("Practise these changes first:") + 1
    rest = lines[first : first + HARD_CHANGES]
    told = [line for line in rest if line.startswith("  Bar ") and ": the hand " in line]
    return [line.partition(", ")[2] for line in told]


def drilled(chart: CompingChart) -> list[str]:
    exercise = drill_of(chart).exercises[-1]
    assert exercise.name == "Hard changes"
    return [station.remark.partition(". ")[2] for station in exercise.stations]


def on_the_second_page(chart: CompingChart) -> list[str]:
    start = "Play to and fro, slowly: "
    lines = practice_lines(chart, ())
    return [line.removeprefix(start) for line in lines if line.startswith(start)]


@pytest.mark.parametrize("options", [PlanOptions(), PlanOptions(tempo=300)], ids=["own", "300"])
@pytest.mark.parametrize("path", example_paths(), ids=lambda path: path.stem)
def test_three_outputs_name_the_same_changes(path: Path, options: PlanOptions) -> None:
    chart = make_chart(midneck.read(path), options=options)
    expected = [change_sentence(chart, change) for change in hard_changes(chart, HARD_CHANGES)]
    assert expected
    assert explained(chart) == expected
    assert on_the_second_page(chart) == expected
    # A practice sheet has its own spelling of the chords: what moves is the same.
    moves = [sentence.partition(": ")[2] for sentence in expected]
    assert [sentence.partition(": ")[2] for sentence in drilled(chart)] == moves


C7, G7, BB7 = "C7<8 x 8 9 x x>", "G7<3 x 3 4 x x>", "Bb7<6 x 6 7 x x>"


@pytest.mark.parametrize(
    ("bars", "expected"),
    [
        # One shape everywhere: five frets, three, two.
        (f"{C7} | {G7} | {BB7} | {C7}", [(0, 1), (1, 2), (2, 3)]),
        # Five frets up in half the time are harder than down, two frets down than up.
        (f"{C7} | {G7} {C7} | {BB7} | {C7}", [(1, 2), (2, 3)]),
        (f"{C7} {G7} | {C7} | {BB7} | {C7}", [(0, 1), (2, 3)]),
        # Five frets at two places of the neck: where frets are wider.
        (f"{C7} | {G7} | D7<10 x 10 11 x x> | A7<5 x 5 6 x x>", [(1, 2), (0, 1), (3, 0)]),
    ],
)
def test_the_hardest_of_each_distance_comes_first(
    bars: str, expected: list[tuple[int, int]]
) -> None:
    chart = make_chart(read_sheet(f"Time: 4/4\nTempo: 120\n\nA:\n| {bars} ||\n"))
    hard = hard_changes(chart, 9)
    assert [(change.start, change.goal) for change in hard] == expected
    assert hard_changes(chart, 2) == hard[:2]
    assert hard_changes(chart, 1) == hard[:1]


def test_nothing_is_hard_where_nothing_moves() -> None:
    chart = make_chart(read_sheet(f"Time: 4/4\n\nA:\n| {C7} | {C7} ||\n"))
    assert hard_changes(chart, 9) == ()
