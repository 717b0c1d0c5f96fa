"""Set one line of the chart: measure its height first, draw it once its place is known.

From the top a line stacks: its section's name and the player's text where they need a row; endings,
signs and words over the bars; the bars; brackets and arrows; the neck map.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ...converter.prose.chart import bar_alternative, chord_alternative
from ...grammar.frozen import frozen
from .above import (
    draw_label,
    draw_number,
    draw_over_bar,
    draw_over_chord,
    draw_recall,
    gutter_height,
    heights,
    label_height,
    recall_height,
)
from .bars import (
    BarPart,
    ChartLine,
    LineGrids,
    arranged,
    aside_of,
    bar_times,
    draw_ticks,
    has_ticks,
    line_grids,
    rows_of,
    symbols_rise,
)
from .beats import BarTimes
from .chords import Rows, draw_chord
from .context import LayoutContext
from .drawing.items import (
    CLOSE,
    DECORATION_GROUP,
    DRAWING_GROUP,
    SECTION_GROUP,
    Group,
    Item,
    Line,
    Open,
    Shown,
    grouped,
)
from .drawing.neckmap import NeckScale, Stop, draw_neck_map, neck_scale, root_string
from .drawing.signs import (
    METER_GAP,
    THIN,
    bar_end,
    bar_start,
    meter_mark,
    meter_size,
    meter_width,
    rest_mark,
    simile_mark,
)
from .marks import Mark, Spots, draw_mark, find_marks, has_marks
from .rhythm import BarSpan, draw_strokes, rhythm_height, stroke_height

#: Room between the marks of a line and its neck map, as a part of a lane.
NECK_GAP = 0.25


@frozen
class MeasuredLine:
    """A measured line; x counts from the left end of the music, heights are points.

    `times` holds where the times of each bar fall; `label`, `above`, `lanes` and `neck` are the
    heights of the rows that only some lines have, `rhythm` that of a row of strokes, which stands
    over the `holds` above the bars.
    """

    line: ChartLine
    times: tuple[BarTimes, ...]
    marks: tuple[Mark, ...]
    rows: Rows
    label: float = 0.0
    above: float = 0.0
    holds: float = 0.0
    rhythm: float = 0.0
    lanes: float = 0.0
    neck: float = 0.0

    def edges(self, x0: float) -> list[float]:
        """The x of its bar lines, from its left end on, where x counts from `x0`."""
        pieces = self.line.pieces
        return [x0 + self.line.left, *(x0 + piece.x + piece.width for piece in pieces)]

    @property
    def starts(self) -> tuple[tuple[float, ...], ...]:
        """The left edges of the chords of each bar."""
        return tuple(bar.starts for bar in self.times)

    @property
    def music(self) -> float:
        """How far below its top the bars begin."""
        return self.label + self.above + self.rhythm

    @property
    def height(self) -> float:
        """From the top of what stands above the bars to the bottom of the neck map."""
        return self.music + self.rows.bottom + self.lanes + self.neck


def measure_lines(
    context: LayoutContext, lines: tuple[ChartLine, ...], beside: bool = True
) -> tuple[MeasuredLine, ...]:
    """Measure all lines of a tune: only together do they tell which marks go over a line's end.

    `beside`: grids may stand beside their symbols.
    """
    measured: list[MeasuredLine] = []
    spots: Spots = {}
    for number, line in enumerate(lines):
        measured.append(_placed(context, line, beside))
        for piece, starts in zip(line.pieces, measured[-1].starts, strict=True):
            for chord, x in zip(piece.chords, starts, strict=True):
                spots[chord.index] = (number, x + chord.roman_dx)
    marks = find_marks(context, spots, [line.right for line in lines])
    return tuple(
        _measured(context, line, _from(line.line, own))
        for line, own in zip(measured, marks, strict=True)
    )


def _from(line: ChartLine, marks: Sequence[Mark]) -> tuple[Mark, ...]:
    """Marks that come from the line before, begun where a line that is set in begins."""
    return tuple(
        replace(mark, x1=max(mark.x1, line.left)) if mark.cut_left else mark for mark in marks
    )


def _placed(context: LayoutContext, line: ChartLine, beside: bool) -> MeasuredLine:
    """A line with the places of its chords."""
    grids = line_grids(context, line.pieces, beside)
    aside = aside_of(context, grids, line.pieces, [piece.width for piece in line.pieces])
    pieces = arranged(line.pieces, grids.look.rows, aside)
    line = ChartLine(line.section, line.begins, pieces)
    times = tuple(bar_times(context, piece) for piece in pieces)
    return MeasuredLine(line, times, (), rows_of(context, grids, aside))


def _measured(context: LayoutContext, line: MeasuredLine, marks: tuple[Mark, ...]) -> MeasuredLine:
    """A line with its marks and the heights of the rows that it has."""
    pieces, section = line.line.pieces, (line.line.section, line.line.begins)
    around = heights_around(context, section, pieces, bool(marks))
    return MeasuredLine(
        line.line,
        line.times,
        marks,
        replace(line.rows, bottom=max(line.rows.bottom, around.bars)) if pieces else around.rows,
        around.label,
        around.above,
        around.holds,
        around.rhythm,
        around.lanes,
        around.neck,
    )


@frozen
class HeightsAround:
    """The heights of what stands over and under the bars of a line, as in `MeasuredLine`, and the
    least height of its bars."""

    bars: float
    label: float = 0.0
    above: float = 0.0
    holds: float = 0.0
    rhythm: float = 0.0
    lanes: float = 0.0
    neck: float = 0.0

    @property
    def rows(self) -> Rows:
        """The rows of a line without bars."""
        return Rows(0.0, 0.0, 0.0, 0.0, self.bars)


def heights_around(
    context: LayoutContext, section: tuple[int, bool], parts: Sequence[BarPart], marked: bool
) -> HeightsAround:
    """What a line with some bars needs beside them: `section` is the index of its section and
    whether it begins it, `marked` tells whether it has brackets or arrows."""
    sizes, (number, begins) = context.sizes, section
    if not parts:
        return HeightsAround(recall_height(context, context.section(number)))
    shown = context.style.map_place == "line"
    form, chords = heights(context, [part.bar for part in parts])
    rise = symbols_rise(sizes, parts) - chords
    named = begins and context.section(number).label
    return HeightsAround(
        # The bars end below what stands in the gutter beside them.
        gutter_height(context) if named else 0.0,
        label_height(context, context.section(number)) if begins else 0.0,
        form + chords,
        chords,
        rhythm_height(sizes, rise) if context.strokes else 0.0,
        sizes.lane if marked else 0.0,
        scale_of(context).height + NECK_GAP * sizes.lane if shown else 0.0,
    )


@frozen
class LineNeeds:
    """All that makes the height of a line but the widths of its bars."""

    grids: LineGrids
    around: HeightsAround

    def height(
        self, context: LayoutContext, parts: Sequence[BarPart], widths: Sequence[float]
    ) -> float:
        """The height of the line, its bars as wide as `widths`."""
        around = self.around
        bars = around.bars
        if parts:
            aside = aside_of(context, self.grids, parts, widths)
            bars = max(bars, rows_of(context, self.grids, aside).bottom)
        return bars + around.label + around.above + around.rhythm + around.lanes + around.neck


def needs_of(
    context: LayoutContext, section: tuple[int, bool], parts: Sequence[BarPart]
) -> LineNeeds:
    """What a line with some bars needs; `section` is as in `heights_around`."""
    marked = bool(parts) and has_marks(context, _chords(context, parts))
    around = heights_around(context, section, parts, marked)
    return LineNeeds(line_grids(context, parts, True), around)


def _chords(context: LayoutContext, parts: Sequence[BarPart]) -> range:
    """The indices of the chords of a line."""
    start = _first_chord(context, parts[0])
    return range(start, start + sum(len(part.chords) for part in parts))


def _first_chord(context: LayoutContext, part: BarPart) -> int:
    """The index of the first chord of a bar, where it has none of the next one after it."""
    return part.chords[0].index if part.chords else context.chart.sheet.first_chords[part.bar]


def draw_line(context: LayoutContext, line: MeasuredLine, at: tuple[float, float]) -> list[Item]:
    """The items of a measured line with its top left corner (of the gutter) `at`."""
    left, top = at
    section = context.section(line.line.section)
    if not line.line.pieces:
        return draw_recall(context, section, left, top)
    x0 = left + context.gutter
    music = top + line.music
    bottom = music + line.rows.bottom
    items: list[Item] = []
    if line.line.begins:
        items = [Open(SECTION_GROUP), CLOSE, *draw_label(context, section, (left, top), music)]
    if line.line.pieces[0].opens:
        items += draw_number(context, line.line.pieces[0].bar, left + line.line.left, music)
    for place, (piece, starts) in enumerate(zip(line.line.pieces, line.starts, strict=True)):
        items.append(Open(bar_group(context, piece)))
        items += draw_bar(context, piece, place == 0, (x0, music), line.rows)
        if line.above > line.holds:
            over = x0 + piece.x, x0 + piece.x + piece.width, music - line.holds - line.rhythm
            items += draw_over_bar(context, piece.bar, (piece.opens, piece.closes), over)
        if context.strokes:
            at = x0, music - line.holds - line.rhythm
            items += grouped(DECORATION_GROUP, _strokes(context, piece, line.times[place], at))
        if has_ticks(context, piece):
            items += draw_ticks(context, piece, line.times[place], x0, music + line.rows.tick)
        for chord, x in zip(piece.chords, starts, strict=True):
            items.append(Open(chord_group(context, piece.bar, chord.index)))
            items += draw_chord(context, chord, x0 + x, music, line.rows)
            items += draw_over_chord(context, chord.index, x0 + x, music)
            items.append(CLOSE)
        items.append(CLOSE)
    for mark in line.marks:
        items += grouped(DECORATION_GROUP, draw_mark(mark, x0, bottom, context.sizes.lane))
        items += [Shown(name) for name in mark.names]
    if line.neck:
        top_of_map = bottom + line.lanes + NECK_GAP * context.sizes.lane
        items += _neck(context, line, x0, top_of_map)
    return items


def _strokes(
    context: LayoutContext, piece: BarPart, times: BarTimes, at: tuple[float, float]
) -> list[Item]:
    """The strokes of a rhythm in a bar of a line whose music begins at x `at[0]`, their top at
    `at[1]`."""
    meter = context.chart.sheet.bars[piece.bar].meter
    left = at[0] + piece.x
    span = BarSpan(meter, times.moved(at[0]), left, left + piece.width)
    height = stroke_height(context.sizes)
    return draw_strokes(context.strokes_in(piece.bar), span, at[1], height)


def scale_of(context: LayoutContext) -> NeckScale:
    """The scale of the chart's neck maps."""
    return neck_scale(context.positions, context.chart.player.window, context.sizes.neck)


def neck_stops(context: LayoutContext, line: MeasuredLine, x0: float) -> list[Stop]:
    """Where the hand stands at each chord of a line whose music begins at `x0`.

    The hand comes in where the written chord before the line left it.
    """
    stops = []
    before = context.grip_before(_first_chord(context, line.line.pieces[0]))
    if before is not None:
        stops.append(Stop(x0 + line.line.left, before.position, None, marked=False))
    for piece, starts in zip(line.line.pieces, line.starts, strict=True):
        for chord, x in zip(piece.chords, starts, strict=True):
            grip = context.grip(chord.index)
            if grip is not None:
                at = x0 + x + 0.3 * context.sizes.small
                stops.append(Stop(at, grip.position, root_string(grip)))
    return stops


def _neck(context: LayoutContext, line: MeasuredLine, x0: float, top: float) -> list[Item]:
    """The neck map under a line."""
    edges = line.edges(x0)
    number = max(0.9 * context.sizes.small, context.sizes.least)
    stops = neck_stops(context, line, x0)
    return draw_neck_map(stops, edges, top, scale_of(context), number)


def draw_bar(
    context: LayoutContext, piece: BarPart, leads: bool, at: tuple[float, float], rows: Rows
) -> list[Item]:
    """The items of one bar. `leads`: it is its line's first.

    `at` is the left end and top of the line's music.
    """
    bars = context.chart.sheet.bars
    bar, unit = bars[piece.bar], context.sizes.symbol
    x1, top = at[0] + piece.x, at[1]
    x2, bottom = x1 + piece.width, top + rows.bottom
    items: list[Item] = []
    if leads and piece.opens and not bar.repeat_open:
        items.append(Line(x1, top, x1, bottom, THIN))
    if piece.opens:
        items += bar_start(bar, x1, (top, bottom), unit)
    if piece.opens and piece.meter_changes:
        size = meter_size(unit, context.sizes.least, bottom - top)
        x = x1 + piece.space.before - METER_GAP * unit - meter_width(bar.meter, size)
        drawn = meter_mark(bar.meter, x, 0.5 * (top + bottom), size)
        items += grouped(DRAWING_GROUP, drawn)
    if piece.closes:
        items += bar_end(context.chart.sheet, piece.bar, x2, (top, bottom), unit)
    items += _filler(context, piece, leads, (x1, x2, top, bottom))
    return items


def _filler(
    context: LayoutContext, piece: BarPart, leads: bool, box: tuple[float, float, float, float]
) -> list[Item]:
    """What a bar without chords shows in its box (x1, x2, top, bottom): a repetition or a rest."""
    bar, unit = context.chart.sheet.bars[piece.bar], context.sizes.symbol
    x1, x2, top, bottom = box
    y = 0.5 * (top + bottom)
    if bar.rest_bars:
        return rest_mark(
            bar.rest_bars, x1 + piece.space.before, x2 - 0.6 * unit, y + 0.25 * unit, unit
        )
    if bar.simile == 1:
        return simile_mark(0.5 * (x1 + x2), y, unit, 1)
    if bar.simile == 2 and _second(context, piece.bar):
        middle = 0.5 * (x1 + x2) if leads else x1
        return simile_mark(middle, y, unit, 2, 0.5 * (bottom - top))
    return []


def _second(context: LayoutContext, bar: int) -> bool:
    """Whether a bar is the second of two that repeat the two before."""
    bars, run = context.chart.sheet.bars, 0
    while run <= bar and bars[bar - run].simile == 2:
        run += 1
    return run % 2 == 0


def bar_group(context: LayoutContext, piece: BarPart) -> Group:
    """The group of a bar, or of the part of it that stands on a line."""
    bar = context.chart.sheet.bars[piece.bar]
    said = bar_alternative(bar, piece.meter_changes) if piece.opens else ""
    return Group("bar", bar.number, alternative=said)


def chord_group(context: LayoutContext, bar: int, chord: int) -> Group:
    """The group of the written chord with index `chord` in the bar with index `bar`."""
    shown = context.style.analysis is not False
    said = chord_alternative(context.chart, chord, context.chords[chord], shown)
    return Group("chord", context.chart.sheet.bars[bar].number, chord, said)
