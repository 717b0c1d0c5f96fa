"""The rows of an exercise, drawn: names of keys, boxes to tick, rhythm, bars, neck maps.

`lines` measures an exercise, this module draws it, `layout` places its rows on pages. Takes an
`ExerciseLayout`, gives rows that know their height and draw themselves. Lengths are points.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from ....converter.drill.drill import Practice, Station
from ....converter.prose.drill import notes_of
from ....grammar.frozen import frozen
from ..drawing.blocks import Block, joined, paragraph
from ..drawing.fonts import BOLD, CAP_HEIGHT, REGULAR, measure, spans
from ..drawing.geometry import moved
from ..drawing.items import (
    HEADING_GROUP,
    TEXT_GROUP,
    Item,
    Rect,
    Shown,
    Span,
    Text,
    grouped,
)
from ..drawing.neckmap import NECK_INSET, draw_neck_map
from ..drawing.signs import key_text, shown, signed, with_signs
from ..drawing.style import Metrics
from ..line import MeasuredLine, draw_line, neck_stops, scale_of
from .lines import ExerciseLayout

#: The most boxes that a key gets; with more repetitions or tempos it gets one.
MOST_BOXES = 8
#: Size of a key's name beside that of symbols, of its mode beside that of the name.
NAME, MODE = 0.86, 0.62


@frozen
class Boxes:
    """Boxes to tick, with a word behind each, in rows as wide as there is room; `size` of words."""

    labels: tuple[str, ...]
    size: float

    @property
    def step(self) -> float:
        """From one box to the next."""
        widest = max((measure(label, REGULAR, self.size) for label in self.labels), default=0.0)
        return (1.35 * self.size + widest + 0.45 * self.size) if widest else 1.45 * self.size

    def block(self, width: float) -> Block:
        """The boxes within a width; the columns stand one under the other."""
        count = max(1, int(width // self.step))
        if len(self.labels) > count:
            # As even as can be: four and three boxes, not five and two.
            rows = -(-len(self.labels) // count)
            count = -(-len(self.labels) // rows)
        items: list[Item] = []
        side, row = 1.05 * self.size, 1.5 * self.size
        for place, label in enumerate(self.labels):
            x, y = place % count * self.step, place // count * row
            items.append(Rect(x + 0.4, y + 0.4, side, side, None, 0.0, 0.7))
            if label:
                baseline = y + 0.4 + 0.5 * (side + CAP_HEIGHT * self.size)
                text = spans(label, REGULAR, self.size)
                items.append(Text(x + side + 0.3 * self.size, baseline, text))
        rows = -(-len(self.labels) // count)
        read = tuple(grouped(TEXT_GROUP, items))
        return Block(read, min(len(self.labels), count) * self.step, rows * row)


def boxes_of(practice: Practice, sizes: Metrics, narrow: bool) -> Boxes:
    """The boxes of one key: for each tempo of the ladder, or each repetition; one where `narrow`.

    A narrow key shares its line with others; a count that is too large for boxes gets one as well.
    """
    size = max(0.95 * sizes.small, sizes.least)
    if practice.ladder:
        fits = not narrow and len(practice.ladder) <= MOST_BOXES
        return Boxes(tuple(map(str, practice.ladder)) if fits else ("",), size)
    fits = practice.repetitions <= (4 if narrow else MOST_BOXES)
    return Boxes(("",) * practice.repetitions if fits else ("",), size)


def head_block(
    station: Station, boxes: Boxes, notes: Sequence[str], sizes: Metrics, width: float
) -> Block:
    """A key's name, its boxes (beside the name where they fit) and notes about it.

    A key of one chord goes without a name: the chord's own symbol says enough.
    """
    items: list[Item] = []
    end = y = 0.0
    name = NAME * sizes.symbol
    baseline = (CAP_HEIGHT + 0.12) * name
    if len(station.chords) > 1:
        named = _name(station, name, max(MODE * name, sizes.least))
        items += grouped(HEADING_GROUP, [Text(0.0, baseline, named)])
        end, y = named[-1].end, baseline + 0.42 * name
    row = boxes.step * len(boxes.labels)
    if end and end + 0.8 * name + row <= width:
        items += moved(boxes.block(row + 0.1).items, end + 0.8 * name, baseline - 1.12 * boxes.size)
    else:
        placed = boxes.block(width)
        items += moved(placed.items, 0.0, y)
        y += placed.height + 0.15 * name
    for note in notes:
        block = paragraph(note, boxes.size, width)
        items += moved(block.items, 0.0, y)
        y += block.height
    return Block(tuple(items), width, y)


def _name(station: Station, size: float, mode: float) -> tuple[Span, ...]:
    """The tonic large, the mode small behind it."""
    tonic = spans(shown(station.key.tonic), BOLD, size)
    return (*tonic, *spans(f" {station.key.mode}", REGULAR, mode, tonic[-1].end))


#: Room between the lines of one key, in sizes of small text.
BETWEEN = 0.6


#: How far the hand's way into a key is seen before its first mark, in points.
LEAD = 3.0


@frozen
class Row:
    """The lines of one key, or of several that share them, with the names at their x.

    Where names stand above, or a page is too short for all lines of a key, each line is a row, so
    that a page may break between them; only the first has `heads`, or these are a row without lines
    before it. `notes` stand under a line that keys share. `round` is that of the first key;
    `begins`: the round begins here.
    """

    layout: ExerciseLayout
    lines: tuple[MeasuredLine, ...]
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
        between = BETWEEN * self.layout.context.sizes.small * max(0, len(self.lines) - 1)
        lines = sum(line.height for line in self.lines) + between
        whole = max(self.head, lines) if self.layout.column else self.head + lines
        return whole + self.notes.height

    def draw(self) -> list[Item]:
        """Its items, the top left corner at (0, 0)."""
        layout = self.layout
        x0 = layout.column + layout.context.gutter
        y = 0.0 if layout.column else self.head
        items = [item for x, block in self.heads for item in moved(block.items, x, 0.0)]
        for line in self.lines:
            items += draw_line(layout.context, line, (layout.column, y))
            items += _pivots(layout, line, (x0, y))
            if layout.map:
                items += _map(layout, line, (x0, y))
            y += line.height + BETWEEN * layout.context.sizes.small
        return items + moved(
            self.notes.items, layout.context.gutter, self.height - self.notes.height
        )


def rows_of(layout: ExerciseLayout, room: float) -> tuple[Row, ...]:
    """The rows of an exercise, in order, for pages with so much room."""
    rows: list[Row] = []
    for number, group in enumerate(layout.groups):
        lines = tuple(line for line in layout.lines if line.line.section == number)
        stations = layout.exercise.stations[group.start : group.stop]
        begins = not rows or rows[-1].round != stations[0].round
        heads = tuple(_head(layout, place, lines[0]) for place in group)
        notes = _notes(layout, _sentences(*stations) if layout.together > 1 else [])
        row = Row(layout, lines, heads, notes, stations[0].round, begins)
        rows += [row] if layout.column and row.height <= room else _split(row, room)
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


def _sentences(*stations: Station) -> list[str]:
    return [with_signs(note) for station in stations for note in notes_of(station)]


def _notes(layout: ExerciseLayout, sentences: list[str]) -> Block:
    """The notes on keys that share a line, set below it."""
    size = layout.context.sizes.small
    width = layout.context.music_width
    gap = [Block((), 0.0, 0.7 * size)] if sentences else []
    return joined([*gap, *(paragraph(f"{note.rstrip('.')}.", size, width) for note in sentences)])


def _head(layout: ExerciseLayout, place: int, line: MeasuredLine) -> tuple[float, Block]:
    """The name of a key: beside its lines, or above its first bar where they are shared."""
    station, sizes = layout.exercise.stations[place], layout.context.sizes
    boxes = boxes_of(layout.practice, sizes, layout.together > 1)
    if layout.together == 1:
        width = layout.column - sizes.small if layout.column else layout.context.width
        return 0.0, head_block(station, boxes, _sentences(station), sizes, width)
    pieces = [piece for piece in line.line.pieces if piece.bar in layout.bars[place]]
    start, end = pieces[0].x, pieces[-1].x + pieces[-1].width
    block = head_block(station, boxes, (), sizes, end - start - sizes.small)
    return layout.context.gutter + start, block


def _pivots(layout: ExerciseLayout, line: MeasuredLine, at: tuple[float, float]) -> list[Item]:
    """What the last chord of a key becomes as the first of the next, behind its numeral."""
    stations = layout.exercise.stations
    becomes = {
        before.chords[-1]: after.chords[0]
        for before, after in pairwise(stations)
        if after.pivot is not None and after.round == before.round
    }
    baseline = at[1] + line.music + line.rows.numeral
    items: list[Item] = []
    for piece, starts in zip(line.line.pieces, line.starts, strict=True):
        for place, (chord, start) in enumerate(zip(piece.chords, starts, strict=True)):
            after = becomes.get(chord.index)
            if after is not None and place == len(piece.chords) - 1:
                x = start + chord.words_end + 0.6 * layout.context.sizes.small
                room = piece.x + piece.width - piece.space.after - x
                items += _pivot(layout, after, (at[0] + x, baseline), room)
    return items


def _pivot(layout: ExerciseLayout, after: int, at: tuple[float, float], room: float) -> list[Item]:
    """`→ B♭: ii7`: what the chord at hand becomes, where there is room to say so."""
    reading = layout.context.chart.analysis.readings[after]
    size = layout.context.sizes.small
    if reading is None or not layout.context.style.numerals:
        return []
    parts = spans("→ ", REGULAR, size)
    for text, name in ((f"{key_text(reading.key)}: ", BOLD), (signed(reading.roman), REGULAR)):
        parts += spans(text, name, size, parts[-1].end)
    if parts[-1].end > room:
        return []
    return [*grouped(TEXT_GROUP, [Text(*at, tuple(parts))]), Shown("pivot")]


def _map(layout: ExerciseLayout, line: MeasuredLine, at: tuple[float, float]) -> list[Item]:
    """The hand's way through a line, drawn high at its right end; time runs as in the line."""
    x0, y = at
    context, size = (
        layout.context,
        max(0.95 * layout.context.sizes.small, layout.context.sizes.least),
    )
    last = line.line.pieces[-1]
    length = last.x + last.width
    right = context.width - 0.2 * context.sizes.small
    left = context.width - layout.map + 2.6 * size
    first = left + NECK_INSET + LEAD
    top, bottom = y + line.music, y + line.music + line.rows.bottom
    stops = [
        replace(stop, x=first + (stop.x - x0) / length * (right - first))
        for stop in neck_stops(context, line, x0)
    ]
    return draw_neck_map(stops, (left, right), top, scale_of(context).filling(bottom - top), size)
