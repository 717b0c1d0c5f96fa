"""Small pictures, documents of one page: the grid of a chord, a line of a chart, a few bars."""

from __future__ import annotations

from dataclasses import replace

from ...converter.chart import CompingChart
from ...converter.hand.grip import Grip
from ...converter.prose.facts import title_text
from ...grammar.chord import Chord
from .context import LayoutContext, layout_context
from .drawing.blocks import SymbolLook, captioned_grid
from .drawing.geometry import item_box, moved, union
from .drawing.grid import ROWS, GridLook, rows_needed
from .drawing.items import Document, Item, Page, finished
from .drawing.style import PageStyle, Symbols
from .line import MeasuredLine, draw_line, measure_lines
from .line_breaks import break_lines
from .marks import Mark

#: White round a picture, in points.
BORDER = 8.0
#: Between the lines of a picture, in points.
LINE_GAP = 14.0


def grid_picture(
    chord: Chord, grip: Grip, mirrored: bool = False, symbols: Symbols = "signs"
) -> Document:
    """The symbol and grid of one chord."""
    look = GridLook(
        string=14.0, fret=17.0, finger=12.0, number=12.0, rows=max(ROWS, rows_needed(grip)),
        strings=len(grip.frets), mirrored=mirrored,
    )  # fmt: skip
    block = captioned_grid(chord, grip, (), look, SymbolLook(28.0, 11.0, symbols))
    return _picture(list(block.items), f"Fret grid of {chord}")


def line_count(chart: CompingChart, style: PageStyle | None = None) -> int:
    """How many lines the chart has."""
    return len(_lines(layout_context(chart, style or PageStyle())))


def line_picture(chart: CompingChart, line: int, style: PageStyle | None = None) -> Document:
    """One line of a chart, counted from 0. Raises IndexError when there is no such line."""
    context = layout_context(chart, style or PageStyle())
    items = draw_line(context, _lines(context)[line], (0.0, 0.0))
    return _picture(items, title_text(chart.sheet))


def bars_picture(
    chart: CompingChart, bars: tuple[int, int], style: PageStyle | None = None
) -> Document:
    """Written bars, from bar number `bars[0]` to `bars[1]`, as the chart breaks its lines.

    Raises IndexError when the chart has none of them.
    """
    context = layout_context(chart, style or PageStyle())
    parts = [part_of(context, line, bars) for line in _lines(context)]
    items: list[Item] = []
    top = 0.0
    for part in parts:
        if part is not None:
            items += draw_line(context, part, (0.0, top))
            top += part.height + LINE_GAP
    if not items:
        raise IndexError(f"the chart has no bars {bars[0]} to {bars[1]}")
    return _picture(items, title_text(chart.sheet))


def part_of(
    context: LayoutContext, line: MeasuredLine, bars: tuple[int, int]
) -> MeasuredLine | None:
    """The part of a measured line that holds these bar numbers, its marks cut; None for nothing."""
    written = context.chart.sheet.bars
    kept = [
        place
        for place, piece in enumerate(line.line.pieces)
        if bars[0] <= written[piece.bar].number <= bars[1]
    ]
    if not kept:
        return None
    first, last = line.line.pieces[kept[0]], line.line.pieces[kept[-1]]
    left, right = first.x, last.x + last.width
    pieces = tuple(
        replace(piece, x=piece.x - left) for piece in line.line.pieces[kept[0] : kept[-1] + 1]
    )
    starts = tuple(tuple(x - left for x in line.starts[place]) for place in kept)
    return replace(
        line,
        line=replace(line.line, pieces=pieces, begins=line.line.begins and kept[0] == 0),
        starts=starts,
        marks=tuple(
            _cut(mark, left, right) for mark in line.marks if mark.x1 < right and mark.x2 > left
        ),
    )


def _cut(mark: Mark, left: float, right: float) -> Mark:
    """A mark between two edges, counted from the left one."""
    return replace(
        mark,
        x1=max(mark.x1, left) - left,
        x2=min(mark.x2, right) - left,
        cut_left=mark.cut_left or mark.x1 < left,
        cut_right=mark.cut_right or mark.x2 > right,
    )


def _lines(context: LayoutContext) -> tuple[MeasuredLine, ...]:
    return measure_lines(context, break_lines(context, context.music_width))


def _picture(items: list[Item], title: str) -> Document:
    """Items on a page that is just as large as they need."""
    boxes = [box for box in map(item_box, items) if box is not None]
    left, top, right, bottom = union(boxes) or (0.0, 0.0, 0.0, 0.0)
    placed = moved(finished(items), BORDER - left, BORDER - top)
    page = Page(right - left + 2 * BORDER, bottom - top + 2 * BORDER, tuple(placed))
    return Document((page,), title)
