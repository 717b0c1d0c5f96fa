"""Lay out a comping chart: from the chart and a style to pages of positioned items.

The largest size at which the tune fits one page is taken; a tune that would get too small goes over
several pages, breaking at sections where it can.
"""

from __future__ import annotations

from typing import Final

from ...converter.chart import CompingChart
from .flow import break_lines
from .header import draw_foot, draw_header, draw_running_head, foot_height
from .items import Document, Item, OutlineEntry, Page
from .line import SetLine, draw_line, set_lines
from .setting import Setting, setting
from .style import PageStyle

#: Sizes tried for a chart on one page, from the largest down, as parts of the plain size.
FACTORS: Final = (1.3, 1.24, 1.18, 1.12, 1.06, 1.0, 0.95, 0.9, 0.85, 0.8)
#: The size of a chart that goes over several pages.
MANY_PAGES: Final = 1.0
#: The least and largest gap between lines, as parts of the size of symbols.
LEAST_GAP, LARGEST_GAP = 0.28, 1.1


def lay_out(chart: CompingChart, style: PageStyle) -> Document:
    """The pages of a chart in a style."""
    head, top = draw_header(chart, style)
    room = style.frame[3] - foot_height(style) - top
    factors = (1.0,) if style.large else FACTORS
    for factor in factors:
        chosen, lines = _at_size(chart, style, factor)
        least = sum(line.height for line in lines) + LEAST_GAP * chosen.sizes.symbol * len(lines)
        if least <= room:
            return _document(chart, style, [head], [_spaced(chosen, lines, top, room)])
    return _many(chart, style, head, top)


def _at_size(
    chart: CompingChart, style: PageStyle, factor: float
) -> tuple[Setting, tuple[SetLine, ...]]:
    chosen = setting(chart, style, factor)
    return chosen, set_lines(chosen, break_lines(chosen, chosen.width - chosen.gutter))


def _spaced(
    chosen: Setting, lines: tuple[SetLine, ...], top: float, room: float
) -> list[tuple[Setting, SetLine, float]]:
    """Lines with their tops, the room that is left shared among the gaps."""
    left_over = room - sum(line.height for line in lines)
    unit = chosen.sizes.symbol
    gap = min(LARGEST_GAP * unit, left_over / max(len(lines), 1))
    placed, y = [], top
    for line in lines:
        placed.append((chosen, line, y))
        y += line.height + gap
    return placed


def _many(chart: CompingChart, style: PageStyle, head: list[Item], top: float) -> Document:
    """A chart over several pages."""
    chosen, lines = _at_size(chart, style, MANY_PAGES)
    running, later_top = draw_running_head(chart, style)
    bottom = style.frame[3] - foot_height(style)
    gap = LEAST_GAP * chosen.sizes.symbol
    groups: list[list[SetLine]] = [[]]
    y = top
    for line in lines:
        if groups[-1] and y + line.height > bottom:
            groups.append([])
            y = later_top
        groups[-1].append(line)
        y += line.height + gap
    heads, pages = [], []
    for number, group in enumerate(groups):
        start = top if number == 0 else later_top
        heads.append(head if number == 0 else running)
        pages.append(_spaced(chosen, tuple(group), start, bottom - start))
    return _document(chart, style, heads, pages)


def _document(
    chart: CompingChart,
    style: PageStyle,
    heads: list[list[Item]],
    pages: list[list[tuple[Setting, SetLine, float]]],
) -> Document:
    left = style.frame[0]
    width, height = style.size
    out, outline = [], []
    for number, (head, lines) in enumerate(zip(heads, pages, strict=True)):
        items = list(head)
        for chosen, line, y in lines:
            items += draw_line(chosen, line, (left, y))
            section = chart.sheet.sections[line.line.section]
            if line.line.begins and section.label:
                outline.append(OutlineEntry(section.label, number, y))
        items += draw_foot(chart, style, number + 1, len(pages))
        out.append(Page(width, height, tuple(items)))
    header = chart.sheet.header
    return Document(tuple(out), header.title, header.by, "en", tuple(outline))
