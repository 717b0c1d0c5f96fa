"""Explanation, practice sheet and second page name the same hard changes in the same order."""

from __future__ import annotations

from pathlib import Path

import pytest
from midneck.converter.chart import CompingChart
from midneck.converter.drill.tune import drill_of
from midneck.converter.hand.explain import HARD_CHANGES, hard_changes
from midneck.converter.hand.plan import PlanOptions
from midneck.converter.make import make_chart
from midneck.converter.prose.hand import change_sentence, explanation_lines, practice_lines
from midneck.grammar.text.reader import read_file
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
    chart = make_chart(read_file(path), options=options)
    expected = [change_sentence(chart, change) for change in hard_changes(chart, HARD_CHANGES)]
    assert expected
    assert explained(chart) == expected
    assert on_the_second_page(chart) == expected
    # A practice sheet has its own spelling of the chords: what moves is the same.
    moves = [sentence.partition(": ")[2] for sentence in expected]
    assert [sentence.partition(": ")[2] for sentence in drilled(chart)] == moves
