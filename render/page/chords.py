"""Measure the chords of a bar, draw them and find their places in it.

A chord is as wide as its symbol, grid or numeral needs. Lengths are points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Final

from ...grammar.chord import NO_CHORD
from ...grammar.frozen import frozen
from ...grammar.sheet import SheetChord
from .beats import BarTimes, labels_of, room_of, share, ticks_of, times_in
from .context import LayoutContext
from .drawing.fonts import BOLD, CAP_HEIGHT, REGULAR, measure, scaled_spans, spans
from .drawing.grid import ROWS, GridLook, draw_grid, mark, rows_needed
from .drawing.items import Item, Line, Shown, Span, Text
from .drawing.signs import (
    METER,
    METER_GAP,
    Symbol,
    bracketed,
    key_text,
    meter_width,
    set_symbol,
    signed,
    with_signs,
)
from .drawing.style import Metrics
from .rhythm import stroke_gaps

#: The height of a tick, in sizes of symbols; its lean and its widths on a beat, with and without a
#: chord, in heights. A tick between beats is heavy and half as high.
TICK, LEAN, HEAVY, LIGHT = 0.25, 0.45, 0.6, 0.22
#: The room behind a symbol for the mark of a grip that lacks a tone of it, in sizes of symbols.
LACKING = 0.36
#: The least and the greatest gap between a symbol and the grid beside it, in sizes of symbols: the
#: number of the first fret must not read as a part of the symbol.
ASIDE = 0.5, 0.9
#: The width of the sign for a grip that is kept, in distances between strings.
SAME: Final = 1.4


@frozen
class Rows:
    """Heights below the top of a line: baselines of symbol, ticks and numeral, top of grids."""

    symbol: float
    tick: float
    grid: float
    numeral: float
    bottom: float


@frozen
class MeasuredChord:
    """A chord ready to be drawn; `width` is what it needs, `index` points into the sheet's chords.

    `lacks`: its grip does not sound all that its symbol names. `roman_dx` is where its numeral
    begins behind the key's name; `goal` tells behind it where the chord resolves, where no arrow
    does; `aside` is how far right of its left edge the grid stands beside the symbol, 0 where it
    stands below.
    """

    index: int
    symbol: Symbol
    lacks: bool
    look: GridLook
    numeral: tuple[Span, ...]
    roman_dx: float
    goal: tuple[Span, ...]
    width: float
    ticks: float
    aside: float = 0.0

    def arranged(self, look: GridLook, aside: float) -> MeasuredChord:
        """The same chord with its grid in a look, so far right of its left edge."""
        if look is self.look and aside == self.aside:
            return self
        return MeasuredChord(
            self.index,
            self.symbol,
            self.lacks,
            look,
            self.numeral,
            self.roman_dx,
            self.goal,
            self.width,
            self.ticks,
            aside,
        )

    def scaled(self, factor: float) -> MeasuredChord:
        """The same chord with all its sizes times a factor."""
        return MeasuredChord(
            self.index,
            self.symbol.scaled(factor),
            self.lacks,
            self.look.scaled(factor),
            scaled_spans(self.numeral, factor),
            self.roman_dx * factor,
            scaled_spans(self.goal, factor),
            self.width * factor,
            self.ticks * factor,
            self.aside * factor,
        )

    @property
    def words_end(self) -> float:
        """Where the words of its numeral and its goal end."""
        return max((span.end for span in (*self.numeral, *self.goal)), default=0.0)

    @property
    def words(self) -> float:
        """The width of its symbol and of the row of its numeral."""
        return max(self.symbol.width, self.words_end)


@frozen
class LineGrids:
    """What the chords of a line ask of its height, whatever the widths of its bars.

    `look` is that of its highest grid, with as many rows as the line needs; `depth` the ink below
    the baseline of its symbols; `ticked` and `gridded` tell whether it has ticks and grids; `words`
    is the width of its widest symbol or numeral where its grids may stand beside, None elsewhere.
    """

    look: GridLook
    depth: float
    ticked: bool
    gridded: bool
    words: float | None


def line_grids(context: LayoutContext, pieces: Sequence[BarPart], beside: bool) -> LineGrids:
    """What the chords of a line ask; `beside`: grids may stand beside symbols where each bar has
    one chord."""
    chords = [chord for piece in pieces for chord in piece.chords]
    grips = (context.grip(chord.index) for chord in chords if context.gridded[chord.index])
    rows = max([ROWS, *(rows_needed(grip) for grip in grips if grip is not None)])
    looks = [chord.look for chord in chords] or [context.look]
    look = max(looks, key=lambda each: each.height)
    ticked = any(has_ticks(context, piece) for piece in pieces)
    gridded = _has_grids(context, chords)
    single = all(len(piece.chords) < 2 for piece in pieces)
    aside = beside and bool(chords) and gridded and single and not ticked
    return LineGrids(
        look.with_rows(rows),
        max((chord.symbol.depth for chord in chords), default=0.0),
        ticked,
        gridded,
        max(chord.words for chord in chords) if aside else None,
    )


def aside_of(
    context: LayoutContext, grids: LineGrids, pieces: Sequence[BarPart], widths: Sequence[float]
) -> float:
    """How far right of their symbols the grids of a line stand, 0 where they stand below."""
    if grids.words is None:
        return 0.0
    free = min(
        width - piece.space.before - piece.space.after - piece.chords[0].look.width
        for piece, width in zip(pieces, widths, strict=True)
        if piece.chords
    )
    least, most = (grids.words + part * context.sizes.symbol for part in ASIDE)
    return min(free, most) if free >= least else 0.0


def arranged(pieces: Sequence[BarPart], rows: int, aside: float) -> tuple[BarPart, ...]:
    """The bars of a line with grids of so many rows, so far right of their symbols."""
    return tuple(
        piece.with_chords(
            tuple(chord.arranged(chord.look.with_rows(rows), aside) for chord in piece.chords)
        )
        for piece in pieces
    )


def rows_of(context: LayoutContext, grids: LineGrids, aside: float) -> Rows:
    """The heights of a line of bars, with a row for ticks where it has them."""
    sizes, look, depth = context.sizes, grids.look, grids.depth
    baseline = _baseline(sizes)
    if aside:
        bottom = max(look.height, baseline + depth + (1.1 * sizes.small) * context.style.numerals)
        numeral = max(look.height, baseline + depth + 0.9 * sizes.small)
        return Rows(baseline, baseline, 0.0, numeral, bottom + 0.32 * sizes.small)
    tick = baseline + depth
    if grids.ticked:
        tick += sizes.symbol * (0.11 + TICK)
    grid = max(tick + sizes.symbol * 0.04, baseline + sizes.symbol * 0.12)
    below = grid + (look.height + 0.25 * look.dot if grids.gridded else 0.0)
    if not context.style.numerals:
        return Rows(baseline, tick, grid, below, below + 2)
    numeral = below + sizes.small * 0.98
    return Rows(baseline, tick, grid, numeral, numeral + sizes.small * 0.32)


def _baseline(sizes: Metrics) -> float:
    """How far below the top of a line the baseline of its symbols lies."""
    return sizes.symbol * (CAP_HEIGHT + 0.09)


def symbols_rise(sizes: Metrics, pieces: Sequence[BarPart]) -> float:
    """How far the highest symbol stands over the top of its line, as stacked alterations do."""
    rises = (chord.symbol.rise for piece in pieces for chord in piece.chords)
    return max(rises, default=0.0) - _baseline(sizes)


def _has_grids(context: LayoutContext, chords: Sequence[MeasuredChord]) -> bool:
    """Whether a line keeps room for grids: where only new grips have them, not every line does."""
    if context.style.grids == "new":
        return any(context.gridded[chord.index] for chord in chords)
    return context.style.grids != "none"


def measure_chord(context: LayoutContext, index: int) -> MeasuredChord:
    """A chord with everything measured."""
    sizes = context.sizes
    chord = context.chords[index].chord
    if chord is None:
        parts = spans(NO_CHORD, REGULAR, max(sizes.symbol * 0.8, sizes.least))
        symbol = Symbol(parts, parts[0].width, 0.0, 0.0)
    else:
        symbol = set_symbol(chord, sizes.symbol, context.style.symbols, sizes.raised)
    if context.chords[index].optional:
        symbol = bracketed(symbol, sizes.symbol, *context.chart.sheet.brackets(index))
    lacks = context.lacks(index)
    if lacks:
        symbol = replace(symbol, width=symbol.width + LACKING * sizes.symbol)
    grip = context.grip(index)
    look = context.look if grip is None else context.look.of(grip)
    numeral, roman_dx = _numeral(context, index)
    ends = numeral[-1].end if numeral else 0.0
    width = max(symbol.width, _grid_width(context, index, look), ends)
    goal = _goal(context, index, ends, width) if numeral else ()
    width = max(width, goal[-1].end if goal else 0.0)
    ticks = sum(_gaps(context, context.chart.sheet.bar_of(index), context.chords[index]))
    return MeasuredChord(index, symbol, lacks, look, numeral, roman_dx, goal, width, ticks)


def _numeral(context: LayoutContext, index: int) -> tuple[tuple[Span, ...], float]:
    """The spans of a numeral, led by the key where it changes, and where it begins behind that.

    A doubtful reading has a question mark: at the key where that is named, or else at the numeral.
    """
    reading = context.chart.analysis.readings[index]
    if reading is None or not context.style.numerals:
        return (), 0.0
    size, doubt = context.sizes.small, "?" if reading.doubtful else ""
    out: list[Span] = []
    start = 0.0
    if context.key_named[index]:
        label, doubt = f"{key_text(reading.key)}{doubt}: ", ""
        out += spans(label, BOLD, size)
        start = measure(label, BOLD, size)
    out += spans(signed(reading.roman) + doubt, REGULAR, size, start)
    return tuple(out), start


def _goal(context: LayoutContext, index: int, behind: float, room: float) -> tuple[Span, ...]:
    """What tells behind a numeral where its chord resolves: the bar, short where room is short, or
    the chord where bars have no numbers or it is in the same one."""
    target = context.links.told.get(index)
    if target is None:
        return ()
    sheet, chord = context.chart.sheet, context.chords[target].chord
    here, there = sheet.bar_number_of(index), sheet.bar_number_of(target)
    forms = [f"→ bar {there}", f"→ {there}"]
    if chord is not None and (not context.numbered or there in (0, here)):
        forms = [f"→ {with_signs(str(chord))}"]
    size = context.sizes.small
    start = behind + 0.5 * size
    fit = [form for form in forms if start + measure(form, REGULAR, size) <= room]
    return spans((fit or forms[-1:])[0], REGULAR, size, start)


def draw_chord(
    context: LayoutContext, measured: MeasuredChord, x: float, top: float, rows: Rows
) -> list[Item]:
    """The items of a chord whose left edge is `x` in a line whose top is `top`."""
    items: list[Item] = [measured.symbol.at(x, top + rows.symbol)]
    if measured.lacks:
        size = measured.symbol.spans[0].size
        middle = x + measured.symbol.width - 0.4 * LACKING * size
        items.append(mark("other", middle, top + rows.symbol - 0.16 * size, 0.12 * size, True))
        items.append(Shown("lacks"))
    grip = context.grip(measured.index)
    chord = context.chords[measured.index].chord
    look = measured.look
    if context.gridded[measured.index] and grip is not None and chord is not None:
        items += draw_grid(grip, chord, (x + measured.aside, top + rows.grid), look)
    elif _is_struck_again(context, measured.index):
        items += same_sign(x + measured.aside + look.gutter, top + rows.grid + look.top, look)
    if measured.numeral:
        items.append(Text(x, top + rows.numeral, measured.numeral))
        reading = context.chart.analysis.readings[measured.index]
        items += [Shown("doubt")] if reading is not None and reading.doubtful else []
    if measured.goal:
        items += [Text(x, top + rows.numeral, measured.goal), Shown("far")]
    return items


def _grid_width(context: LayoutContext, index: int, look: GridLook) -> float:
    """The width of what stands in the row of grids for a chord."""
    if context.gridded[index]:
        return look.width
    return look.gutter + SAME * look.string if _is_struck_again(context, index) else 0.0


def _is_struck_again(context: LayoutContext, index: int) -> bool:
    """Whether a sign stands for the grid of a chord: the grip before it again."""
    style = context.style
    return style.grids == "each" and not context.gridded[index] and context.grip(index) is not None


def same_sign(x: float, y: float, look: GridLook) -> list[Item]:
    """Two level bars for a chord that is struck again with the grip before: nothing like a tick."""
    middle, end = y + 0.5 * look.rows * look.fret, x + SAME * look.string
    apart, thick = 0.55 * look.dot, 0.28 * look.dot + 0.4
    lines = [Line(x, middle + dy, end, middle + dy, thick) for dy in (-apart, apart)]
    return [*lines, Shown("same")]


@frozen
class Space:
    """What a bar keeps free at its left (`before`) and right (`after`) end, and between chords."""

    before: float
    after: float
    between: float

    def scaled(self, factor: float) -> Space:
        """The room at a size."""
        return Space(self.before * factor, self.after * factor, self.between * factor)


def space_of(context: LayoutContext, number: int, meter_changes: bool) -> Space:
    """The room for bar lines, repeat dots and a new meter beside the plain padding."""
    bars = context.chart.sheet.bars
    bar, size = bars[number], context.sizes.symbol
    before = size * (0.42 + 0.40 * bar.repeat_open)
    if meter_changes:
        before += meter_width(bar.meter, METER * size) + (METER_GAP - 0.1) * size
    heavy = bar.double_bar or number == len(bars) - 1
    after = size * (0.16 + (0.42 if bar.repeat_close else 0.22 * heavy))
    return Space(before, after, 0.26 * size)


def measure_chords(context: LayoutContext, number: int) -> tuple[MeasuredChord, ...]:
    """The chords of the written bar with index `number`."""
    return tuple(measure_chord(context, index) for index in context.chart.sheet.chords_of(number))


@frozen
class BarPart:
    """A written bar, or a part of one, on a line: `opens` and `closes` tell which bar lines it has.

    `bar` is the index of the written bar; `x` and `width` are points within the line; `least` is
    the width that it needs and `ideal` the one that it takes beside others where there is plenty.
    """

    bar: int
    chords: tuple[MeasuredChord, ...]
    space: Space
    least: float
    ideal: float
    meter_changes: bool = False
    opens: bool = True
    closes: bool = True
    x: float = 0.0
    width: float = 0.0

    def with_chords(self, chords: tuple[MeasuredChord, ...]) -> BarPart:
        """The same bar, its chords replaced."""
        return BarPart(
            self.bar,
            chords,
            self.space,
            self.least,
            self.ideal,
            self.meter_changes,
            self.opens,
            self.closes,
            self.x,
            self.width,
        )

    def placed(self, x: float, width: float, factor: float = 1.0) -> BarPart:
        """The same bar at a place, all sizes (those of the place too) times a factor."""
        plain = factor == 1.0
        return BarPart(
            self.bar,
            self.chords if plain else tuple(chord.scaled(factor) for chord in self.chords),
            self.space if plain else self.space.scaled(factor),
            self.least * factor,
            self.ideal * factor,
            self.meter_changes,
            self.opens,
            self.closes,
            x * factor,
            width * factor,
        )


@frozen
class ChartLine:
    """A line of the chart; `section` indexes the sheet's sections, `begins` when it is their first.

    Without pieces the line stands for a section that is played again.
    """

    section: int
    begins: bool
    pieces: tuple[BarPart, ...]

    @property
    def left(self) -> float:
        """Where its first bar begins."""
        return self.pieces[0].x if self.pieces else 0.0

    @property
    def right(self) -> float:
        """Where its last bar ends."""
        return self.pieces[-1].x + self.pieces[-1].width if self.pieces else 0.0


#: The least gap between ticks, in sizes of symbols.
GAP = 0.45


def least_rooms(chords: tuple[MeasuredChord, ...], space: Space) -> list[float]:
    """What each chord takes at least, with the gap to the next one."""
    last = len(chords) - 1
    return [
        max(chord.width + space.between * (place < last), chord.ticks)
        for place, chord in enumerate(chords)
    ]


def _gaps(context: LayoutContext, bar: int, chord: SheetChord) -> list[float]:
    """The least gap behind each tick of a chord of the bar with an index, with room for what is
    written beside it and for strokes of a rhythm."""
    size, gap = context.sizes.small, GAP * context.sizes.symbol
    gaps = [
        gap + (measure(label, REGULAR, size) + 0.2 * size if label else 0.0)
        for label in labels_of(chord.start, chord.beats)
    ]
    strokes = context.strokes_in(bar)
    if not strokes:
        return gaps
    marks = [*(tick.at for tick in ticks_of([chord])), chord.start + chord.beats]
    struck = stroke_gaps(strokes, context.chart.sheet.bars[bar].meter, marks, context.sizes)
    return [max(pair) for pair in zip(gaps, struck, strict=True)]


def bar_times(context: LayoutContext, piece: BarPart) -> BarTimes:
    """Where the times of a bar (or a part of one) fall on its line: chords at their left edges."""
    start, room = piece.x + piece.space.before, piece.width - piece.space.before - piece.space.after
    if not piece.chords:
        beats = Fraction(context.chart.sheet.bars[piece.bar].meter.beats)
        return BarTimes((Fraction(0), beats), (start, start + room))
    written = [context.chords[chord.index] for chord in piece.chords]
    least = least_rooms(piece.chords, piece.space)
    rooms = share(least, [room_of(chord.beats) for chord in written], room)
    gaps = [gap for chord in written for gap in _gaps(context, piece.bar, chord)]
    return times_in(written, rooms, start, gaps)


def has_ticks(context: LayoutContext, piece: BarPart) -> bool:
    """Whether ticks stand over the chords of a bar, or of a part of one."""
    cut = bool(piece.chords) and not (piece.opens and piece.closes)
    return cut or context.ticked[piece.bar]


def draw_ticks(
    context: LayoutContext, piece: BarPart, times: BarTimes, x0: float, y: float
) -> list[Item]:
    """The ticks of a bar on the baseline `y`, its line's music beginning at `x0`."""
    height = TICK * context.sizes.symbol
    items: list[Item] = []
    for tick in ticks_of([context.chords[chord.index] for chord in piece.chords]):
        x, tall = x0 + times.x(tick.at), height * (0.5 if tick.part else 1.0)
        thick = height * (LIGHT if tick.chord is None else HEAVY)
        x += 0.5 * thick
        items.append(Line(x, y, x + LEAN * tall, y - tall, thick))
        items.append(Shown("tick" if tick.chord is None else "heavy"))
        if tick.label:
            size = context.sizes.small
            items.append(Text(x + 0.6 * height, y, spans(tick.label, REGULAR, size)))
    return items
