"""Lay out a drill: how to practise it, then its keys row by row, on as many pages as it takes.

Takes a `Drill` and a `PageStyle`, gives a `Document`. All rows have one size: the largest that
needs no more pages than a somewhat small one would. A page breaks between rounds or exercises where
it can. Lengths are points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from ....converter.drill.drill import Drill, Exercise
from ....converter.prose.drill import drill_facts, how_to, pattern_of, round_name
from ....converter.prose.facts import HAND_CAUTION, rhythm_sentence
from ....grammar.frozen import frozen
from ..drawing.blocks import (
    Block,
    FlowBlock,
    Frame,
    Frames,
    Gaps,
    break_pages,
    flow,
    flowing,
    heading,
    joined,
    paragraph,
)
from ..drawing.fonts import BOLD, CAP_HEIGHT, REGULAR, measure, spans
from ..drawing.geometry import moved
from ..drawing.items import HEADING_GROUP, Document, Item, OutlineEntry, Text, grouped
from ..drawing.signs import with_signs
from ..drawing.style import LARGE_PT, PageStyle
from ..head_foot import (
    DOT,
    Title,
    draw_head,
    first_foot_height,
    running_frame,
    sizes_of_head,
    with_feet,
)
from ..rhythm import rhythm_block
from .lines import keys_on_a_line, lay_out_exercise
from .rows import MOST_BOXES, Boxes, Row, rows_of

#: Size of the sentences.
BODY: Final = 9.5


def body_size(style: PageStyle) -> float:
    """The size of a drill's sentences."""
    return LARGE_PT if style.large else BODY


def how_blocks(drill: Drill, style: PageStyle) -> list[Block]:
    """How to practise: sentences beside the rhythm, tempos that no key has, the caution."""
    size = body_size(style)
    left, _, right, _ = style.frame
    width = right - left
    blocks = _words_and_rhythm(drill, style, width)
    if _tempos_missing(drill, style):
        blocks.append(_tempos(drill.practice.ladder, size, width))
    caution = paragraph(HAND_CAUTION, size, width)
    return [*blocks, joined([caution, Block((), 0.0, 0.5 * size)])]


def _words_and_rhythm(drill: Drill, style: PageStyle, width: float) -> list[Block]:
    """The sentences as one paragraph with the rhythm at its right, or where that is too wide, each
    by itself with the rhythm below. A rhythm wider than the page is told in words alone."""
    size = body_size(style)
    first = drill.exercises[0]
    pattern = pattern_of(first, drill.practice)
    rhythm = rhythm_block(pattern, first.chart.sheet.header.meter, size)
    notes = [*drill.notes, *([first.why] if len(drill.exercises) == 1 else [])]
    sentences = [with_signs(each) for each in (*notes, *how_to(drill), rhythm_sentence(pattern))]
    if style.large or rhythm.width > 0.4 * width:
        single = [paragraph(each, size, width) for each in sentences]
        shown = [rhythm] if rhythm.width <= width else []
        return [*single, joined([*shown, Block((), 0.0, 0.5 * size)])]
    words = paragraph(" ".join(sentences), size, width - rhythm.width - 2 * size)
    items = [*words.items, *moved(rhythm.items, width - rhythm.width, 0.1 * size)]
    return [Block(tuple(items), width, max(words.height, rhythm.height + 0.4 * size))]


def _tempos_missing(drill: Drill, style: PageStyle) -> bool:
    """Whether there is a ladder whose tempos some keys have no boxes for."""
    ladder = drill.practice.ladder
    shared = any(keys_on_a_line(exercise, style) > 1 for exercise in drill.exercises)
    return bool(ladder) and (shared or len(ladder) > MOST_BOXES)


def _tempos(ladder: Sequence[int], size: float, width: float) -> Block:
    """The tempos of the whole drill, each with a box."""
    name = "Tempo"
    text = spans(name, BOLD, size)
    start = text[-1].width + size
    boxes = Boxes(tuple(map(str, ladder)), size).block(width - start)
    baseline = 0.4 + 0.5 * (1.05 + CAP_HEIGHT) * size
    items = [Text(0.0, baseline, tuple(text)), *moved(boxes.items, start, 0.0)]
    return Block(tuple(items), width, boxes.height + 0.3 * size)


#: The smallest and the largest size that is tried, as parts of the plain size, and how many steps
#: lie between them.
SMALL, LARGE, STEPS = 1.0, 1.3, 10
#: The least and the largest gap between rows, in sizes of a symbol.
LEAST_GAP, LARGEST_GAP = 0.35, 1.6


@frozen
class RowGroup:
    """A row of keys with what stands over it: the head of its exercise, the name of its round.

    `begins`: a page may well begin here; `near`: it stays close to the one before.
    """

    over: Block
    row: Row
    begins: bool
    near: bool = False
    name: str = ""

    @property
    def height(self) -> float:
        """Height of both."""
        return self.over.height + self.row.height

    @property
    def block(self) -> FlowBlock:
        """The block that pages keep whole."""
        return FlowBlock(
            self.height, self.draw, self.begins,
            gap_before=not self.near, may_stand_alone=False, outline=self.name,
        )  # fmt: skip

    def draw(self, left: float, top: float) -> list[Item]:
        """Its items with the top left corner at a place."""
        items = moved(self.over.items, left, top)
        return items + moved(self.row.draw(), left, top + self.over.height)


def sized_row_groups(drill: Drill, style: PageStyle, frames: Frames) -> list[RowGroup]:
    """The rows at the largest size that needs no more pages, and parts no more rounds, than the
    smallest one does."""
    if style.large:
        return _row_groups(drill, style, 1.0, frames.later.room)
    best = _row_groups(drill, style, SMALL, frames.later.room)
    fewest = _cuts(best, frames)
    least, most = 0, STEPS
    while least < most:
        # Halving finds it as long as a larger size never does better.
        step = (least + most + 1) // 2
        factor = SMALL + (LARGE - SMALL) * step / STEPS
        row_groups = _row_groups(drill, style, factor, frames.later.room)
        if _cuts(row_groups, frames) <= fewest:
            best, least = row_groups, step
        else:
            most = step - 1
    return best


def _cuts(row_groups: Sequence[RowGroup], frames: Frames) -> tuple[int, int]:
    """How many pages rows take, and how many of these begin inside a round."""
    rooms = frames.first.room, frames.later.room
    blocks = [row_group.block for row_group in row_groups]
    breaks = break_pages(blocks, rooms, _gaps(row_groups))
    return len(breaks), sum(not row_groups[start].begins for start, _ in breaks)


def _gaps(row_groups: Sequence[RowGroup]) -> Gaps:
    """The gaps between rows of this size."""
    symbol = row_groups[0].row.layout.context.sizes.symbol
    return Gaps(LEAST_GAP * symbol, LARGEST_GAP * symbol)


def _row_groups(drill: Drill, style: PageStyle, factor: float, room: float) -> list[RowGroup]:
    """All rows of a drill at a size, in order, for pages with so much room."""
    row_groups: list[RowGroup] = []
    for number, exercise in enumerate(drill.exercises, 1):
        rows = rows_of(lay_out_exercise(exercise, drill.practice, style, factor), room)
        rounds = max(row.round for row in rows)
        for place, row in enumerate(rows):
            over: list[Block] = []
            if place == 0 and len(drill.exercises) > 1:
                over += _exercise_head(number, exercise, style)
            if row.begins and rounds > 1:
                over.append(_round_name(row, rounds, style))
            free = row.begins if row.layout.column else bool(row.heads)
            near = place > 0 and not (row.lines and rows[place - 1].lines) and not row.heads
            named = with_signs(exercise.name) if place == 0 else ""
            row_groups += _fitting(RowGroup(joined(over), row, free, near, named), room)
    return row_groups


def _fitting(row_group: RowGroup, room: float) -> list[RowGroup]:
    """A row group, or what stands over its row and the row by themselves on too short a page."""
    if row_group.height <= room or not row_group.over.height:
        return [row_group]
    nothing = joined(())
    empty = replace(row_group.row, lines=(), heads=(), notes=nothing)
    return [replace(row_group, row=empty), RowGroup(nothing, row_group.row, False, True)]


def _exercise_head(number: int, exercise: Exercise, style: PageStyle) -> list[Block]:
    left, _, right, _ = style.frame
    size, width = body_size(style), right - left
    named = heading(with_signs(f"{number}. {exercise.name}"), 1.3 * size, width)
    return [named, paragraph(with_signs(exercise.why), size, width)]


def _round_name(row: Row, rounds: int, style: PageStyle) -> Block:
    size = body_size(style) * (1.0 if style.large else 1.1)
    text = Text(0.0, size, spans(round_name(row.round, rounds), BOLD, size))
    read = tuple(grouped(HEADING_GROUP, [text]))
    return Block(read, row.layout.context.width, 1.75 * size)


def lay_out_drill(drill: Drill, style: PageStyle) -> Document:
    """The pages of a drill in a style."""
    chart = drill.exercises[0].chart
    later = running_frame(with_signs(drill.title), style, chart)
    head, top = draw_head(_title(drill, style), style)
    charts = [exercise.chart for exercise in drill.exercises]
    foot = first_foot_height(charts, style, caution=False, drill=True)
    first = Frame(head, later.left, top, style.frame[3] - foot)
    how = [flowing(block) for block in how_blocks(drill, style)]
    opening = flow(how, Frames(first, later))
    *full, started = opening.pages
    frames = Frames(replace(first if not full else later, head=started, top=opening.end), later)
    row_groups = sized_row_groups(drill, style, frames)
    blocks = [row_group.block for row_group in row_groups]
    keys = flow(blocks, frames, _gaps(row_groups), len(full))
    return _document(drill, style, [*full, *keys.pages], keys.outline)


def _title(drill: Drill, style: PageStyle) -> Title:
    """The name with the way round the keys below it, or among the facts where that is too wide."""
    chart = drill.exercises[0].chart
    rows = tuple(DOT.join(row) for row in drill_facts(drill))
    name, way = with_signs(drill.title), ""
    if drill.title == drill.exercises[0].name:
        name, _, way = name.partition(", ")
    left, _, right, _ = style.frame
    side = sizes_of_head(style)[1]
    if sum(measure(text, REGULAR, side) for text in (way, rows[-1])) + 2 * side > right - left:
        return Title(name, "", (way, *rows), chart)
    return Title(name, way, rows, chart)


def _document(
    drill: Drill, style: PageStyle, pages: list[list[Item]], outline: list[OutlineEntry]
) -> Document:
    window = drill.exercises[0].chart.player.window
    feet = with_feet(pages, window, style, numbered=False)
    return Document(feet, with_signs(drill.title), outline=tuple(outline))
