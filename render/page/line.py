"""Set one line of the chart: what stands above it, its bars, its marks, its neck map.

A line is measured first (`SetLine`), so that pages can be filled, and drawn once its place is known.
"""

from __future__ import annotations

from dataclasses import dataclass

from .barlines import THIN, bar_end, bar_start, ending_bracket, meter_mark, rest_mark, simile_mark
from .cell import Rows, draw_cell, rows_of
from .flow import ChartLine, Piece
from .fonts import BOLD, ITALIC, measure, spans
from .items import Item, Line, Rect, Text
from .marks import Mark, Spots, draw_mark, find_marks
from .measure import places
from .neckmap import NeckScale, Stop, draw_neck_map, neck_scale
from .ornaments import coda, early, fermata, segno
from .setting import Setting


@dataclass(frozen=True, slots=True)
class SetLine:
    """A measured line: its chords' x, its marks, and the heights of what is stacked in it.

    `above` holds endings, signs and words over the bars, `lanes` the marks under them. `height` is all
    of it, the gap to the next line left out.
    """

    line: ChartLine
    starts: tuple[tuple[float, ...], ...]
    marks: tuple[Mark, ...]
    rows: Rows
    above: float
    label: float
    lanes: float
    neck: float

    @property
    def height(self) -> float:
        """From the top of what stands above the line to the bottom of its neck map."""
        return self.label + self.above + self.rows.bottom + self.lanes + self.neck


def set_lines(setting: Setting, lines: tuple[ChartLine, ...], gutter: float) -> tuple[SetLine, ...]:
    """Measure all lines; their music begins `gutter` points right of their left edge at x = 0."""
    rows = rows_of(setting)
    bars = setting.chart.sheet.bars
    starts, spots = [], Spots()
    for number, line in enumerate(lines):
        row = []
        for piece in line.pieces:
            offsets = places(bars[piece.bar], piece.cells, piece.space, piece.width)
            row.append(tuple(gutter + piece.x + x for x in offsets))
            for cell, x in zip(piece.cells, row[-1], strict=True):
                spots[cell.index] = (number, x)
        starts.append(tuple(row))
    edges = [
        (gutter, gutter + line.pieces[-1].x + line.pieces[-1].width if line.pieces else gutter)
        for line in lines
    ]
    marks = find_marks(setting, spots, edges)
    return tuple(
        _measured(setting, line, starts[number], tuple(marks[number]), rows)
        for number, line in enumerate(lines)
    )


def _measured(
    setting: Setting,
    line: ChartLine,
    starts: tuple[tuple[float, ...], ...],
    marks: tuple[Mark, ...],
    rows: Rows,
) -> SetLine:
    sizes = setting.sizes
    if not line.pieces:
        return SetLine(line, (), (), Rows(0, 0, 0, 1.6 * sizes.small), 0, 0, 0, 0)
    lanes = sizes.lane * max((mark.lane + 1 for mark in marks), default=0)
    neck = sizes.neck + 0.3 * sizes.lane if setting.style.neck_map == "line" else 0.0
    label = 1.5 * sizes.small if _label_above(setting, line) else 0.0
    above = 1.5 * sizes.small if _busy_above(setting, line) else 0.0
    return SetLine(line, starts, marks, rows, above, label, lanes, neck)


def _label_above(setting: Setting, line: ChartLine) -> bool:
    """Whether a section's name or the player's text needs a row of its own."""
    section = setting.chart.sheet.sections[line.section]
    return line.begins and (len(section.label) > 2 or bool(section.text))


def _busy_above(setting: Setting, line: ChartLine) -> bool:
    """Whether endings, signs or words stand over the bars of a line."""
    bars = setting.chart.sheet.bars
    return any(
        bar.segno or bar.coda or bar.to_coda or bar.fine or bar.jump is not None
        or _ending_over(setting, piece.bar) or bar.repeat_close > 2
        or any(chord.push or chord.hold for chord in bar.chords)
        for piece in line.pieces
        for bar in (bars[piece.bar],)
    )  # fmt: skip


def _ending_over(setting: Setting, bar: int) -> tuple[int, ...]:
    """The passes of the ending that a bar lies in, () when in none."""
    bars = setting.chart.sheet.bars
    for place in range(bar, -1, -1):
        if bars[place].endings:
            return bars[place].endings
        if place == 0 or bars[place - 1].ending_close or bars[place - 1].repeat_close:
            return ()
    return ()


def draw_line(
    setting: Setting, line: SetLine, at: tuple[float, float], gutter: float
) -> list[Item]:
    """The items of a measured line with its top left corner `at`."""
    left, top = at
    if not line.line.pieces:
        return _recall(setting, line, left, top, gutter)
    music = top + line.label + line.above
    bottom = music + line.rows.bottom
    items = _label(setting, line, left, top, gutter)
    for piece, starts in zip(line.line.pieces, line.starts, strict=True):
        items += _piece(setting, line, piece, (left + gutter, music))
        for cell, x in zip(piece.cells, starts, strict=True):
            items += draw_cell(setting, cell, left + x, music, line.rows)
            items += _chord_signs(setting, cell.index, left + x, music)
    for mark in line.marks:
        items += _moved(draw_mark(_shifted(mark, left), bottom, setting.sizes.lane))
    if line.neck:
        items += _neck(
            setting, line, left, gutter, bottom + line.lanes + line.neck - setting.sizes.neck
        )
    return items


def _moved(items: list[Item]) -> list[Item]:
    return items


def _shifted(mark: Mark, dx: float) -> Mark:
    from dataclasses import replace

    return replace(mark, x1=mark.x1 + dx, x2=mark.x2 + dx)


def _chord_signs(setting: Setting, index: int, x: float, music: float) -> list[Item]:
    written = setting.chart.sheet.chords[index]
    size = setting.sizes.small
    items: list[Item] = []
    if written.push:
        items += early(x, music - 0.2 * size, size)
    if written.hold:
        items += fermata(x + (1.8 if written.push else 0.6) * size, music, 1.1 * size)
    return items


def _label(setting: Setting, line: SetLine, left: float, top: float, gutter: float) -> list[Item]:
    """The section's letter in a box, in the gutter or in a row above, with the player's text."""
    section = setting.chart.sheet.sections[line.line.section]
    if not line.line.begins:
        return []
    size = setting.sizes.small * 1.15
    items: list[Item] = []
    x, y = left, top + line.above + 0.35 * size
    if line.label:
        x, y = left + gutter, top
    if section.label:
        items += boxed(section.label, x, y, size)
        x += measure(section.label, BOLD, size) + 1.3 * size
    if section.text:
        words = "  ".join(section.text)
        small = setting.sizes.small
        items.append(Text(x, y + 0.95 * size, tuple(spans(words, ITALIC, small))))
    return items


def boxed(text: str, x: float, y: float, size: float) -> list[Item]:
    """A text in a box whose top left corner is (`x`, `y`)."""
    width = measure(text, BOLD, size) + 0.6 * size
    box = Rect(x, y, width, 1.25 * size, None, 0.0, 0.8)
    return [box, Text(x + 0.3 * size, y + 0.97 * size, tuple(spans(text, BOLD, size)))]


def _recall(setting: Setting, line: SetLine, left: float, top: float, gutter: float) -> list[Item]:
    """A section that is played again without being written out."""
    section = setting.chart.sheet.sections[line.line.section]
    earlier = setting.chart.sheet.sections[section.recalls or 0]
    size = setting.sizes.small
    items = boxed(section.label, left, top, 1.15 * size)
    x = max(left + gutter, left + measure(section.label, BOLD, 1.15 * size) + 1.3 * size)
    words = f"{earlier.label} again"
    items.append(Text(x, top + 1.12 * size, tuple(spans(words, ITALIC, 1.15 * size))))
    return items


def _piece(setting: Setting, line: SetLine, piece: Piece, at: tuple[float, float]) -> list[Item]:
    """Bar lines, signs and fillers of one bar; `at` is where the line's music begins."""
    bars = setting.chart.sheet.bars
    bar = bars[piece.bar]
    unit = setting.sizes.symbol
    x1, top = at[0] + piece.x, at[1]
    x2, bottom = x1 + piece.width, top + line.rows.bottom
    items: list[Item] = []
    if piece is line.line.pieces[0] and not bar.repeat_open:
        items.append(Line(x1, top, x1, bottom, THIN))
    if piece.opens:
        items += bar_start(bar, x1, top, bottom, unit)
        if piece.meter_changes:
            x = x1 + piece.space.before - 0.8 * unit
            items += meter_mark(bar.meter, x, top + 0.1 * unit, 0.85 * unit)
    if piece.closes:
        final = piece.bar == len(bars) - 1
        items += bar_end(bar, final, x2, (top, bottom), unit)
    items += _filler(setting, line, piece, (x1, x2, top))
    items += _over(setting, line, piece, (x1, x2, top))
    return items


def _filler(
    setting: Setting, line: SetLine, piece: Piece, place: tuple[float, float, float]
) -> list[Item]:
    """What a bar without chords shows: a sign of repetition or a long rest."""
    bars = setting.chart.sheet.bars
    bar, unit = bars[piece.bar], setting.sizes.symbol
    x1, x2, top = place
    middle = top + 0.5 * line.rows.grid + 0.25 * unit
    if bar.rest_bars:
        return rest_mark(bar.rest_bars, x1 + unit, x2 - unit, middle + 0.6 * unit, unit)
    if bar.simile == 1:
        return simile_mark(0.5 * (x1 + x2), middle, 0.8 * unit, 1)
    if bar.simile == 2 and piece.bar and bars[piece.bar - 1].simile == 2:
        if _second(setting, piece.bar):
            first = piece is line.line.pieces[0]
            return simile_mark(0.5 * (x1 + x2) if first else x1, middle, 0.8 * unit, 2)
    return []


def _second(setting: Setting, bar: int) -> bool:
    """Whether a bar is the second of two that repeat the two before."""
    bars, run = setting.chart.sheet.bars, 0
    while bar - run >= 0 and bars[bar - run].simile == 2:
        run += 1
    return run % 2 == 0


def _over(
    setting: Setting, line: SetLine, piece: Piece, place: tuple[float, float, float]
) -> list[Item]:
    """Endings, signs and words over a bar."""
    bars = setting.chart.sheet.bars
    bar, size = bars[piece.bar], setting.sizes.small
    x1, x2, music = place
    top = music - line.above
    items: list[Item] = []
    if passes := _ending_over(setting, piece.bar):
        opens = bool(bar.endings) and piece.opens
        closes = bool(bar.ending_close or bar.repeat_close) and piece.closes
        items += ending_bracket(passes, x1 + 1.5, x2 - 2, (top + 1.5, size), (opens, closes))
    x = x1 + 0.6 * size
    if bar.segno and piece.opens:
        items += segno(x, music - 0.75 * size, 1.25 * size)
        x += 1.5 * size
    if bar.coda and piece.opens:
        items += coda(x, music - 0.75 * size, 1.25 * size)
    words = _words(setting, piece.bar) if piece.closes else ""
    if words:
        width = measure(words, BOLD, size)
        end = x2 - 2 - (1.5 * size if bar.to_coda else 0)
        items.append(Text(end - width, music - 0.4 * size, tuple(spans(words, BOLD, size))))
        if bar.to_coda:
            items += coda(x2 - 2 - 0.6 * size, music - 0.7 * size, 1.2 * size)
    return items


def _words(setting: Setting, number: int) -> str:
    """The words at the end of a bar."""
    bar = setting.chart.sheet.bars[number]
    words = []
    if bar.repeat_close > 2:
        words.append(f"{bar.repeat_close}×")
    if bar.fine:
        words.append("Fine")
    if bar.jump is not None:
        start = "D.C." if bar.jump.to == "capo" else "D.S."
        words.append(start + {"end": "", "fine": " al Fine", "coda": " al Coda"}[bar.jump.until])
    if bar.to_coda:
        words.append("To Coda")
    return "  ".join(words)


def scale_of(setting: Setting) -> NeckScale:
    """The scale of the chart's neck maps."""
    grips = [grip for grip in setting.chart.plan.grips if grip is not None]
    positions = [grip.position for grip in grips]
    return neck_scale(positions, setting.chart.player.window, setting.sizes.neck)


def _neck(setting: Setting, line: SetLine, left: float, gutter: float, top: float) -> list[Item]:
    """The neck map under a line."""
    stops = []
    for piece, starts in zip(line.line.pieces, line.starts, strict=True):
        for cell, x in zip(piece.cells, starts, strict=True):
            grip = setting.grip(cell.index)
            if grip is not None:
                stops.append(
                    Stop(left + x + 0.3 * setting.sizes.small, grip.position, root_string(grip))
                )
    last = line.line.pieces[-1]
    span = (left + gutter, left + gutter + last.x + last.width)
    number = max(0.8 * setting.sizes.small, setting.sizes.least)
    return draw_neck_map(stops, span, top, scale_of(setting), number)


def root_string(grip: object) -> int | None:
    """The string on which a grip sounds its root, None where it sounds none."""
    from ...converter.hand.grip import Grip

    assert isinstance(grip, Grip)
    for note in grip.voicing.notes:
        if note.tone is not None and note.tone.degree == 1:
            return note.string
    return None
