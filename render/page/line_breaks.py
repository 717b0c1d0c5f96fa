"""Break the bars of a tune into lines.

Sections begin lines. A bar that does not fit its cell at full size shrinks, down to `LEAST`; then
it takes as many cells more as it needs; one that is too wide for a whole line is cut between chords
and goes on in the next line. In large print nothing shrinks. Lengths are points.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from .chords import MeasuredChord, Space, measure_chord, measure_chords, needed, space_of
from .context import LayoutContext

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
