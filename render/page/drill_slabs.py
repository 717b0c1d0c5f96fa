"""Rows of a drill with their headings, at the size that suits, and the pages that they fall on.

Takes a `Drill`, a `PageStyle` and the room on its pages, gives slabs, which pages keep whole.
Lengths are points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ...converter.drill.values import Drill, Exercise
from .blocks import Block, heading, joined, moved, paragraph
from .drill_how import body_size
from .drill_lines import lay_exercise
from .drill_rows import Row, rows_of
from .fonts import BOLD, spans
from .items import Item, Text
from .names import with_signs
from .pages import Room, Sheetful, break_pages
from .style import PageStyle

#: The smallest and the largest size that is tried, as parts of the plain size, and how many steps
#: lie between them.
SMALL, LARGE, STEPS = 0.84, 1.3, 15
#: The least and the largest gap between rows, in sizes of a symbol.
LEAST_GAP, LARGEST_GAP = 0.35, 1.6


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


def _symbol(slabs: Sequence[Slab]) -> float:
    return slabs[0].row.laid.setting.sizes.symbol


def sized_slabs(drill: Drill, style: PageStyle, room: Room) -> list[Slab]:
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
    breaks = page_breaks(slabs, room.first, room.later)
    return len(breaks), sum(not slabs[start].begins for start, _ in breaks)


def page_breaks(slabs: Sequence[Slab], first: float, later: float) -> tuple[tuple[int, int], ...]:
    """For each page its first row and the one behind its last."""
    heights = [slab.height for slab in slabs]
    room = Room(first, later, LEAST_GAP * _symbol(slabs))
    return break_pages(heights, [slab.begins for slab in slabs], room)


def _slabs(drill: Drill, style: PageStyle, factor: float, room: float) -> list[Slab]:
    """All rows of a drill at a size, in order, for pages with so much room."""
    slabs: list[Slab] = []
    for number, exercise in enumerate(drill.exercises, 1):
        rows = rows_of(lay_exercise(exercise, drill.practice, style, factor), room)
        rounds = max(row.round for row in rows)
        for place, row in enumerate(rows):
            over: list[Block] = []
            if place == 0 and len(drill.exercises) > 1:
                over += _exercise_head(number, exercise, style)
            if row.begins and rounds > 1:
                over.append(_round_name(row, rounds, style))
            free = row.begins if row.laid.column else bool(row.heads)
            near = place > 0 and not (row.lines and rows[place - 1].lines) and not row.heads
            named = with_signs(exercise.name) if place == 0 else ""
            slabs += _fitting(Slab(joined(over), row, free, near, named), room)
    return slabs


def _fitting(slab: Slab, room: float) -> list[Slab]:
    """A slab, or what stands over its row and the row by themselves where a page is too short."""
    if slab.height <= room or not slab.over.height:
        return [slab]
    nothing = joined(())
    empty = replace(slab.row, lines=(), heads=(), notes=nothing)
    return [replace(slab, row=empty), Slab(nothing, slab.row, False, True)]


def _exercise_head(number: int, exercise: Exercise, style: PageStyle) -> list[Block]:
    left, _, right, _ = style.frame
    size, width = body_size(style), right - left
    named = heading(with_signs(f"{number}. {exercise.name}"), 1.3 * size, width)
    return [named, paragraph(with_signs(exercise.why), size, width)]


def _round_name(row: Row, rounds: int, style: PageStyle) -> Block:
    size = body_size(style) * (1.0 if style.large else 1.1)
    text = Text(0.0, size, tuple(spans(f"Round {row.round} of {rounds}", BOLD, size)))
    return Block((text,), row.laid.setting.width, 1.75 * size)


def spaced(slabs: Sequence[Slab], page: Sheetful) -> list[tuple[Slab, float]]:
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
