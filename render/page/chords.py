"""Measure the chords of a bar, draw them and find their places in it.

A chord is as wide as its symbol, grid or numeral needs. Lengths are points.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from ...grammar.chord import NO_CHORD
from .context import LayoutContext
from .drawing import (
    BOLD,
    CAP_HEIGHT,
    REGULAR,
    SOFT,
    GridLook,
    Item,
    Line,
    Span,
    Symbol,
    Text,
    draw_grid,
    key_text,
    measure,
    set_symbol,
    signed,
    spans,
)

#: The width of a stroke mark, in distances between strings.
_STROKE: Final = 1.4


@dataclass(frozen=True, slots=True)
class Rows:
    """Heights below the top of a line's music: baselines of symbol and numeral, top of grids."""

    symbol: float
    grid: float
    numeral: float
    bottom: float


@dataclass(frozen=True, slots=True)
class MeasuredChord:
    """A chord ready to be drawn; `width` is what it needs, `index` points into the sheet's chords.

    `roman_dx` is where its numeral begins behind the key's name.
    """

    index: int
    symbol: Symbol
    look: GridLook
    numeral: tuple[Span, ...]
    roman_dx: float
    sure: bool
    width: float


def rows_of(context: LayoutContext) -> Rows:
    """The heights that all lines of a chart share."""
    sizes, look = context.sizes, context.look
    baseline = sizes.symbol * (CAP_HEIGHT + 0.09)
    grid = baseline + sizes.symbol * 0.22
    below = grid + (0.0 if context.style.grids == "none" else look.height + 0.25 * look.dot)
    if not context.style.analysis:
        return Rows(baseline, grid, below, below + 2)
    numeral = below + sizes.small * 0.98
    return Rows(baseline, grid, numeral, numeral + sizes.small * 0.32)


def measure_chord(context: LayoutContext, index: int, factor: float = 1.0) -> MeasuredChord:
    """A chord with everything measured, its sizes times `factor`."""
    sizes = context.sizes.scaled(factor)
    chord = context.chords[index].chord
    if chord is None:
        parts = tuple(spans(NO_CHORD, REGULAR, max(sizes.symbol * 0.8, sizes.least)))
        symbol = Symbol(parts, parts[0].width)
    else:
        symbol = set_symbol(chord, sizes.symbol, context.style.symbols, sizes.raised)
    look = context.look
    if factor != 1.0:
        look = replace(
            look, string=sizes.string, fret=sizes.fret, finger=sizes.finger, number=sizes.small
        )
    numeral, roman_dx, sure = _numeral(context, index)
    numeral_width = numeral[-1].end if numeral else 0.0
    width = max(symbol.width, _grid_width(context, index, look), numeral_width)
    return MeasuredChord(index, symbol, look, numeral, roman_dx, sure, width)


def _numeral(context: LayoutContext, index: int) -> tuple[tuple[Span, ...], float, bool]:
    """The spans of a numeral, led by the key where it changes, where it
    begins behind that, and whether the reading is sure."""
    reading = context.chart.analysis.readings[index]
    if reading is None or not context.style.analysis:
        return (), 0.0, True
    size = context.sizes.small
    out: list[Span] = []
    start = 0.0
    if context.key_named[index]:
        label = key_text(reading.key) + ": "
        out += spans(label, BOLD, size)
        start = measure(label, BOLD, size)
    out += spans(signed(reading.roman), REGULAR, size, start)
    return tuple(out), start, not reading.doubtful


def draw_chord(
    context: LayoutContext, measured: MeasuredChord, x: float, top: float, rows: Rows
) -> list[Item]:
    """The items of a chord whose left edge is `x` in a line whose top is `top`."""
    items: list[Item] = [measured.symbol.at(x, top + rows.symbol)]
    grip = context.grip(measured.index)
    chord = context.chords[measured.index].chord
    look = measured.look
    if context.gridded[measured.index] and grip is not None and chord is not None:
        items += draw_grid(grip, chord, (x, top + rows.grid), look)
    elif _is_struck_again(context, measured.index):
        items.append(_stroke(x + look.gutter, top + rows.grid + look.top, look))
    if measured.numeral:
        grey = 0.0 if measured.sure else SOFT
        items.append(Text(x, top + rows.numeral, measured.numeral, grey))
    return items


def _grid_width(context: LayoutContext, index: int, look: GridLook) -> float:
    """The width of what stands in the row of grids for a chord."""
    if context.gridded[index]:
        return look.width
    return look.gutter + _STROKE * look.string if _is_struck_again(context, index) else 0.0


def _is_struck_again(context: LayoutContext, index: int) -> bool:
    """Whether a stroke mark stands for the grid of a chord."""
    style = context.style
    return style.grids == "each" and not context.gridded[index] and context.grip(index) is not None


def _stroke(x: float, y: float, look: GridLook) -> Item:
    """The stroke mark of a chord that is struck again."""
    middle = y + 0.5 * look.rows * look.fret
    reach, end = 1.1 * look.fret, x + _STROKE * look.string
    return Line(x, middle + reach, end, middle - reach, 0.28 * look.dot + 0.6)


@dataclass(frozen=True, slots=True)
class Space:
    """What a bar keeps free at its left (`before`) and right (`after`) end, and between chords."""

    before: float
    after: float
    between: float


def space_of(context: LayoutContext, number: int, meter_changes: bool) -> Space:
    """The room for bar lines, repeat dots and a new meter beside the plain padding."""
    bars = context.chart.sheet.bars
    bar, size = bars[number], context.sizes.symbol
    before = size * (0.42 + 0.40 * bar.repeat_open + 0.85 * meter_changes)
    heavy = bar.double_bar or number == len(bars) - 1
    after = size * (0.16 + (0.42 if bar.repeat_close else 0.22 * heavy))
    return Space(before, after, 0.26 * size)


def measure_chords(context: LayoutContext, number: int) -> tuple[MeasuredChord, ...]:
    """The chords of the written bar with index `number`."""
    return tuple(measure_chord(context, index) for index in context.chart.sheet.chords_of(number))


def needed(chords: tuple[MeasuredChord, ...], space: Space) -> float:
    """The least width of a bar with these chords."""
    gaps = space.between * max(0, len(chords) - 1)
    return space.before + space.after + sum(chord.width for chord in chords) + gaps


def chord_positions(
    context: LayoutContext, chords: tuple[MeasuredChord, ...], space: Space, width: float
) -> list[float]:
    """Left edges of the chords: where their beat falls, pushed apart as far as they need."""
    if not chords:
        return []
    written = [context.chords[chord.index] for chord in chords]
    first, end = written[0].start, written[-1].start + written[-1].beats
    room = (width - space.before - space.after) / float(end - first)
    starts = [space.before + room * float(chord.start - first) for chord in written]
    for place in range(1, len(chords)):
        least = starts[place - 1] + chords[place - 1].width + space.between
        starts[place] = max(starts[place], least)
    limit = width - space.after
    for place in range(len(chords) - 1, -1, -1):
        starts[place] = min(starts[place], limit - chords[place].width)
        limit = starts[place] - space.between
    return starts
