"""Lay out a drill: how to practise it, then its keys line by line, on as many pages as it takes.

Takes a `Drill` and a `PageStyle`, gives a `Document`. All pages have one size: the largest that
needs no more pages than a somewhat small one would. A page breaks between rounds or exercises where
it can. Lengths are points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ...converter.drill.values import Drill
from ..drill_words import drill_facts
from .blocks import Block, heading, joined, moved, paragraph
from .drill_how import body_size, how_blocks
from .drill_lines import lay_exercise
from .drill_rows import Row, rows_of
from .fonts import BOLD, REGULAR, measure, spans
from .foot import draw_foot, foot_height, legend_of
from .header import DOT, Title, draw_head, draw_running_head, sizes_of_head
from .items import Document, Item, OutlineEntry, Page, Text
from .layout import LEAST_GAP, Sheetful
from .pages import Room, break_pages
from .second import with_signs
from .style import PageStyle

#: The smallest and the largest size that is tried, as parts of the plain size, and how many steps
#: lie between them.
SMALL, LARGE, STEPS = 0.84, 1.3, 15
#: The largest gap between rows, in sizes of a symbol.
LARGEST_GAP = 1.6


@dataclass(frozen=True, slots=True)
class Slab:
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

    def draw(self, left: float, top: float) -> list[Item]:
        """Its items with the top left corner at a place."""
        items = moved(self.over.items, left, top)
        return items + moved(self.row.draw(), left, top + self.over.height)


def lay_out_drill(drill: Drill, style: PageStyle) -> Document:
    """The pages of a drill in a style."""
    bottom = style.frame[3] - foot_height(style)
    later = _later(drill, style, bottom)
    opening, first = _opening(drill, style, later)
    slabs = _sized(drill, style, Room(first.room, later.room, 0.0))
    if slabs[0].height > first.room:
        # Large print on small paper: how to practise fills the page.
        opening.append(first.head)
        first = later
    pages, outline = opening, []
    for start, stop in _breaks(slabs, first.room, later.room):
        page = first if start == 0 else later
        items = list(page.head)
        for slab, y in _spaced(slabs[start:stop], page):
            items += slab.draw(style.frame[0], y)
            if slab.name:
                outline.append(OutlineEntry(slab.name, len(pages), y))
        pages.append(items)
    return _document(drill, style, pages, outline)


def _opening(drill: Drill, style: PageStyle, later: Sheetful) -> tuple[list[list[Item]], Sheetful]:
    """The title and how to practise: whole pages of it, and the page on which it ends."""
    head, top = draw_head(_title(drill, style), style)
    page = Sheetful(head, top, later.bottom)
    full: list[list[Item]] = []
    for block in how_blocks(drill, style):
        if block.height > page.room and page.top > later.top:
            full.append(page.head)
            page = Sheetful(list(later.head), later.top, later.bottom)
        items = moved(block.items, style.frame[0], page.top)
        page = Sheetful([*page.head, *items], page.top + block.height, page.bottom)
    return full, page


def _later(drill: Drill, style: PageStyle, bottom: float) -> Sheetful:
    return Sheetful(*draw_running_head(with_signs(drill.title), style), bottom)


def _title(drill: Drill, style: PageStyle) -> Title:
    rows = tuple(DOT.join(row) for row in drill_facts(drill))
    name, _, way = with_signs(drill.title).partition(", ")
    left, _, right, _ = style.frame
    side = sizes_of_head(style)[1]
    if sum(measure(text, REGULAR, side) for text in (way, rows[-1])) + 2 * side > right - left:
        return Title(name, "", (way, *rows))
    return Title(name, way, rows)


def _symbol(slabs: Sequence[Slab]) -> float:
    return slabs[0].row.laid.setting.sizes.symbol


def _sized(drill: Drill, style: PageStyle, room: Room) -> list[Slab]:
    """The rows at the largest size that needs no more pages, and parts no more rounds, than the
    smallest one does."""
    if style.large:
        return _slabs(drill, style, 1.0, room.later)
    smallest = SMALL
    best = _slabs(drill, style, smallest, room.later)
    if _crowded(best):
        # Chords that share a bar get small enough in the plain size.
        smallest = 1.0
        best = _slabs(drill, style, smallest, room.later)
    fewest, crowded = _cuts(best, room), _crowded(best)
    least, most = 0, STEPS
    while least < most:
        # Halving finds it as long as a larger size never does better.
        step = (least + most + 1) // 2
        factor = smallest + (LARGE - smallest) * step / STEPS
        slabs = _slabs(drill, style, factor, room.later)
        if _cuts(slabs, room) <= fewest and _crowded(slabs) <= crowded:
            best, least = slabs, step
        else:
            most = step - 1
    return best


def _crowded(slabs: Sequence[Slab]) -> int:
    """How many rows stand in exercises where a chord is smaller than the others."""
    return sum(slab.row.laid.shrunk for slab in slabs)


def _cuts(slabs: Sequence[Slab], room: Room) -> tuple[int, int]:
    """How many pages rows take, and how many of these begin inside a round."""
    breaks = _breaks(slabs, room.first, room.later)
    return len(breaks), sum(not slabs[start].begins for start, _ in breaks)


def _breaks(slabs: Sequence[Slab], first: float, later: float) -> tuple[tuple[int, int], ...]:
    """For each page its first row and the one behind its last."""
    heights = [slab.height for slab in slabs]
    room = Room(first, later, LEAST_GAP * _symbol(slabs))
    return break_pages(heights, [slab.begins for slab in slabs], room)


def _slabs(drill: Drill, style: PageStyle, factor: float, room: float) -> list[Slab]:
    """All rows of a drill at a size, in order."""
    left, _, right, _ = style.frame
    slabs = []
    for number, exercise in enumerate(drill.exercises, 1):
        rows = rows_of(lay_exercise(exercise, drill.practice, style, factor), room)
        rounds = max(row.round for row in rows)
        for place, row in enumerate(rows):
            over: list[Block] = []
            if place == 0 and len(drill.exercises) > 1:
                over += _exercise_head(
                    f"{number}. {exercise.name}", exercise.why, style, right - left
                )
            if row.begins and rounds > 1:
                over.append(_round_name(row, rounds, style))
            named = with_signs(exercise.name) if place == 0 else ""
            free = row.begins if row.laid.column else bool(row.heads)
            near = place > 0 and not rows[place - 1].lines
            slabs.append(Slab(joined(over), row, free, near, named))
    return slabs


def _exercise_head(name: str, why: str, style: PageStyle, width: float) -> list[Block]:
    size = body_size(style)
    named = heading(with_signs(name), 1.3 * size, width)
    return [named, paragraph(with_signs(why), size, width)]


def _round_name(row: Row, rounds: int, style: PageStyle) -> Block:
    size = body_size(style) * (1.0 if style.large else 1.1)
    text = Text(0.0, size, tuple(spans(f"Round {row.round} of {rounds}", BOLD, size)))
    return Block((text,), row.laid.setting.width, 1.75 * size)


def _spaced(slabs: Sequence[Slab], page: Sheetful) -> list[tuple[Slab, float]]:
    """Rows with their tops, the room that is left shared among the gaps."""
    free = page.room - sum(slab.height for slab in slabs)
    gaps = sum(not slab.near for slab in slabs[1:])
    gap = max(0.0, min(LARGEST_GAP * _symbol(slabs), free / max(gaps, 1)))
    placed, y = [], page.top
    for place, slab in enumerate(slabs):
        y += gap if place and not slab.near else 0.0
        placed.append((slab, y))
        y += slab.height
    return placed


def _document(
    drill: Drill, style: PageStyle, pages: list[list[Item]], outline: list[OutlineEntry]
) -> Document:
    width, height = style.size
    legend = legend_of(drill.exercises[0].chart, style)
    out = tuple(
        Page(width, height, (*items, *draw_foot(legend, style, number + 1, len(pages))))
        for number, items in enumerate(pages)
    )
    return Document(out, with_signs(drill.title), "", "en", tuple(outline))
