"""A long tune costs the page no more for each bar than a short one: in reads that are counted."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from midneck.converter.chart import CompingChart
from midneck.converter.make import make_chart
from midneck.grammar.text.reader import read_sheet
from midneck.render.page import PageStyle, lay_out

LINE = "A:\n| Gm7 | C7 | F6 D7 | N.C. |\n"


class Counted(tuple[Any, ...]):
    """A tuple that counts how many of its members are handed out."""

    reads = 0

    def __iter__(self) -> Iterator[Any]:
        Counted.reads += len(self)
        return super().__iter__()

    def __getitem__(self, at: Any) -> Any:
        found = super().__getitem__(at)
        Counted.reads += len(found) if isinstance(at, slice) else 1
        return found


def chart(lines: int) -> CompingChart:
    return make_chart(read_sheet("Time: 4/4\n" + LINE * lines))


def reads(drawn: CompingChart, style: PageStyle) -> int:
    """How many grips and readings are looked at while a chart is laid out."""
    plan = replace(drawn.plan, grips=Counted(drawn.plan.grips))
    analysis = replace(drawn.analysis, readings=Counted(drawn.analysis.readings))
    Counted.reads = 0
    lay_out(replace(drawn, plan=plan, analysis=analysis), style)
    return Counted.reads


@pytest.mark.slow
@pytest.mark.parametrize("neck_map", ["line", "page", "none"])
def test_twice_the_lines_look_at_twice_the_grips(neck_map: str) -> None:
    style = PageStyle(neck_map=neck_map)  # type: ignore[arg-type]
    few, many = reads(chart(30), style), reads(chart(60), style)
    assert few > 0
    assert many < 2.2 * few
