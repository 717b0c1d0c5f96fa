"""The neck map as a page of its own: the hand's way through the whole tune, line by line."""

from __future__ import annotations

from dataclasses import replace

from ...converter.chart import CompingChart
from .barlines import THIN
from .flow import ChartLine, break_lines
from .foot import foot_height
from .header import draw_running_head, title_of
from .items import Item, Line
from .labels import draw_name
from .line import neck_stops, scale_of, set_lines
from .neckmap import draw_neck_map
from .setting import Setting, setting
from .style import PageStyle

#: Least and greatest height of a map beside that of the one under a line of the chart.
TALL, TALLEST = 2.4, 4.5


def neck_pages(chart: CompingChart, style: PageStyle) -> list[list[Item]]:
    """The items of the page (or pages) that show the hand on the neck."""
    plain = replace(style, grids="none", analysis=False)
    chosen = setting(chart, plain, 1.0)
    lines = [line for line in break_lines(chosen, chosen.music_width) if line.pieces]
    head, top = draw_running_head(title_of(chart).name, style)
    bottom = style.frame[3] - foot_height(style)
    unit, neck = chosen.sizes.symbol, chosen.sizes.neck
    free = (bottom - top) / max(len(lines), 1) - 1.8 * unit
    tall = min(TALLEST * neck, max(TALL * neck, free))
    chosen = replace(chosen, sizes=replace(chosen.sizes, neck=tall))
    pages: list[list[Item]] = []
    y = bottom
    step = _height(chosen) + 0.5 * chosen.sizes.symbol
    for line in lines:
        if y + _height(chosen) > bottom:
            pages.append(list(head))
            y = top
        pages[-1] += _line(chosen, line, (style.frame[0], y))
        y += step
    return pages


def _height(chosen: Setting) -> float:
    return 1.25 * chosen.sizes.symbol + chosen.sizes.neck


def _line(chosen: Setting, line: ChartLine, at: tuple[float, float]) -> list[Item]:
    """Symbols over a tall map with bar lines through it."""
    left, top = at
    x0 = left + chosen.gutter
    placed = set_lines(chosen, (line,))[0]
    map_top = top + 1.2 * chosen.sizes.symbol
    last = line.pieces[-1]
    right = x0 + last.x + last.width
    stops = neck_stops(chosen, placed, x0)
    number = max(0.95 * chosen.sizes.small, chosen.sizes.least)
    scale = scale_of(chosen, chosen.sizes.neck)
    items = draw_neck_map(stops, (x0, right), map_top, scale, number)
    for x in (0.0, *(piece.x + piece.width for piece in line.pieces)):
        items.append(Line(x0 + x, top, x0 + x, map_top + chosen.sizes.neck, 0.6 * THIN))
    for piece, starts in zip(line.pieces, placed.starts, strict=True):
        for cell, x in zip(piece.cells, starts, strict=True):
            items.append(cell.symbol.at(x0 + x, top + 0.85 * chosen.sizes.symbol))
    section = chosen.chart.sheet.sections[line.section]
    if line.begins and len(section.label) <= 2:
        items += draw_name(chosen, section, left, top)
    return items
