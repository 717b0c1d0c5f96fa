"""Measure the chords and bars of a tune and break them into lines.

A chord is as wide as its symbol, grid or numeral needs. Sections begin lines. A bar that does not
fit its cell at full size shrinks, down to `LEAST`; then it takes as many cells more as it needs;
one that is too wide for a whole line is cut between chords and goes on in the next line. In large
print nothing shrinks. Lengths are points.
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


#: The least part of its size that a crowded bar may shrink to before it takes a second cell.
LEAST = 0.72
#: The part of a cell that a pickup bar takes beside the full ones.
PICKUP = 0.5
#: The part of its width that a cell keeps beside a pickup, whatever the number of cells.
SQUEEZE = 1 / (1 + PICKUP)


@dataclass(frozen=True, slots=True)
class BarPart:
    """A written bar, or a part of one, on a line: `opens` and `closes` tell which bar lines it has.

    `bar` is the index of the written bar; `x` and `width` are points within the line; `weight` is
    its width in cells; `least` is the width in points below which it cannot shrink.
    """

    bar: int
    chords: tuple[MeasuredChord, ...]
    space: Space
    weight: float
    least: float
    meter_changes: bool = False
    opens: bool = True
    closes: bool = True
    x: float = 0.0
    width: float = 0.0


@dataclass(frozen=True, slots=True)
class ChartLine:
    """A line of the chart; `section` indexes the sheet's sections, `begins` when it is their first.

    Without pieces the line stands for a section that is played again.
    """

    section: int
    begins: bool
    pieces: tuple[BarPart, ...]


def break_lines(context: LayoutContext, width: float) -> tuple[ChartLine, ...]:
    """The lines of a tune in a column `width` points wide."""
    lines: list[ChartLine] = []
    cell = width / context.style.cells
    if any(bar.pickup for bar in context.chart.sheet.bars):
        cell *= SQUEEZE
    for number, section in enumerate(context.chart.sheet.sections):
        if section.count == 0:
            lines.append(ChartLine(number, True, ()))
            continue
        pieces: list[BarPart] = []
        for bar in range(section.first, section.first + section.count):
            pieces += _pieces(context, bar, width, cell)
        for place, row in enumerate(_rows(pieces, width, context.style.cells)):
            stretched = _stretched(context, row, width)
            lines.append(ChartLine(number, place == 0, stretched))
    return tuple(lines)


def _meter_changes(context: LayoutContext, bar: int) -> bool:
    """Whether a new meter begins with a bar: the header's holds until then."""
    sheet = context.chart.sheet
    before = sheet.header.meter if bar == 0 else sheet.bars[bar - 1].meter
    return sheet.bars[bar].meter != before


def _pieces(context: LayoutContext, bar: int, width: float, cell: float) -> list[BarPart]:
    """A bar with the cells that it takes, cut in parts only where it is wider than a line.

    `cell` is the least width of a cell: how small a bar can get matters where it is wider.
    """
    written = context.chart.sheet.bars[bar]
    changes = _meter_changes(context, bar)
    space = space_of(context, bar, changes)
    chords = measure_chords(context, bar)
    unit, count = width / context.style.cells, context.style.cells
    least = needed(chords, space)
    if least > cell and not context.style.large:
        least = needed(_smaller(context, chords, LEAST), space)
    if written.pickup and not context.style.large and needed(chords, space) <= unit * PICKUP * 1.2:
        return [BarPart(bar, chords, space, PICKUP, least, changes)]
    for weight in range(1, count + 1):
        if least <= unit * weight:
            return [BarPart(bar, chords, space, weight, least, changes)]
    whole = BarPart(bar, chords, space, count, least, changes)
    return [whole] if len(chords) == 1 else _cut(whole, width)


def _smaller(
    context: LayoutContext, chords: tuple[MeasuredChord, ...], factor: float
) -> tuple[MeasuredChord, ...]:
    """The same chords, `factor` times as large as plain (numerals keep their size)."""
    return tuple(measure_chord(context, chord.index, factor) for chord in chords)


def _shrunk(context: LayoutContext, piece: BarPart, width: float) -> tuple[MeasuredChord, ...]:
    """The chords of a piece, made so small that they fit a width (numerals keep their size)."""
    factor, chords = 1.0, piece.chords
    for _ in range(12):
        if not chords or needed(chords, piece.space) <= width + 1e-6:
            break
        factor *= max(0.8, (width - 1) / needed(chords, piece.space))
        chords = _smaller(context, chords, factor)
    return chords


def _cut(piece: BarPart, width: float) -> list[BarPart]:
    """Parts of a bar that is wider than a line, each as full as it can be."""
    parts: list[list[MeasuredChord]] = [[]]
    for chord in piece.chords:
        if parts[-1] and needed((*parts[-1], chord), piece.space) > width:
            parts.append([])
        parts[-1].append(chord)
    last = len(parts) - 1
    return [
        replace(piece, chords=tuple(part), least=0.0, opens=place == 0, closes=place == last)
        for place, part in enumerate(parts)
    ]


def _rows(pieces: list[BarPart], width: float, count: int) -> list[list[BarPart]]:
    """Pieces by line: as many as fit `count` cells, a pickup beside them where it squeezes none."""
    rows: list[list[BarPart]] = []
    for piece in pieces:
        if not rows or not _fit([*rows[-1], piece], width, count):
            rows.append([])
        rows[-1].append(piece)
    return rows


def _fit(row: list[BarPart], width: float, count: int) -> bool:
    """Whether pieces fit a line, none narrower than it can be."""
    if sum(piece.weight for piece in row if piece.weight >= 1) > count:
        return False
    unit = width / max(sum(piece.weight for piece in row), count)
    return all(piece.least <= unit * piece.weight + 1e-6 for piece in row if piece.weight >= 1)


def _stretched(context: LayoutContext, row: list[BarPart], width: float) -> tuple[BarPart, ...]:
    """The pieces of a line with x and width; a short last line keeps the width of its cells."""
    count = context.style.cells
    unit = width / max(sum(piece.weight for piece in row), count)
    out, x = [], 0.0
    for piece in row:
        room = unit * piece.weight
        chords = piece.chords
        if not context.style.large:
            chords = _shrunk(context, piece, room)
        out.append(replace(piece, chords=chords, x=x, width=room))
        x += room
    return tuple(out)
