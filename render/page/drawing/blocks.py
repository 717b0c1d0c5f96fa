"""Blocks of text and pictures, and their flow onto pages: for charts, text, neck maps and drills.

A `Block` is a group of items whose top left corner is (0, 0): a heading, a paragraph, a box to
tick, a grid with a caption, a table. `flowing` makes it a `FlowBlock`: a height, a way to draw it,
rules for breaks and gaps. `flow` takes these and the frames of the first and the later pages, and
gives the items of every page. Lengths and heights are points, y grows downwards.

Pages break where the total cost over all ways to break is least (dynamic programming), so that no
good page is bought with a bad one after it. Of breaks that cost the same, blocks whose gaps stretch
take the first; a text with fixed gaps takes the last: it fills page after page.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from itertools import zip_longest
from typing import Final

from ....converter.hand.grip import Grip, grip_alternative
from ....converter.prose.spoken import spoken_chord
from ....grammar.chord import Chord
from ....grammar.frozen import frozen
from .fonts import BOLD, CAP_HEIGHT, REGULAR, measure, spans
from .geometry import moved
from .grid import GridLook, draw_grid
from .items import HEADING_GROUP, TEXT_GROUP, Group, Item, Line, OutlineEntry, Rect, Text, grouped
from .signs import set_symbol
from .style import Symbols

#: What a page costs, a break inside a section, a block that is parted from all others of its
#: section, and a page with a single block that should not stand alone. Where gaps stretch, unused
#: height costs its square, as a part of the page's height: it shows as uneven gaps.
PAGE, INSIDE, PARTED, ALONE = 3.0, 0.35, 0.8, 1.0
#: A break behind a block that is to be kept with the next: only where nothing else fits.
KEPT: Final = 1000.0


@frozen
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


@frozen
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


@frozen
class Frames:
    """The frame of a first page, and that of all pages after it, which repeat its head."""

    first: Frame
    later: Frame


@frozen
class Gaps:
    """The least and the largest gap between blocks; free height is shared among them.

    `last` is the largest on the last page, None for `largest`.
    """

    least: float = 0.0
    largest: float = 0.0
    last: float | None = None

    @property
    def stretch(self) -> bool:
        """Whether a gap may be larger than the least."""
        return self.largest > self.least


@frozen
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
        largest = gaps.largest if gaps.last is None or stop < len(blocks) else gaps.last
        for block, y in _placed(blocks[start:stop], frame, largest):
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
    # One page costs less than two, whatever stands on them.
    if blocks and sum(block.height + gaps.least for block in blocks) - gaps.least <= rooms[0]:
        return ((0, count),)
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


#: Distance of baselines, in ems.
LEADING = 1.4
#: The smallest part of its size that a long text may shrink to before it takes more lines.
SHRINK = 0.7


@frozen
class Block:
    """Items round their own origin; `keep`: the next block stays on the same page."""

    items: tuple[Item, ...]
    width: float
    height: float
    keep: bool = False


@lru_cache(maxsize=1024)
def wrapped(text: str, name: str, size: float, width: float) -> tuple[str, ...]:
    """A text in lines no wider than `width`; a longer word gets a line of its own."""
    lines: list[str] = []
    for word in text.split():
        if lines and measure(f"{lines[-1]} {word}", name, size) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return tuple(lines)


def heading(text: str, size: float, width: float) -> Block:
    """A heading with room above it and a thin line below, kept with what follows."""
    lines = wrapped(text, BOLD, size, width)
    baselines = [1.4 * size + place * LEADING * size for place in range(len(lines))]
    below = baselines[-1] + 0.45 * size
    items: list[Item] = [
        Text(0.0, baseline, spans(line, BOLD, size))
        for baseline, line in zip(baselines, lines, strict=True)
    ]
    rule = Line(0.0, below, width, below, 0.6)
    read = grouped(HEADING_GROUP, items)
    return Block((*read, rule), width, baselines[-1] + 1.0 * size, keep=True)


def paragraph(text: str, size: float, width: float, indent: float = 0.0) -> Block:
    """A text set ragged in a column, `indent` from its left edge."""
    lines = wrapped(text, REGULAR, size, width - indent)
    items = tuple(
        Text(
            indent,
            size * (CAP_HEIGHT + 0.15) + place * LEADING * size,
            spans(line, REGULAR, size),
        )
        for place, line in enumerate(lines)
    )
    height = LEADING * size * len(lines) + 0.35 * size
    return Block(tuple(grouped(TEXT_GROUP, items)), width, height)


def tick(text: str, size: float, width: float) -> Block:
    """A paragraph behind an empty box to tick."""
    words = paragraph(text, size, width, 1.7 * size)
    box = Rect(0.4, 0.12 * size, 0.85 * size, 0.85 * size, None, 0.0, 0.7)
    return Block((box, *words.items), width, words.height)


def captioned_grid(
    chord: Chord, grip: Grip, captions: Sequence[str], look: GridLook, size: SymbolLook
) -> Block:
    """A symbol over its grid, with lines of small text below."""
    symbol = set_symbol(chord, size.symbol, size.symbols, size.raised)
    baseline = size.symbol * (CAP_HEIGHT + 0.14)
    top = baseline + 0.26 * size.symbol
    drawn = [symbol.at(0.0, baseline), *draw_grid(grip, chord, (0.0, top), look)]
    said = f"{spoken_chord(chord)}, {grip_alternative(grip)}"
    items = grouped(Group("chord", alternative=said), drawn)
    y = top + look.height
    lines: list[Item] = []
    for caption in captions:
        y += 1.3 * size.caption
        lines.append(Text(0.0, y, spans(caption, REGULAR, size.caption)))
    items += grouped(TEXT_GROUP, lines)
    widths = [measure(caption, REGULAR, size.caption) for caption in captions]
    return Block(tuple(items), max([symbol.width, look.width, *widths]), y + 0.9 * size.caption)


@frozen
class SymbolLook:
    """Sizes round a captioned grid: the `symbol`, its `raised` part, captions; `symbols`."""

    symbol: float
    caption: float
    symbols: Symbols = "signs"
    raised: float = 0.72


def table(blocks: Sequence[Block], width: float, gap: float) -> list[Block]:
    """Blocks side by side in columns of one width, a block for each row."""
    if not blocks:
        return []
    widest = max(block.width for block in blocks)
    count = max(1, int((width + gap) // (widest + gap)))
    column = (width + gap) / count
    rows = []
    for start in range(0, len(blocks), count):
        row = blocks[start : start + count]
        items: list[Item] = []
        for place, block in enumerate(row):
            items += moved(block.items, place * column, 0.0)
        rows.append(Block(tuple(items), width, max(block.height for block in row) + 0.4 * gap))
    return rows


def joined(blocks: Sequence[Block]) -> Block:
    """Blocks one under the other as one."""
    items: list[Item] = []
    y = 0.0
    for block in blocks:
        items += moved(block.items, 0.0, y)
        y += block.height
    return Block(tuple(items), max((block.width for block in blocks), default=0.0), y)


def flowing(block: Block) -> FlowBlock:
    """A block as one that a flow of text places."""

    def draw(left: float, top: float) -> list[Item]:
        return moved(block.items, left, top)

    return FlowBlock(block.height, draw, keep_with_next=block.keep)
