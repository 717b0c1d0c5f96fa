"""What `midneck chart` prints in the place of a file: the report, the chart as text, its reasons.

Takes a chart and what is asked for, gives texts that end with a line end.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from textwrap import fill

from ...converter.chart import CompingChart
from ...converter.hand.wishes import PlanWishes
from ..output import json_line


@dataclass(frozen=True, slots=True)
class Printed:
    """What of a chart goes to standard output."""

    as_json: bool
    text: bool
    words: bool
    explain: bool

    @property
    def anything(self) -> bool:
        """Whether something does."""
        return self.as_json or self.text or self.words or self.explain


def printed(
    chart: CompingChart, asked: Printed, wishes: PlanWishes, analysis: bool
) -> Iterator[str]:
    """The texts that are asked for; without numerals and areas when not `analysis`."""
    if asked.as_json:
        from ..report import report

        yield json_line(report(chart))
    if asked.text:
        from ..text_chart import text_chart

        yield text_chart(chart, analysis)
    if asked.words:
        from ..spoken import chart_in_words

        yield chart_in_words(chart, analysis)
    if asked.explain:
        yield "\n".join(_folded(line) for line in _explained(chart, wishes)) + "\n"


def _explained(chart: CompingChart, wishes: PlanWishes) -> tuple[str, ...]:
    from ...converter.hand.explain import explain
    from ...converter.hand.planner import task_of
    from ...converter.hand.story import story

    task = task_of(chart.sheet, chart.form, chart.player, wishes)
    return story(explain(task, chart.plan), chart.plan, chart.sheet)


def _folded(line: str) -> str:
    """A line in as many of 80 columns as it needs, the later ones set in."""
    indent = " " * (len(line) - len(line.lstrip()) + 2)
    return fill(line, 80, subsequent_indent=indent)
