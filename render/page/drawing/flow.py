"""Break blocks into pages and place them: one flow for charts, text pages, neck maps and drills.

Takes blocks (a height, a way to draw them, rules for breaks and gaps) and the frames of the first
and the later pages; gives the items of every page. Lengths and heights are points, y grows
downwards. Pages break where the total cost over all ways to break is least (dynamic programming),
so that no good page is bought with a bad one after it. Of breaks that cost the same, blocks whose
gaps stretch take the first; a text with fixed gaps takes the last: it fills page after page.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import Final

from .items import Item, OutlineEntry

#: What a page costs, a break inside a section, a block that is parted from all others of its
#: section, and a page with a single block that should not stand alone. Where gaps stretch, unused
#: height costs its square, as a part of the page's height: it shows as uneven gaps.
PAGE, INSIDE, PARTED, ALONE = 3.0, 0.35, 0.8, 1.0
#: A break behind a block that is to be kept with the next: only where nothing else fits.
KEPT: Final = 1000.0


@dataclass(frozen=True, slots=True)
class FlowBlock:
    """What a page keeps whole: its height, and its items with the top left corner at (x, y).

    `starts_section`: a page may begin with it at no cost. `keep_with_next`: a heading.
    `gap_before`: whether a gap parts it from the block before. `may_stand_alone`: whether it may be
    all that a page holds. `outline`: the title of an outline entry that leads to its top, or "".
    """

    height: float
    draw: Callable[[float, float], Sequence[Item]]
    starts_section: bool = True
    keep_with_next: bool = False
    gap_before: bool = True
    may_stand_alone: bool = True
    outline: str = ""


@dataclass(frozen=True, slots=True)
class Frame:
    """A page to be filled: its head, the left edge and the span of heights free for blocks."""

    head: Sequence[Item]
    left: float
    top: float
    bottom: float

    @property
    def room(self) -> float:
        """Height for blocks."""
        return self.bottom - self.top


@dataclass(frozen=True, slots=True)
class Frames:
    """The frame of a first page, and that of all pages after it, which repeat its head."""

    first: Frame
    later: Frame


@dataclass(frozen=True, slots=True)
class Gaps:
    """The least and the largest gap between blocks; free height is shared among them."""

    least: float = 0.0
    largest: float = 0.0

    @property
    def stretch(self) -> bool:
        """Whether a gap may be larger than the least."""
        return self.largest > self.least


@dataclass(frozen=True, slots=True)
class Flow:
    """Pages of items, outline entries that lead to them, and the height where the last one ends."""

    pages: list[list[Item]]
    outline: list[OutlineEntry]
    end: float


NO_GAPS: Final = Gaps()


def flow(
    blocks: Sequence[FlowBlock], frames: Frames, gaps: Gaps = NO_GAPS, number: int = 0
) -> Flow:
    """Blocks on as many pages as they need, the first of them page `number` of the document.

    Where the head of the first page leaves no room for the first block, that page holds the head
    alone. No blocks give one page with its head.
    """
    pages: list[list[Item]] = []
    outline: list[OutlineEntry] = []
    first, end = frames.first, frames.first.top
    if blocks and first.room < min(blocks[0].height, frames.later.room):
        pages.append(list(first.head))
        first = frames.later
    rooms = first.room, frames.later.room
    for start, stop in break_pages(blocks, rooms, gaps) or ((0, 0),):
        frame = frames.later if start else first
        items = list(frame.head)
        for block, y in _placed(blocks[start:stop], frame, gaps.largest):
            items += block.draw(frame.left, y)
            end = y + block.height
            if block.outline:
                outline.append(OutlineEntry(block.outline, number + len(pages), y))
        pages.append(items)
    return Flow(pages, outline, end)


def _placed(
    blocks: Sequence[FlowBlock], frame: Frame, largest_gap: float
) -> Iterator[tuple[FlowBlock, float]]:
    """The blocks of a page with their tops, the free height shared among the gaps."""
    free = frame.room - sum(block.height for block in blocks)
    gaps = sum(block.gap_before for block in blocks[1:])
    gap = max(0.0, min(largest_gap, free / max(gaps, 1)))
    y = frame.top
    for block, after in zip_longest(blocks, blocks[1:]):
        yield block, y
        y += block.height + (gap if after is not None and after.gap_before else 0.0)


def break_pages(
    blocks: Sequence[FlowBlock], rooms: tuple[float, float], gaps: Gaps
) -> tuple[tuple[int, int], ...]:
    """For each page the indices of its first block and of the one behind its last.

    `rooms` are the heights for blocks on the first page and on later ones. A block that is higher
    than a page has one to itself.
    """
    count = len(blocks)
    first_of_equals = 1 if gaps.stretch else -1
    # Backwards from the end: a recursion would go too deep on a long tune.
    best: list[tuple[float, int]] = [(0.0, count)] * (count + 1)
    for start in range(count - 1, -1, -1):
        room = rooms[0] if start == 0 else rooms[1]
        cost, order = min(
            (cost + best[end][0], end * first_of_equals)
            for cost, end in _pages(blocks, room, gaps, start)
        )
        best[start] = cost, order * first_of_equals
    pages, start = [], 0
    while start < count:
        pages.append((start, best[start][1]))
        start = best[start][1]
    return tuple(pages)


def _pages(
    blocks: Sequence[FlowBlock], room: float, gaps: Gaps, start: int
) -> Iterator[tuple[float, int]]:
    """Every page that may begin with a block: its cost, and the block behind its last."""
    count, gap, used = len(blocks), gaps.least, 0.0
    for end in range(start + 1, count + 1):
        used += blocks[end - 1].height + gap
        if used - gap > room and end > start + 1:
            return
        uneven = gaps.stretch and end < count
        empty = max(0.0, 1 - used / room) ** 2 if uneven else 0.0
        yield PAGE + empty + _break_cost(blocks, start, end), end


def _break_cost(blocks: Sequence[FlowBlock], start: int, end: int) -> float:
    """What it costs that a page holds the blocks from `start` to `end`, itself excluded."""
    count, last = len(blocks), blocks[end - 1]
    alone = end - start == 1 and count > 1 and not last.may_stand_alone
    cost = ALONE if alone else 0.0
    if end == count:
        return cost
    if last.keep_with_next:
        cost += KEPT
    if blocks[end].starts_section:
        return cost
    widow = end + 1 == count or blocks[end + 1].starts_section
    orphan = last.starts_section
    return cost + INSIDE + PARTED * (widow + orphan)
