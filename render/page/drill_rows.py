"""The rows of an exercise, drawn: the names of keys with boxes, strokes over the bars, neck maps.

Takes a `Laid` exercise, gives rows that know their height and draw themselves. Lengths are points.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from ...converter.drill.values import Station
from ...converter.practice.falling import fall
from ..drill_words import notes_of
from .blocks import Block, joined, moved, paragraph
from .drill_head import boxes_of, head_block
from .drill_lines import Laid
from .drill_rhythm import BarSpan, draw_strokes
from .fonts import BOLD, REGULAR, spans
from .items import Item, Text
from .line import SetLine, draw_line, neck_stops, scale_of
from .names import key_text, signed, with_signs
from .neckmap import draw_neck_map

#: Height of the strokes over the bars and the room below them, in sizes of small text.
STROKES, BELOW = 0.85, 0.45
#: Room between the lines of one key, in sizes of small text.
BETWEEN = 0.6


@dataclass(frozen=True, slots=True)
class Row:
    """The lines of one key, or of several that share them, with the names at their x.

    Where names stand above, or a page is too short for all lines of a key, each line is a row, so
    that a page may break between them; only the first has `heads`, or these are a row without lines
    before it. `notes` stand under a line that keys share. `round` is that of the first key;
    `begins`: the round begins here.
    """

    laid: Laid
    lines: tuple[SetLine, ...]
    heads: tuple[tuple[float, Block], ...]
    notes: Block
    round: int
    begins: bool

    @property
    def head(self) -> float:
        """Height of the tallest head."""
        return max((block.height for _, block in self.heads), default=0.0)

    @property
    def height(self) -> float:
        """Height of all of it."""
        between = BETWEEN * self.laid.setting.sizes.small * max(0, len(self.lines) - 1)
        lines = sum(rhythm_height(self.laid) + line.height for line in self.lines) + between
        whole = max(self.head, lines) if self.laid.column else self.head + lines
        return whole + self.notes.height

    def draw(self) -> list[Item]:
        """Its items, the top left corner at (0, 0)."""
        laid = self.laid
        x0 = laid.column + laid.setting.gutter
        y = 0.0 if laid.column else self.head
        items = [item for x, block in self.heads for item in moved(block.items, x, 0.0)]
        for line in self.lines:
            y += rhythm_height(laid)
            items += draw_line(laid.setting, line, (laid.column, y))
            items += _strokes(laid, line, (x0, y))
            items += _pivots(laid, line, (x0, y))
            if laid.map:
                items += _map(laid, line, (x0, y))
            y += line.height + BETWEEN * laid.setting.sizes.small
        return items + moved(self.notes.items, laid.setting.gutter, self.height - self.notes.height)


def rhythm_height(laid: Laid) -> float:
    """Height of the strokes over a line, with the room below them."""
    return (STROKES + BELOW) * laid.setting.sizes.small + laid.rise


def rows_of(laid: Laid, room: float) -> tuple[Row, ...]:
    """The rows of an exercise, in order, for pages with so much room."""
    rows: list[Row] = []
    for number, group in enumerate(laid.groups):
        lines = tuple(line for line in laid.lines if line.line.section == number)
        stations = laid.exercise.stations[group.start : group.stop]
        begins = not rows or rows[-1].round != stations[0].round
        heads = tuple(_head(laid, place, lines[0]) for place in group)
        notes = _notes(laid, _said(*stations) if laid.together > 1 else [])
        row = Row(laid, lines, heads, notes, stations[0].round, begins)
        rows += [row] if laid.column and row.height <= room else _split(row, room)
    return tuple(rows)


def _split(row: Row, room: float) -> Iterator[Row]:
    """A row for each line; names and notes are rows of their own where a page is too short."""
    nothing, heads = joined(()), row.heads
    if replace(row, lines=row.lines[:1], notes=nothing).height > room:
        yield replace(row, lines=(), notes=nothing)
        heads = ()
    for line in row.lines[:-1]:
        begins = row.begins and bool(heads)
        yield replace(row, lines=(line,), heads=heads, notes=nothing, begins=begins)
        heads = ()
    last = replace(row, lines=row.lines[-1:], heads=heads, begins=row.begins and bool(heads))
    if last.height <= room:
        yield last
    else:
        yield replace(last, notes=nothing)
        yield replace(row, lines=(), heads=(), begins=False)


def _said(*stations: Station) -> list[str]:
    return [with_signs(note) for station in stations for note in notes_of(station)]


def _notes(laid: Laid, said: list[str]) -> Block:
    """What is to say of keys that share a line, below it."""
    size = laid.setting.sizes.small
    width = laid.setting.music_width
    gap = [Block((), 0.0, 0.7 * size)] if said else []
    return joined([*gap, *(paragraph(f"{note.rstrip('.')}.", size, width) for note in said)])


def _head(laid: Laid, place: int, line: SetLine) -> tuple[float, Block]:
    """The name of a key: beside its lines, or above its first bar where they are shared."""
    station, sizes = laid.exercise.stations[place], laid.setting.sizes
    boxes = boxes_of(laid.practice, sizes, laid.together > 1)
    if laid.together == 1:
        width = laid.column - sizes.small if laid.column else laid.setting.width
        return 0.0, head_block(station, boxes, _said(station), sizes, width)
    pieces = [piece for piece in line.line.pieces if piece.bar in laid.bars[place]]
    start, end = pieces[0].x, pieces[-1].x + pieces[-1].width
    block = head_block(station, boxes, (), sizes, end - start - sizes.small)
    return laid.setting.gutter + start, block


def _strokes(laid: Laid, line: SetLine, at: tuple[float, float]) -> list[Item]:
    """The strokes of the rhythm over a line's bars."""
    x0, top = at
    items: list[Item] = []
    for piece in line.line.pieces:
        one = laid.played[piece.bar]
        left, right = x0 + piece.x, x0 + piece.x + piece.width
        span = BarSpan(one.meter, left + piece.space.before, right - piece.space.after)
        strokes = fall(laid.pattern, one.meter, one.cycle, one.spans)
        height = STROKES * laid.setting.sizes.small
        items += draw_strokes(strokes, span, top - rhythm_height(laid), height)
    return items


def _pivots(laid: Laid, line: SetLine, at: tuple[float, float]) -> list[Item]:
    """What the last chord of a key becomes as the first of the next, behind its numeral."""
    stations = laid.exercise.stations
    becomes = {
        before.chords[-1]: after.chords[0]
        for before, after in pairwise(stations)
        if after.pivot is not None and after.round == before.round
    }
    baseline = at[1] + line.label + line.above + line.rows.numeral
    items: list[Item] = []
    for piece, starts in zip(line.line.pieces, line.starts, strict=True):
        for place, (cell, start) in enumerate(zip(piece.cells, starts, strict=True)):
            after = becomes.get(cell.index)
            if after is not None and place == len(piece.cells) - 1:
                behind = cell.numeral[-1].end if cell.numeral else 0.0
                x = start + behind + 0.6 * laid.setting.sizes.small
                room = piece.x + piece.width - piece.space.after - x
                items += _pivot(laid, after, (at[0] + x, baseline), room)
    return items


def _pivot(laid: Laid, after: int, at: tuple[float, float], room: float) -> list[Item]:
    """`→ B♭: ii7`: what the chord at hand becomes, where there is room to say so."""
    reading = laid.setting.chart.analysis.readings[after]
    size = laid.setting.sizes.small
    if reading is None or not laid.setting.style.analysis:
        return []
    parts = spans("→ ", REGULAR, size)
    for text, name in ((f"{key_text(reading.key)}: ", BOLD), (signed(reading.roman), REGULAR)):
        parts += spans(text, name, size, parts[-1].end)
    if parts[-1].end > room:
        return []
    return [Text(*at, tuple(parts))]


def _map(laid: Laid, line: SetLine, at: tuple[float, float]) -> list[Item]:
    """The hand's way through a line, drawn high at its right end; time runs as in the line."""
    x0, y = at
    chosen, size = laid.setting, max(0.95 * laid.setting.sizes.small, laid.setting.sizes.least)
    last = line.line.pieces[-1]
    length = last.x + last.width
    right = chosen.width - 0.2 * chosen.sizes.small
    left = chosen.width - laid.map + 2.6 * size
    top, bottom = y + line.label + line.above, y + line.label + line.above + line.rows.bottom
    stops = [
        replace(stop, x=left + (stop.x - x0) / length * (right - left))
        for stop in neck_stops(chosen, line, x0)
    ]
    return draw_neck_map(stops, (left, right), top, scale_of(chosen, bottom - top), size)
