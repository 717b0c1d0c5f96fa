"""Lay out a comping chart: from the chart and a style to pages of positioned items.

A tune takes the largest size at which it fits one page without breaking its lines anew; one that
would get too small goes over several pages, breaking at sections where it can.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import Final

from ...converter.chart import CompingChart
from ...converter.prose.facts import title_text
from .appendix import appendix_pages
from .context import LayoutContext, layout_context
from .drawing import (
    THIN,
    Document,
    Flow,
    FlowBlock,
    Frame,
    Frames,
    Gaps,
    Item,
    Line,
    OutlineEntry,
    PageStyle,
    draw_neck_map,
)
from .drawing.flow import flow
from .head_foot import (
    draw_caution,
    draw_head,
    foot_height,
    legend_of,
    needs_caution,
    running_frame,
    title_of,
    with_feet,
)
from .labels import draw_name
from .line import MeasuredLine, draw_line, measure_lines, neck_stops, scale_of
from .line_breaks import ChartLine, break_lines

#: The smallest and largest size of a chart on one page, as parts of the plain size, and the step
#: between sizes that are tried.
LEAST, LARGEST, STEP = 1.0, 1.4, 0.96
#: The least and largest gap between lines, as parts of the size of symbols.
LEAST_GAP: Final = 0.2
LARGEST_GAP: Final = 1.0
#: The greatest height of a fret in a neck map where a page has room, and the part of the free
#: height that maps take.
MAP_FRET, MAP_PART = 4.0, 0.5
#: Least and greatest height of a fret in a map on a page of its own.
TALL, TALLEST = 3.5, 8.0


@dataclass(frozen=True, slots=True)
class Body:
    """A chart's lines at one size."""

    context: LayoutContext
    lines: tuple[MeasuredLine, ...]

    @property
    def gaps(self) -> Gaps:
        """The gaps between lines."""
        symbol = self.context.sizes.symbol
        return Gaps(LEAST_GAP * symbol, LARGEST_GAP * symbol)

    @property
    def height(self) -> float:
        """The height of all lines one under the other."""
        gap = self.gaps.least
        return sum(line.height + gap for line in self.lines) - gap

    @property
    def broken(self) -> tuple[ChartLine, ...]:
        """The lines as they were broken, not yet measured."""
        return tuple(line.line for line in self.lines)


def lay_out(chart: CompingChart, style: PageStyle) -> Document:
    """The pages of a chart in a style: the chart, then the pages that the style asks for."""
    frames = _frames(chart, style)
    body = _body(chart, style, frames.first.room)
    blocks = [_block(body.context, line) for line in body.lines]
    return _document(chart, style, flow(blocks, frames, body.gaps))


def _frames(chart: CompingChart, style: PageStyle) -> Frames:
    """The first page under the title, with the caution where it is due, and the later pages."""
    title, (left, _, _, bottom) = title_of(chart), style.frame
    head, top = draw_head(title, style)
    caution = needs_caution(chart, style)
    if caution:
        head = [*head, *draw_caution(style)]
    first = Frame(head, left, top, bottom - foot_height(style, caution))
    return Frames(first, running_frame(title.name, style, chart))


def _block(context: LayoutContext, line: MeasuredLine) -> FlowBlock:
    """A line as a block; the first of a section begins it and is in the outline."""
    begins = line.line.begins
    label = context.section(line.line.section).label if begins else ""

    def draw(left: float, top: float) -> list[Item]:
        return draw_line(context, line, (left, top))

    return FlowBlock(line.height, draw, begins, may_stand_alone=False, outline=label)


def _body(chart: CompingChart, style: PageStyle, room: float) -> Body:
    """The chart at the largest size that fits one page, or at its plain size."""
    plain = _plain(chart, style)
    if style.large or not plain.lines:
        return plain
    factor = min(LARGEST, room / plain.height)
    while factor >= LEAST:
        body = plain if abs(factor - 1) < 0.01 else _at_size(chart, style, factor, plain)
        if body is not None and body.height <= room:
            return _taller_maps(body, room)
        factor = 1.0 if factor * STEP < 1 < factor else factor * STEP
    return plain


def _taller_maps(body: Body, room: float) -> Body:
    """The same lines with higher neck maps, which take a part of the free height."""
    sizes = body.context.sizes
    if body.context.style.neck_map != "line" or not body.lines:
        return body
    scale = scale_of(body.context)
    more = MAP_PART * (room - body.height) / len(body.lines)
    taller = scale.filling(scale.height + more)
    neck = max(sizes.neck, min(MAP_FRET, taller.fret))
    context = replace(body.context, sizes=replace(sizes, neck=neck))
    more = scale_of(context).height - scale.height
    lines = tuple(replace(line, neck=line.neck + more if line.neck else 0.0) for line in body.lines)
    return Body(context, lines)


def _plain(chart: CompingChart, style: PageStyle) -> Body:
    """The chart at its plain size."""
    context = layout_context(chart, style)
    return Body(context, measure_lines(context, break_lines(context, context.music_width)))


def _at_size(chart: CompingChart, style: PageStyle, factor: float, plain: Body) -> Body | None:
    """The chart at another size; None where a larger one is no better than the plain one."""
    context = layout_context(chart, style, factor)
    lines = break_lines(context, context.music_width)
    if factor > 1 and not _as_good(lines, plain.broken):
        return None
    return Body(context, measure_lines(context, lines))


def _as_good(lines: tuple[ChartLine, ...], plain: tuple[ChartLine, ...]) -> bool:
    """Whether no line was added and no chord is smaller than in the plain size."""
    pairs = zip(_strings(lines), _strings(plain), strict=True)
    return len(lines) == len(plain) and all(ours >= base for ours, base in pairs)


def _strings(lines: tuple[ChartLine, ...]) -> list[float]:
    """The gap between strings of every chord's grid."""
    return [chord.look.string for line in lines for piece in line.pieces for chord in piece.chords]


def _document(chart: CompingChart, style: PageStyle, body: Flow) -> Document:
    """The chart's pages and those that follow it, numbered."""
    pages, outline = body.pages, body.outline
    if style.neck_map == "page":
        outline.append(OutlineEntry("The hand on the neck", len(pages), 0.0))
        pages += _neck_pages(chart, style)
    if style.second_page:
        outline.append(OutlineEntry("Grips and practice", len(pages), 0.0))
        pages += appendix_pages(chart, style)
    header, feet = chart.sheet.header, with_feet(pages, legend_of([chart], style), style)
    return Document(feet, title_text(chart.sheet), header.by, outline=tuple(outline))


def _neck_pages(chart: CompingChart, style: PageStyle) -> list[list[Item]]:
    """The items of the page (or pages) that show the hand on the neck."""
    plain = replace(style, grids="none", analysis=False)
    context = layout_context(chart, plain, 1.0)
    lines = [line for line in break_lines(context, context.music_width) if line.pieces]
    frame = running_frame(title_of(chart).name, style, chart)
    unit = context.sizes.symbol
    free = frame.room / max(len(lines), 1) - 1.8 * unit
    tall = min(TALLEST, max(TALL, scale_of(context).filling(free).fret))
    context = replace(context, sizes=replace(context.sizes, neck=tall))
    blocks = [
        FlowBlock(_neck_line_height(context), partial(_draw_neck_line, context, line))
        for line in lines
    ]
    return flow(blocks, Frames(frame, frame), Gaps(0.5 * unit, 0.5 * unit)).pages


def _neck_line_height(context: LayoutContext) -> float:
    return 1.25 * context.sizes.symbol + scale_of(context).height


def _draw_neck_line(context: LayoutContext, line: ChartLine, left: float, top: float) -> list[Item]:
    """Symbols over a tall map with bar lines through it."""
    x0 = left + context.gutter
    placed = measure_lines(context, (line,))[0]
    map_top = top + 1.2 * context.sizes.symbol
    last = line.pieces[-1]
    right = x0 + last.x + last.width
    stops = neck_stops(context, placed, x0)
    number = max(0.95 * context.sizes.small, context.sizes.least)
    scale = scale_of(context)
    items = draw_neck_map(stops, (x0, right), map_top, scale, number)
    for x in (0.0, *(piece.x + piece.width for piece in line.pieces)):
        items.append(Line(x0 + x, top, x0 + x, map_top + scale.height, 0.6 * THIN))
    for piece, starts in zip(line.pieces, placed.starts, strict=True):
        for chord, x in zip(piece.chords, starts, strict=True):
            items.append(chord.symbol.at(x0 + x, top + 0.85 * context.sizes.symbol))
    section = context.section(line.section)
    if line.begins and len(section.label) <= 2:
        items += draw_name(context, section, left, top)
    return items
