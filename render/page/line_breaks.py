"""Break the bars of a tune into lines.

Sections begin lines. The bars of a line share its width by need, and as many fit as the style asks
for at most; nothing shrinks. A bar that is too wide for a whole line is cut between chords and goes
on in the next line. Lengths are points.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from .beats import share
from .chords import BarPart, MeasuredChord, ideal, measure_chords, needed, space_of
from .context import LayoutContext

#: The part of a cell that a pickup bar takes beside the full ones.
PICKUP = 0.5


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
    for number, section in enumerate(context.chart.sheet.sections):
        if section.count == 0:
            lines.append(ChartLine(number, True, ()))
            continue
        pieces: list[BarPart] = []
        for bar in range(section.first, section.first + section.count):
            pieces += _pieces(context, bar, width)
        for place, row in enumerate(_rows(pieces, width, context.style.cells)):
            stretched = _stretched(context, row, width)
            lines.append(ChartLine(number, place == 0, stretched))
    return tuple(lines)


def _meter_changes(context: LayoutContext, bar: int) -> bool:
    """Whether a new meter begins with a bar: the header's holds until then."""
    sheet = context.chart.sheet
    before = sheet.header.meter if bar == 0 else sheet.bars[bar - 1].meter
    return sheet.bars[bar].meter != before


def _pieces(context: LayoutContext, bar: int, width: float) -> list[BarPart]:
    """A bar with the width that it needs, cut in parts only where it is wider than a line."""
    written = context.chart.sheet.bars[bar]
    changes = _meter_changes(context, bar)
    space = space_of(context, bar, changes)
    chords = measure_chords(context, bar)
    least, plenty = needed(context, bar, chords, space), ideal(context, bar, chords, space)
    weight = PICKUP if written.pickup else 1.0
    whole = BarPart(bar, chords, space, weight, least, plenty, changes)
    return [whole] if least <= width or len(chords) == 1 else _cut(context, whole, width)


def _cut(context: LayoutContext, piece: BarPart, width: float) -> list[BarPart]:
    """Parts of a bar that is wider than a line, each as full as it can be."""
    parts: list[list[MeasuredChord]] = [[]]
    for chord in piece.chords:
        more = (*parts[-1], chord)
        if parts[-1] and needed(context, piece.bar, more, piece.space) > width:
            parts.append([])
        parts[-1].append(chord)
    last = len(parts) - 1
    return [
        replace(piece, chords=tuple(part), least=width, opens=place == 0, closes=place == last)
        for place, part in enumerate(parts)
    ]


def _rows(pieces: list[BarPart], width: float, count: int) -> list[list[BarPart]]:
    """Pieces by line: as many as fit, `count` whole ones at most."""
    rows: list[list[BarPart]] = []
    for piece in pieces:
        if not rows or not _fit([*rows[-1], piece], width, count):
            rows.append([])
        rows[-1].append(piece)
    return rows


def _fit(row: list[BarPart], width: float, count: int) -> bool:
    """Whether pieces fit a line."""
    whole = sum(piece.weight for piece in row if piece.weight >= 1)
    return whole <= count and sum(piece.least for piece in row) <= width + 1e-6


def _stretched(context: LayoutContext, row: list[BarPart], width: float) -> tuple[BarPart, ...]:
    """The pieces of a line with x and width; a short last line keeps the width of its cells."""
    missing = max(0.0, context.style.cells - sum(piece.weight for piece in row))
    least = [piece.least for piece in row]
    room = max(width * (1 - missing / context.style.cells), sum(least))
    out, x = [], 0.0
    for piece, wide in zip(row, share(least, [piece.ideal for piece in row], room), strict=True):
        out.append(replace(piece, x=x, width=wide))
        x += wide
    return tuple(out)
