"""Bars as parts of a line: the room that they need, their places, ticks, and the heights of a line.

Takes the measured chords of each bar; gives `BarPart`s, their times and the rows of a line of them.
Lengths are points.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from ...grammar.frozen import frozen
from .beats import BarTimes, share, ticks_of, times_in
from .chords import MeasuredChord, Rows, tick_gaps
from .context import LayoutContext
from .drawing.fonts import CAP_HEIGHT, REGULAR, spans
from .drawing.grid import ROWS, GridLook, rows_needed
from .drawing.items import Item, Line, Shown, Text
from .drawing.signs import METER, METER_GAP, meter_width
from .drawing.style import Metrics

#: The height of a tick, in sizes of symbols; its lean and its widths on a beat, with and without a
#: chord, in heights. A tick between beats is heavy and half as high.
TICK, LEAN, HEAVY, LIGHT = 0.25, 0.45, 0.6, 0.22
#: The least and the greatest gap between a symbol and the grid beside it, in sizes of symbols: the
#: number of the first fret must not read as a part of the symbol.
ASIDE = 0.5, 0.9


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


def symbols_rise(sizes: Metrics, pieces: Sequence[BarPart]) -> float:
    """How far the highest symbol stands over the top of its line, as stacked alterations do."""
    rises = (chord.symbol.rise for piece in pieces for chord in piece.chords)
    return max(rises, default=0.0) - _baseline(sizes)


def _baseline(sizes: Metrics) -> float:
    """How far below the top of a line the baseline of its symbols lies."""
    return sizes.symbol * (CAP_HEIGHT + 0.09)


def _has_grids(context: LayoutContext, chords: Sequence[MeasuredChord]) -> bool:
    """Whether a line keeps room for grids: where only new grips have them, not every line does."""
    if context.style.grids == "new":
        return any(context.gridded[chord.index] for chord in chords)
    return context.style.grids != "none"


def least_rooms(chords: tuple[MeasuredChord, ...], space: Space) -> list[float]:
    """What each chord takes at least, with the gap to the next one."""
    last = len(chords) - 1
    return [
        max(chord.width + space.between * (place < last), chord.ticks)
        for place, chord in enumerate(chords)
    ]


def bar_times(context: LayoutContext, piece: BarPart) -> BarTimes:
    """Where the times of a bar (or a part of one) fall on its line: chords at their left edges."""
    start, room = piece.x + piece.space.before, piece.width - piece.space.before - piece.space.after
    if not piece.chords:
        beats = Fraction(context.chart.sheet.bars[piece.bar].meter.beats)
        return BarTimes((Fraction(0), beats), (start, start + room))
    times = [context.times[chord.index] for chord in piece.chords]
    least = least_rooms(piece.chords, piece.space)
    rooms = share(least, [chord.room for chord in times], room)
    gaps = [gap for chord in times for gap in tick_gaps(context, piece.bar, chord)]
    return times_in(times, rooms, start, gaps)


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
