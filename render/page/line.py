"""Set one line of the chart: measure its height first, draw it once its place is known.

From the top a line stacks: its section's name and the player's text where they need a row; endings,
signs and words over the bars; the bars; brackets and arrows; the neck map.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ...grammar.sheet import Bar
from .beats import BarTimes
from .chords import BarPart, Rows, arranged, bar_times, draw_chord, draw_ticks, has_ticks, rows_of
from .context import LayoutContext, closes_ending
from .drawing import (
    BOLD,
    CLOSE,
    DECORATION_GROUP,
    SECTION_GROUP,
    THIN,
    Item,
    Line,
    NeckScale,
    Open,
    Stop,
    Text,
    bar_end,
    bar_start,
    coda,
    draw_neck_map,
    early,
    ending_bracket,
    fermata,
    grouped,
    measure,
    meter_mark,
    neck_scale,
    rest_mark,
    root_string,
    segno,
    simile_mark,
    spans,
)
from .labels import (
    draw_label,
    draw_number,
    draw_recall,
    gutter_height,
    label_height,
    recall_height,
)
from .line_breaks import ChartLine
from .marks import Mark, Spots, draw_mark, find_marks
from .meaning import bar_group, chord_group

#: Room between the marks of a line and its neck map, as a part of a lane.
NECK_GAP = 0.25


@dataclass(frozen=True, slots=True)
class MeasuredLine:
    """A measured line; x counts from the left end of the music, heights are points.

    `times` holds where the times of each bar fall, `starts` the left edges of its chords; `label`,
    `above`, `lanes` and `neck` are the heights of the rows that only some lines have.
    """

    line: ChartLine
    times: tuple[BarTimes, ...]
    starts: tuple[tuple[float, ...], ...]
    marks: tuple[Mark, ...]
    rows: Rows
    label: float = 0.0
    above: float = 0.0
    lanes: float = 0.0
    neck: float = 0.0

    def edges(self, x0: float) -> list[float]:
        """The x of its bar lines, from its left end on, where x counts from `x0`."""
        pieces = self.line.pieces
        return [x0 + self.line.left, *(x0 + piece.x + piece.width for piece in pieces)]

    @property
    def height(self) -> float:
        """From the top of what stands above the bars to the bottom of the neck map."""
        return self.label + self.above + self.rows.bottom + self.lanes + self.neck


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
        _measured(context, replace(line, marks=_from(line.line, marks[number])))
        for number, line in enumerate(measured)
    )


def _from(line: ChartLine, marks: Sequence[Mark]) -> tuple[Mark, ...]:
    """Marks that come from the line before, begun where a line that is set in begins."""
    return tuple(
        replace(mark, x1=max(mark.x1, line.left)) if mark.cut_left else mark for mark in marks
    )


def _placed(context: LayoutContext, line: ChartLine, beside: bool) -> MeasuredLine:
    """A line with the places of its chords."""
    line = replace(line, pieces=arranged(context, line.pieces, beside))
    times = tuple(bar_times(context, piece) for piece in line.pieces)
    starts = tuple(
        tuple(time.x(context.chords[chord.index].start) for chord in piece.chords)
        for piece, time in zip(line.pieces, times, strict=True)
    )
    return MeasuredLine(line, times, starts, (), rows_of(context, line.pieces))


def _measured(context: LayoutContext, line: MeasuredLine) -> MeasuredLine:
    """A line with the heights of the rows that it has."""
    sizes, section = context.sizes, context.section(line.line.section)
    if not line.line.pieces:
        return replace(line, rows=Rows(0.0, 0.0, 0.0, 0.0, recall_height(context, section)))
    shown = context.style.neck_map == "line"
    neck = scale_of(context).height + NECK_GAP * sizes.lane if shown else 0.0
    beside = gutter_height(context) if line.line.begins and section.label else 0.0
    rows = replace(line.rows, bottom=max(line.rows.bottom, beside))
    return replace(
        line,
        rows=rows,
        label=label_height(context, section) if line.line.begins else 0.0,
        above=1.6 * sizes.small if _busy(context, line.line) else 0.0,
        lanes=sizes.lane if line.marks else 0.0,
        neck=neck,
    )


def _busy(context: LayoutContext, line: ChartLine) -> bool:
    """Whether endings, signs or words stand over the bars of a line."""
    bars = context.chart.sheet.bars
    for piece in line.pieces:
        bar = bars[piece.bar]
        signs = bar.segno or bar.coda or bar.to_coda or bar.fine or bar.jump is not None
        if signs or bar.repeat_close > 2 or context.endings[piece.bar]:
            return True
        if any(chord.push or chord.hold for chord in bar.chords):
            return True
    return False


def draw_line(context: LayoutContext, line: MeasuredLine, at: tuple[float, float]) -> list[Item]:
    """The items of a measured line with its top left corner (of the gutter) `at`."""
    left, top = at
    section = context.section(line.line.section)
    if not line.line.pieces:
        return draw_recall(context, section, left, top)
    x0 = left + context.gutter
    music = top + line.label + line.above
    bottom = music + line.rows.bottom
    items: list[Item] = []
    if line.line.begins:
        items = [Open(SECTION_GROUP), CLOSE, *draw_label(context, section, (left, top), music)]
    if line.line.pieces[0].opens:
        items += draw_number(context, line.line.pieces[0].bar, left + line.line.left, music)
    for place, (piece, starts) in enumerate(zip(line.line.pieces, line.starts, strict=True)):
        items.append(Open(bar_group(context, piece)))
        items += draw_bar(context, piece, place == 0, (x0, music, line.above), line.rows)
        if has_ticks(context, piece):
            items += draw_ticks(context, piece, line.times[place], x0, music + line.rows.tick)
        for chord, x in zip(piece.chords, starts, strict=True):
            items.append(Open(chord_group(context, piece.bar, chord.index)))
            items += draw_chord(context, chord, x0 + x, music, line.rows)
            items += _over_chord(context, chord.index, x0 + x, music)
            items.append(CLOSE)
        items.append(CLOSE)
    for mark in line.marks:
        items += grouped(DECORATION_GROUP, draw_mark(mark, x0, bottom, context.sizes.lane))
    if line.neck:
        top_of_map = bottom + line.lanes + NECK_GAP * context.sizes.lane
        items += _neck(context, line, x0, top_of_map)
    return items


def _over_chord(context: LayoutContext, index: int, x: float, music: float) -> list[Item]:
    """The signs of an early stroke and of a hold above a chord."""
    written = context.chords[index]
    size = context.sizes.small
    items: list[Item] = []
    if written.push:
        items += early(x, music - 0.35 * size, size)
        x += 1.4 * size
    if written.hold:
        items += fermata(x + 0.6 * size, music - 0.2 * size, 1.2 * size)
    return items


def scale_of(context: LayoutContext) -> NeckScale:
    """The scale of the chart's neck maps."""
    return neck_scale(context.positions, context.chart.player.window, context.sizes.neck)


def neck_stops(context: LayoutContext, line: MeasuredLine, x0: float) -> list[Stop]:
    """Where the hand stands at each chord of a line whose music begins at `x0`.

    The hand comes in where the written chord before the line left it.
    """
    stops = []
    first = line.line.pieces[0]
    index = first.chords[0].index if first.chords else context.chart.sheet.first_chords[first.bar]
    before = context.grip_before(index)
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
    number = max(0.8 * context.sizes.small, context.sizes.least)
    stops = neck_stops(context, line, x0)
    return draw_neck_map(stops, edges, top, scale_of(context), number)


def draw_bar(
    context: LayoutContext, piece: BarPart, leads: bool, at: tuple[float, float, float], rows: Rows
) -> list[Item]:
    """The items of one bar. `leads`: it is its line's first.

    `at` is the left end and top of the line's music and the height that is free above it.
    """
    bars = context.chart.sheet.bars
    bar, unit = bars[piece.bar], context.sizes.symbol
    x1, top, above = at[0] + piece.x, at[1], at[2]
    x2, bottom = x1 + piece.width, top + rows.bottom
    items: list[Item] = []
    if leads and piece.opens and not bar.repeat_open:
        items.append(Line(x1, top, x1, bottom, THIN))
    if piece.opens:
        items += bar_start(bar, x1, (top, bottom), unit)
    if piece.opens and piece.meter_changes:
        x = x1 + piece.space.before - 0.82 * unit
        items += meter_mark(bar.meter, x, top + 0.1 * unit, max(0.8 * unit, context.sizes.least))
    if piece.closes:
        items += bar_end(bar, piece.bar == len(bars) - 1, x2, (top, bottom), unit)
    items += _filler(context, piece, leads, (x1, x2, 0.5 * (top + bottom)))
    if above:
        items += _ending(context, piece, (x1, x2, top - above))
        items += _signs(context, piece, x1, top)
        items += _words(context, piece, (x1, x2), top, leads)
    return items


def _filler(
    context: LayoutContext, piece: BarPart, leads: bool, place: tuple[float, float, float]
) -> list[Item]:
    """What a bar without chords shows: a sign of repetition or a rest; `place` is its middle."""
    bar, unit = context.chart.sheet.bars[piece.bar], context.sizes.symbol
    x1, x2, y = place
    if bar.rest_bars:
        return rest_mark(
            bar.rest_bars, x1 + piece.space.before, x2 - 0.6 * unit, y + 0.25 * unit, unit
        )
    if bar.simile == 1:
        return simile_mark(0.5 * (x1 + x2), y, unit, 1)
    if bar.simile == 2 and _second(context, piece.bar):
        return simile_mark(0.5 * (x1 + x2) if leads else x1, y, unit, 2)
    return []


def _second(context: LayoutContext, bar: int) -> bool:
    """Whether a bar is the second of two that repeat the two before."""
    bars, run = context.chart.sheet.bars, 0
    while run <= bar and bars[bar - run].simile == 2:
        run += 1
    return run % 2 == 0


def _ending(
    context: LayoutContext, piece: BarPart, place: tuple[float, float, float]
) -> list[Item]:
    """The part of an ending's bracket that lies over a bar."""
    bar = context.chart.sheet.bars[piece.bar]
    passes = context.endings[piece.bar]
    if not passes:
        return []
    x1, x2, top = place
    opens = bool(bar.endings) and piece.opens
    over = piece.closes and closes_ending(bar)
    closes = over and not _goes_on(context, piece.bar)
    right = x2 - (3.0 if over else 0.0)
    return ending_bracket(
        passes,
        x1 + (1.0 if opens else 0.0),
        right,
        (top + 1.0, context.sizes.small),
        (opens, closes),
    )


def _goes_on(context: LayoutContext, bar: int) -> bool:
    """Whether music goes on behind the last bar of an ending: its bracket stays open there."""
    bars = context.chart.sheet.bars
    ends = bars[bar].repeat_close or bars[bar].fine or bars[bar].jump is not None
    return not ends and bar < len(bars) - 1


def _signs(context: LayoutContext, piece: BarPart, x1: float, music: float) -> list[Item]:
    """Segno and coda at the start of a bar, right of an ending's number."""
    bar, size = context.chart.sheet.bars[piece.bar], context.sizes.small
    items: list[Item] = []
    x, y = x1 + (2.4 if bar.endings else 0.7) * size, music - 0.75 * size
    if bar.segno and piece.opens:
        items += segno(x, y, 1.3 * size)
        x += 1.7 * size
    if bar.coda and piece.opens:
        items += coda(x, y, 1.3 * size)
    return items


def _words(
    context: LayoutContext, piece: BarPart, span: tuple[float, float], music: float, leads: bool
) -> list[Item]:
    """Words at a bar's end, and the sign behind `To Coda`, clear of what stands at its start."""
    bar, size = context.chart.sheet.bars[piece.bar], context.sizes.small
    words = jump_words(bar, bool(context.endings[piece.bar])) if piece.closes else ""
    if not words:
        return []
    width = measure(words, BOLD, size)
    before = size * (2.4 * bool(bar.endings) + 1.9 * (bar.segno + bar.coda))
    end, y = span[1] - 0.6 * size, music - 0.42 * size
    if leads or before:
        end = max(end, span[0] + before + width + (1.5 * size if bar.to_coda else 0.0))
    items: list[Item] = []
    if bar.to_coda:
        items += coda(end - 0.6 * size, y - 0.3 * size, 1.25 * size)
        end -= 1.5 * size
    items.append(Text(end - width, y, tuple(spans(words, BOLD, size))))
    return items


def jump_words(bar: Bar, ending: bool = False) -> str:
    """The words at the end of a bar, as on paper; an `ending` over it counts the passes itself."""
    words = []
    if bar.repeat_close > 2 and not ending:
        words.append(f"{bar.repeat_close}×")
    if bar.fine:
        words.append("Fine")
    if bar.jump is not None:
        words.append(str(bar.jump))
    if bar.to_coda:
        words.append("To Coda")
    return "  ".join(words)
