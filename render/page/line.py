"""Set one line of the chart: labels, bars, marks and the neck map."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ...grammar.sheet import Section
from .bar import beat_strokes, draw_bar, early, fermata
from .cells import Rows, chord_positions, draw_cell, rows_of
from .context import LayoutContext
from .drawing.blocks import LEADING, wrapped
from .drawing.fonts import BOLD, REGULAR, fitted, measure, spans
from .drawing.items import Item, Rect, Text
from .drawing.neckmap import NeckScale, Stop, draw_neck_map, neck_scale, root_string
from .drawing.symbol import key_name
from .head_foot import SHRINK
from .line_breaks import ChartLine
from .marks import Mark, Spots, draw_mark, find_marks

# A section's name in its box, the player's text, and sections that are played again.
#
# A text that is somewhat too long for one line shrinks; a longer one takes more lines.

#: Size of a section's name beside that of the small text, and the height of its box in ems.
LABEL, BOX = 1.15, 1.3


@dataclass(frozen=True, slots=True)
class Beside:
    """Words beside a section's box: lines of one size, and how far from the left they begin."""

    lines: tuple[str, ...]
    size: float
    x: float

    @property
    def more(self) -> float:
        """Height of the lines below the first."""
        return LEADING * self.size * (len(self.lines) - 1)

    def at(self, left: float, baseline: float) -> list[Item]:
        """Its items, the first line on a baseline."""
        return [
            Text(
                left + self.x,
                baseline + place * LEADING * self.size,
                tuple(spans(line, REGULAR, self.size)),
            )
            for place, line in enumerate(self.lines)
        ]


def _beside(context: LayoutContext, words: str, size: float, x: float) -> Beside:
    """Words in one line of a size or smaller; in more where that would get too small."""
    room, least = context.width - x, max(context.sizes.least, SHRINK * size)
    fit = fitted(words, REGULAR, size, room)
    if fit >= least:
        return Beside((words,), fit, x)
    return Beside(tuple(wrapped(words, REGULAR, least, room)), least, x)


def label_height(context: LayoutContext, line: ChartLine) -> float:
    """The height of the row of a section's name and the player's text, 0 where it has none."""
    section = context.chart.sheet.sections[line.section]
    if not line.begins or not _needs_row(context, section):
        return 0.0
    return 1.9 * context.sizes.small + _text_beside(context, section).more


def recall_height(context: LayoutContext, line: ChartLine) -> float:
    """The height of a section that is played again without being written out."""
    section = context.chart.sheet.sections[line.section]
    return 1.7 * context.sizes.small + _again_beside(context, section).more


def _needs_row(context: LayoutContext, section: Section) -> bool:
    """Whether a section's name is too long for the gutter, or player's text stands beside it."""
    return bool(_words(section)) or _box_width(section.label, _size(context)) > context.gutter - 3


def _words(section: Section) -> str:
    """The key that a section states and its text for the player, in one row."""
    key = () if section.key is None else (key_name(section.key),)
    return " – ".join((*key, *section.text))


def _size(context: LayoutContext) -> float:
    return LABEL * context.sizes.small


def _box_width(text: str, size: float) -> float:
    return measure(text, BOLD, size) + 0.7 * size if text else 0.0


def boxed(text: str, x: float, y: float, size: float) -> list[Item]:
    """A text in a box whose top left corner is (`x`, `y`)."""
    box = Rect(x, y, _box_width(text, size), BOX * size, None, 0.0, 0.8)
    return [box, Text(x + 0.35 * size, y + size, tuple(spans(text, BOLD, size)))]


def draw_label(
    context: LayoutContext, line: ChartLine, at: tuple[float, float], music: float
) -> list[Item]:
    """The name of a section: beside its first bar, or in a row above with the player's text."""
    section = context.chart.sheet.sections[line.section]
    size = _size(context)
    if not _needs_row(context, section):
        return draw_name(context, section, at[0], music)
    left, y = at
    items = boxed(section.label, left + context.gutter, y, size) if section.label else []
    return items + _text_beside(context, section).at(left, y + size)


def _text_beside(context: LayoutContext, section: Section) -> Beside:
    """The player's text behind a section's name."""
    size = _size(context)
    x = context.gutter + _box_width(section.label, size) + (0.6 * size if section.label else 0.0)
    words = _words(section)
    return _beside(context, words, context.sizes.small, x) if words else Beside((), 0.0, x)


def draw_name(context: LayoutContext, section: Section, left: float, music: float) -> list[Item]:
    """The name of a section in the gutter, beside the music that begins at `music`."""
    size = _size(context)
    return boxed(section.label, left, music + 0.2 * size, size) if section.label else []


def draw_recall(context: LayoutContext, line: ChartLine, left: float, top: float) -> list[Item]:
    """A section that is played again without being written out, with its key and its text."""
    section = context.chart.sheet.sections[line.section]
    size = _size(context)
    items = boxed(section.label, left, top, size)
    return items + _again_beside(context, section).at(left, top + size)


def _again_beside(context: LayoutContext, section: Section) -> Beside:
    """What a section that is played again says behind its name."""
    size = _size(context)
    x = max(context.gutter, _box_width(section.label, size) + 0.6 * size)
    sections = context.chart.sheet.sections
    earlier = section if section.recalls is None else sections[section.recalls]
    same = section.label == earlier.label
    again = "again, as above" if same else f"{earlier.label} again"
    words = " – ".join(part for part in (again, _words(section)) if part)
    return _beside(context, words, size, x)


# Set one line of the chart: measure its height first, draw it once its place is known.
#
# From the top a line stacks: its section's name and the player's text where they need a row;
# endings, signs and words over the bars; the bars; brackets and arrows; the neck map.

#: Room between the marks of a line and its neck map, as a part of a lane.
NECK_GAP = 0.25


@dataclass(frozen=True, slots=True)
class MeasuredLine:
    """A measured line; x counts from the left end of the music, heights are points.

    `starts` holds the left edges of each bar's chords, `label`, `above`, `lanes` and `neck` the
    heights of the rows that only some lines have.
    """

    line: ChartLine
    starts: tuple[tuple[float, ...], ...]
    marks: tuple[Mark, ...]
    rows: Rows
    label: float = 0.0
    above: float = 0.0
    lanes: float = 0.0
    neck: float = 0.0

    @property
    def height(self) -> float:
        """From the top of what stands above the bars to the bottom of the neck map."""
        return self.label + self.above + self.rows.bottom + self.lanes + self.neck


def measure_lines(context: LayoutContext, lines: tuple[ChartLine, ...]) -> tuple[MeasuredLine, ...]:
    """Measure all lines of a tune: only together do they tell which marks go over a line's end."""
    starts: list[tuple[tuple[float, ...], ...]] = []
    spots: Spots = {}
    for number, line in enumerate(lines):
        row = []
        for piece in line.pieces:
            offsets = chord_positions(context, piece.cells, piece.space, piece.width)
            row.append(tuple(piece.x + x for x in offsets))
            for cell, x in zip(piece.cells, row[-1], strict=True):
                spots[cell.index] = (number, x + cell.roman_dx)
        starts.append(tuple(row))
    ends = [line.pieces[-1].x + line.pieces[-1].width if line.pieces else 0.0 for line in lines]
    marks = find_marks(context, spots, ends)
    rows = rows_of(context)
    return tuple(
        _measured(context, MeasuredLine(line, starts[number], tuple(marks[number]), rows))
        for number, line in enumerate(lines)
    )


def _measured(context: LayoutContext, line: MeasuredLine) -> MeasuredLine:
    """A line with the heights of the rows that it has."""
    sizes = context.sizes
    if not line.line.pieces:
        return replace(line, rows=Rows(0.0, 0.0, 0.0, recall_height(context, line.line)))
    return replace(
        line,
        label=label_height(context, line.line),
        above=1.6 * sizes.small if _busy(context, line.line) else 0.0,
        lanes=sizes.lane * max((mark.lane + 1 for mark in line.marks), default=0),
        neck=sizes.neck + NECK_GAP * sizes.lane if context.style.neck_map == "line" else 0.0,
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
    if not line.line.pieces:
        return draw_recall(context, line.line, left, top)
    x0 = left + context.gutter
    music = top + line.label + line.above
    bottom = music + line.rows.bottom
    items = draw_label(context, line.line, (left, top), music) if line.line.begins else []
    for place, (piece, starts) in enumerate(zip(line.line.pieces, line.starts, strict=True)):
        items += draw_bar(context, piece, place == 0, (x0, music, line.above), line.rows)
        items += beat_strokes(context, piece, [x0 + x for x in starts], music)
        for cell, x in zip(piece.cells, starts, strict=True):
            items += draw_cell(context, cell, x0 + x, music, line.rows)
            items += _over_chord(context, cell.index, x0 + x, music)
    for mark in line.marks:
        items += draw_mark(mark, x0, bottom, context.sizes.lane)
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


def scale_of(context: LayoutContext, height: float) -> NeckScale:
    """The scale of the chart's neck maps that are so high."""
    return neck_scale(context.positions, context.chart.player.window, height)


def neck_stops(context: LayoutContext, line: MeasuredLine, x0: float) -> list[Stop]:
    """Where the hand stands at each chord of a line whose music begins at `x0`.

    The hand comes in where the written chord before the line left it.
    """
    stops = []
    first = line.line.pieces[0]
    index = first.cells[0].index if first.cells else context.first_chords[first.bar]
    before = context.grip_before(index)
    if before is not None:
        stops.append(Stop(x0, before.position, None, marked=False))
    for piece, starts in zip(line.line.pieces, line.starts, strict=True):
        for cell, x in zip(piece.cells, starts, strict=True):
            grip = context.grip(cell.index)
            if grip is not None:
                at = x0 + x + 0.3 * context.sizes.small
                stops.append(Stop(at, grip.position, root_string(grip)))
    return stops


def _neck(context: LayoutContext, line: MeasuredLine, x0: float, top: float) -> list[Item]:
    """The neck map under a line."""
    last = line.line.pieces[-1]
    span = (x0, x0 + last.x + last.width)
    number = max(0.8 * context.sizes.small, context.sizes.least)
    stops = neck_stops(context, line, x0)
    return draw_neck_map(stops, span, top, scale_of(context, context.sizes.neck), number)
