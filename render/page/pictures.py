"""Small pictures as SVG: the grid of one chord, one line of a chart."""

from __future__ import annotations

from collections.abc import Sequence

from ...converter.chart import CompingChart
from ...converter.hand.grip import Grip
from ...grammar.chord import Chord
from .blocks import SymbolLook, captioned_grid, moved
from .boxes import item_box, union
from .flow import break_lines
from .grid import GridLook, rows_needed
from .items import Document, Item, Page
from .line import draw_line, set_lines
from .setting import setting
from .style import PageStyle
from .svg import write_svg

#: White round a picture, in points.
BORDER = 8.0


def grid_svg(chord: Chord, grip: Grip, captions: Sequence[str] = (), mirrored: bool = False) -> str:
    """The symbol and grid of one chord as SVG, with lines of small text below it."""
    look = GridLook(
        string=14.0, fret=17.0, finger=12.0, number=12.0, rows=max(4, rows_needed(grip)),
        strings=len(grip.frets), mirrored=mirrored,
    )  # fmt: skip
    block = captioned_grid(chord, grip, captions, look, SymbolLook(28.0, 11.0))
    return _picture(list(block.items), "grid")


def line_svg(chart: CompingChart, line: int, style: PageStyle | None = None) -> str:
    """One line of a chart as SVG, counted from 0. Raises IndexError when there is no such line."""
    chosen = setting(chart, style or PageStyle())
    lines = set_lines(chosen, break_lines(chosen, chosen.width - chosen.gutter))
    items = draw_line(chosen, lines[line], (0.0, 0.0))
    return _picture(items, chart.sheet.header.title or "Untitled")


def _picture(items: list[Item], title: str) -> str:
    """Items on a page that is just as large as they need."""
    boxes = [box for box in map(item_box, items) if box is not None]
    left, top, right, bottom = union(boxes) or (0.0, 0.0, 0.0, 0.0)
    placed = moved(items, BORDER - left, BORDER - top)
    page = Page(right - left + 2 * BORDER, bottom - top + 2 * BORDER, tuple(placed))
    return write_svg(Document((page,), title))
