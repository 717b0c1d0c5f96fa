"""Choose where pages break: after a section where possible, never leaving a line alone.

Takes the heights of the lines and which of them begin a section; gives the lines of each page. The
choice is the least total cost over all ways to break (dynamic programming), so one bad page is not
bought by a good one before it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from .items import Item

#: What a page costs, a break inside a section, a line that is parted from all others of its
#: section, and a page with one line alone; unused height costs its square, as a part of the page.
PAGE, INSIDE, PARTED, ALONE = 3.0, 0.35, 0.8, 1.0


@dataclass(frozen=True, slots=True)
class Room:
    """Height for lines on the first page and on later ones, and the least gap after a line."""

    first: float
    later: float
    gap: float


@dataclass(frozen=True, slots=True)
class Sheetful:
    """A page to be filled with lines: its head, and the span of heights that is free for them."""

    head: list[Item]
    top: float
    bottom: float

    @property
    def room(self) -> float:
        """Height for lines."""
        return self.bottom - self.top


def break_pages(
    heights: Sequence[float], begins: Sequence[bool], room: Room
) -> tuple[tuple[int, int], ...]:
    """For each page the indices of its first line and of the one behind its last."""
    count = len(heights)
    # Backwards from the end: a recursion would go too deep on a long tune.
    best: list[tuple[float, int]] = [(0.0, count)] * (count + 1)
    for start in range(count - 1, -1, -1):
        best[start] = min(
            (cost + best[end][0], end) for cost, end in _pages(heights, begins, room, start)
        )
    pages, start = [], 0
    while start < count:
        pages.append((start, best[start][1]))
        start = best[start][1]
    return tuple(pages)


def _pages(
    heights: Sequence[float], begins: Sequence[bool], room: Room, start: int
) -> Iterator[tuple[float, int]]:
    """Every page that may begin with a line: its cost, and the line behind its last."""
    count = len(heights)
    space = room.first if start == 0 else room.later
    used = 0.0
    for end in range(start + 1, count + 1):
        used += heights[end - 1] + room.gap
        if used - room.gap > space and end > start + 1:
            return
        empty = max(0.0, 1 - used / space) ** 2 if end < count else 0.0
        yield PAGE + empty + _cut(begins, start, end), end


def _cut(begins: Sequence[bool], start: int, end: int) -> float:
    """What it costs that a page holds the lines from `start` to `end`, itself excluded."""
    cost = ALONE if end - start == 1 and len(begins) > 1 else 0.0
    if end == len(begins) or begins[end]:
        return cost
    cost += INSIDE
    widow = end + 1 == len(begins) or begins[end + 1]
    orphan = begins[end - 1]
    return cost + PARTED * (widow + orphan)
