"""Lay out a comping chart: from the chart and a style to pages of positioned items.

A tune takes the largest size at which it needs no more pages; one that goes over several pages
breaks at sections where it can. An appendix lists the grips of the tune, its areas in words, what
to practise and cautions. A picture is a document of one page, as large as what it shows: the grid
of a chord, a line of a chart, a few bars.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from ...converter.chart import CompingChart
from ...converter.hand.grip import Grip, sounding_pitch
from ...converter.practice.written import tune_pattern
from ...converter.prose.areas import area_sentences
from ...converter.prose.facts import HAND_CAUTION, title_text
from ...converter.prose.hand import practice_lines
from ...grammar.chord import Chord
from .above import draw_name, draw_number, number_size
from .bars import ChartLine
from .body import Body, set_body
from .context import BRACKETED, LayoutContext, layout_context
from .drawing.blocks import (
    Block,
    Flow,
    FlowBlock,
    Frame,
    Frames,
    Gaps,
    SymbolLook,
    captioned_grid,
    flow,
    flowing,
    heading,
    paragraph,
    table,
    tick,
    wrapped,
)
from .drawing.fonts import REGULAR
from .drawing.geometry import box_of, moved
from .drawing.grid import ROWS, GridLook, rows_needed
from .drawing.items import (
    CLOSE,
    LINE_GROUP,
    Document,
    Item,
    Line,
    Open,
    OutlineEntry,
    Page,
    finished,
    grouped,
)
from .drawing.neckmap import draw_neck_map
from .drawing.signs import THIN, shown, with_signs
from .drawing.style import LARGE_PT, PageStyle, Symbols
from .head_foot import (
    draw_head,
    first_foot_height,
    height_of_legend_behind,
    needs_caution,
    running_frame,
    title_of,
    with_feet,
)
from .line import MeasuredLine, chord_group, draw_line, measure_lines, neck_stops, scale_of
from .line_breaks import break_lines
from .marks import Mark

#: The greatest height of a fret in a neck map where a page has room, and the part of the free
#: height that maps take.
MAP_FRET, MAP_PART = 4.0, 0.5
#: Least and greatest height of a fret in a map on a page of its own.
TALL, TALLEST = 3.5, 8.0
#: Height of the row of bar numbers there, in their size.
NUMBER_ROW = 1.1


def lay_out(chart: CompingChart, style: PageStyle) -> Document:
    """The pages of a chart in a style: the chart, then the pages that the style asks for.

    Raises RhythmError when the rhythm of the style does not fit the meter.
    """
    if style.rhythm is not None:
        tune_pattern(chart.sheet, style.rhythm)
    caution = needs_caution(chart, style)
    frames = frames_of(chart, style, caution)
    body = _with_taller_maps(set_body(chart, style, frames), frames)
    blocks = [_block(body.context, line) for line in body.lines]
    return _document(chart, style, _flow(chart, body, blocks, frames), caution)


def _flow(chart: CompingChart, body: Body, blocks: list[FlowBlock], frames: Frames) -> Flow:
    """The pages of a chart; in large print they leave room for the legend behind the last line
    where that saves the legend a page of its own."""
    pages, style = flow(blocks, frames, body.gaps), body.context.style
    if not style.large or style.second_page or style.map_place == "page":
        return pages
    height = height_of_legend_behind(pages.pages, chart.player.window, style)
    if not height:
        return pages
    with_legend = flow([*blocks, FlowBlock(height, _blank)], frames, body.gaps)
    return with_legend if len(with_legend.pages) == len(pages.pages) else pages


def _blank(left: float, top: float) -> list[Item]:
    """A block that only keeps room free."""
    return []


def frames_of(chart: CompingChart, style: PageStyle, caution: bool) -> Frames:
    """The first page under the title, with the caution where it is due, and the later pages."""
    title, (left, _, _, bottom) = title_of(chart, style), style.frame
    head, top = draw_head(title, style)
    foot = first_foot_height([chart], style, caution)
    first = Frame(head, left, top, bottom - foot)
    return Frames(first, running_frame(title.name, style, chart))


def _block(context: LayoutContext, line: MeasuredLine) -> FlowBlock:
    """A line as a block; the first of a section begins it and is in the outline."""
    begins = line.line.begins
    label = context.section(line.line.section).label if begins else ""

    def draw(left: float, top: float) -> list[Item]:
        return [Open(LINE_GROUP, top), *draw_line(context, line, (left, top)), CLOSE]

    return FlowBlock(line.height, draw, begins, may_stand_alone=False, outline=label)


def _with_taller_maps(body: Body, frames: Frames) -> Body:
    """The same lines with higher neck maps where one page holds them all."""
    room = frames.first.room
    return _taller_maps(body, room) if body.height <= room else body


def _taller_maps(body: Body, room: float) -> Body:
    """The same lines with higher neck maps, which take a part of the free height."""
    sizes = body.context.sizes
    if body.context.style.map_place != "line" or not body.lines:
        return body
    scale = scale_of(body.context)
    more = MAP_PART * (room - body.height) / len(body.lines)
    taller = scale.filling(scale.height + more)
    neck = max(sizes.neck, min(MAP_FRET, taller.fret))
    context = replace(body.context, sizes=replace(sizes, neck=neck))
    more = scale_of(context).height - scale.height
    lines = tuple(replace(line, neck=line.neck + more if line.neck else 0.0) for line in body.lines)
    return replace(body, context=context, lines=lines)


def _document(chart: CompingChart, style: PageStyle, body: Flow, caution: bool) -> Document:
    """The chart's pages and those that follow it, numbered."""
    pages, outline = body.pages, body.outline
    if style.map_place == "page":
        outline.append(OutlineEntry("The hand on the neck", len(pages), 0.0))
        pages += _neck_pages(chart, style)
    if style.second_page:
        outline.append(OutlineEntry("Grips and practice", len(pages), 0.0))
        pages += appendix_pages(chart, style)
    header, feet = chart.sheet.header, with_feet(pages, chart.player.window, style, caution)
    return Document(feet, title_text(chart.sheet), header.by, outline=tuple(outline))


def _neck_pages(chart: CompingChart, style: PageStyle) -> list[list[Item]]:
    """The items of the page (or pages) that show the hand on the neck."""
    plain = replace(style, grids="none", analysis=False, rhythm=None)
    context = layout_context(chart, plain, 1.0)
    lines = [line for line in break_lines(context, context.music_width) if line.pieces]
    frame = running_frame(title_of(chart, style).name, style, chart)
    unit = context.sizes.symbol
    free = frame.room / max(len(lines), 1) - 1.8 * unit - NUMBER_ROW * number_size(context)
    tall = min(TALLEST, max(TALL, scale_of(context).filling(free).fret))
    context = replace(context, sizes=replace(context.sizes, neck=tall))
    blocks = [
        FlowBlock(_neck_line_height(context), partial(_draw_neck_line, context, line))
        for line in lines
    ]
    return flow(blocks, Frames(frame, frame), Gaps(0.5 * unit, 0.5 * unit)).pages


def _neck_line_height(context: LayoutContext) -> float:
    above = NUMBER_ROW * number_size(context) + 1.25 * context.sizes.symbol
    return above + scale_of(context).height


def _draw_neck_line(context: LayoutContext, line: ChartLine, left: float, top: float) -> list[Item]:
    """Symbols over a tall map with bar lines through it."""
    x0 = left + context.gutter
    placed = measure_lines(context, (line,))[0]
    symbols = top + NUMBER_ROW * number_size(context)
    map_top = symbols + 1.2 * context.sizes.symbol
    edges = placed.edges(x0)
    stops = neck_stops(context, placed, x0)
    number = max(0.95 * context.sizes.small, context.sizes.least)
    scale = scale_of(context)
    section = context.section(line.section)
    named = line.begins and len(section.label) <= 2
    items = draw_name(context, section, left, top) if named else []
    items += draw_neck_map(stops, edges, map_top, scale, number)
    for x in edges:
        items.append(Line(x, symbols, x, map_top + scale.height, 0.6 * THIN))
    for piece in line.pieces:
        if piece.opens:
            items += draw_number(context, piece.bar, x0 + piece.x, top)
    for piece, starts in zip(line.pieces, placed.starts, strict=True):
        for chord, x in zip(piece.chords, starts, strict=True):
            symbol = chord.symbol.at(x0 + x, symbols + 0.85 * context.sizes.symbol)
            items += grouped(chord_group(context, piece.bar, chord.index), [symbol])
    return items


#: Size of text on plain pages.
BODY = 10.0
#: The most lines for the bars of a grip, on plain pages and in large print.
LINES, LARGE_LINES = 12, 3


def appendix_pages(chart: CompingChart, style: PageStyle) -> list[list[Item]]:
    """The items of the page (or pages) about a tune's grips, areas and practice."""
    left, _, right, _ = style.frame
    frame = running_frame(title_of(chart, style).name, style, chart)
    size = LARGE_PT if style.large else BODY
    width = right - left
    blocks = [heading("The grips of this tune", 1.25 * size, width)]
    blocks += _grips(chart, style, size, width)
    sentences = area_sentences(chart.sheet, chart.analysis.passages)
    if sentences:
        blocks.append(heading("What the changes do", 1.25 * size, width))
        blocks += [paragraph(with_signs(line), size, width) for line in sentences]
    blocks.append(heading("What to practise", 1.25 * size, width))
    shown = BRACKETED if style.numerals else ()
    blocks += [tick(with_signs(line), size, width) for line in practice_lines(chart, shown)]
    blocks.append(paragraph(HAND_CAUTION, size, width))
    return flow([flowing(block) for block in blocks], Frames(frame, frame)).pages


def _grips(chart: CompingChart, style: PageStyle, size: float, width: float) -> list[Block]:
    """Each grip once, in order of first use, with its notes and the bars where it is played."""
    context = layout_context(chart, style, 1.0 if style.large else 1.25)
    look = SymbolLook(
        context.sizes.symbol,
        max(0.8 * size, context.sizes.least),
        style.symbols,
        context.sizes.raised,
    )
    column = max(context.look.width, 7.5 * size)
    blocks = []
    for (chord, grip), bars in grips_used(chart).items():
        captions = _bar_lines(bars, look.caption, column, LARGE_LINES if style.large else LINES)
        notes = " ".join(_names(chord, grip))
        blocks.append(captioned_grid(chord, grip, [notes, *captions], context.look, look))
    return table(blocks, width, 1.6 * size)


def _bar_lines(bars: list[int], size: float, width: float, most: int) -> tuple[str, ...]:
    """The bars of a grip in at most so many lines: a tall list would not fit the page."""
    lines: tuple[str, ...] = ()
    for count in range(len(bars), 0, -1):
        more = f" and {len(bars) - count} more" if count < len(bars) else ""
        text = f"bar{'s' * (len(bars) > 1)} {', '.join(map(str, bars[:count]))}{more}"
        lines = wrapped(text, REGULAR, size, width)
        if len(lines) <= most:
            break
    return lines


def grips_used(chart: CompingChart) -> dict[tuple[Chord, Grip], list[int]]:
    """Every chord with its grip, in order of first use, and the written bars where it stands."""
    used: dict[tuple[Chord, Grip], list[int]] = {}
    index = 0
    for bar in chart.sheet.bars:
        for written in bar.chords:
            grip = chart.plan.grips[index]
            index += 1
            if grip is None or written.chord is None:
                continue
            bars = used.setdefault((written.chord, grip), [])
            if bar.number not in bars:
                bars.append(bar.number)
    return used


def _names(chord: Chord, grip: Grip) -> list[str]:
    """The names of the notes that sound, from the lowest string up."""
    return [shown(sounding_pitch(note, chord)[0]) for note in grip.voicing.notes]


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
        if bars[0] <= written[piece.bar].last_number and written[piece.bar].number <= bars[1]
    ]
    if not kept:
        return None
    first, last = line.line.pieces[kept[0]], line.line.pieces[kept[-1]]
    left, right = first.x, last.x + last.width
    pieces = tuple(
        replace(piece, x=piece.x - left) for piece in line.line.pieces[kept[0] : kept[-1] + 1]
    )
    return replace(
        line,
        line=replace(line.line, pieces=pieces, begins=line.line.begins and kept[0] == 0),
        times=tuple(line.times[place].moved(-left) for place in kept),
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
    left, top, right, bottom = box_of(items) or (0.0, 0.0, 0.0, 0.0)
    placed = moved(finished(items), BORDER - left, BORDER - top)
    page = Page(right - left + 2 * BORDER, bottom - top + 2 * BORDER, tuple(placed))
    return Document((page,), title)
