"""The indexes of a book as blocks: keys, areas, grips with their pictures, difficulty.

Lengths are points.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from ...converter.prose.facts import counted
from ...grammar.frozen import frozen
from ..page.context import grid_look
from ..page.drawing.blocks import Block, SymbolLook, captioned_grid, heading, wrapped
from ..page.drawing.fonts import REGULAR, measure
from ..page.drawing.geometry import moved
from ..page.drawing.grid import GridLook
from ..page.drawing.items import Item
from ..page.drawing.signs import with_signs
from ..page.drawing.style import LARGE_PT, PageStyle
from .book import BookTune
from .indexes import (
    GripEntry,
    IndexSection,
    area_index,
    difficulty_index,
    grip_index,
    key_index,
)
from .pieces import Piece, column_gap, entry, section_name, text_size, width_of

#: The most tunes that are named under a grip.
MOST_TUNES: Final = 4
#: The names of the indexes, in order.
INDEXES: Final = ("Keys", "ii–V–I's and other areas", "Grips", "From easy to hard")


@frozen
class Starts:
    """Where tunes begin: the page of the document of each, and how many pages are before page 1."""

    pages: tuple[int, ...]
    front: int

    def folio(self, tune: int) -> str:
        """The number that is printed on the first page of a tune."""
        return str(self.pages[tune] - self.front + 1)


@frozen
class Index:
    """An index: its name, its pieces, and the columns that they are set in."""

    name: str
    pieces: tuple[Piece, ...]
    columns: int


def index_of(name: str, tunes: Sequence[BookTune], starts: Starts, style: PageStyle) -> Index:
    """The index of a name of `INDEXES`."""
    if name == "Grips":
        return Index(name, tuple(_grips(tunes, starts, style)), 1)
    made = {"Keys": key_index, "From easy to hard": difficulty_index}.get(name, area_index)
    columns = 1 if style.large or style.paper == "a5" else 2
    return Index(name, tuple(_sections(name, made(tunes), starts, style, columns)), columns)


def _sections(
    name: str, sections: Sequence[IndexSection], starts: Starts, style: PageStyle, columns: int
) -> Iterator[Piece]:
    """Each heading of an index, and below it a line for each tune, which leads to it."""
    size, gap = text_size(style), column_gap(style)
    width = (width_of(style) + gap) / columns - gap
    yield Piece(heading(name, 1.5 * size, width_of(style)))
    for section in sections:
        yield Piece(section_name(section.name, size, width))
        for found in section.entries:
            text = f"{with_signs(found.title)} {found.bars}".rstrip()
            block = entry(text, starts.folio(found.tune), size, width)
            yield Piece(block, starts.pages[found.tune])


def _grips(tunes: Sequence[BookTune], starts: Starts, style: PageStyle) -> Iterator[Piece]:
    """A picture of each grip, once, with the first tunes that hold it, in rows."""
    size, width = text_size(style), width_of(style)
    entries = grip_index(tunes)
    yield Piece(heading("Grips", 1.5 * size, width))
    if not entries:
        return
    gap, column = 1.6 * size, 9.5 * size
    count = max(1, int((width + gap) // (column + gap)))
    step = (width + gap) / count
    grips = [each.grip for each in entries]
    look = grid_look(style, tunes[0].player, grips, 1.0 if style.large else 1.15)
    blocks = [_grip(each, starts, style, (look, step - gap)) for each in entries]
    for first in range(0, len(blocks), count):
        row = blocks[first : first + count]
        items: list[Item] = []
        for place, block in enumerate(row):
            items += moved(block.items, place * step, 0.0)
        height = max(block.height for block in row) + 0.5 * gap
        yield Piece(Block(tuple(items), width, height))


def _with_page(lines: Sequence[str], page: str, size: float, width: float) -> list[str]:
    """Lines with a page behind the last one, which is not parted from its `p.`."""
    *whole, last = lines
    longer = f"{last} {page}"
    fits = measure(longer, REGULAR, size) <= width
    return [*whole, longer] if fits else [*whole, last, page]


def _grip(
    found: GripEntry, starts: Starts, style: PageStyle, room: tuple[GridLook, float]
) -> Block:
    """A grip under its symbol, over the tunes that hold it.

    `room`: the measures of its grid, and the width of its column.
    """
    look, width = room
    symbol = 20.0 if not style.large else 40.0
    small = SymbolLook(symbol, max(0.8 * text_size(style), LARGE_PT * style.large), style.symbols)
    captions: list[str] = []
    for each in found.entries[:MOST_TUNES]:
        lines = wrapped(f"{with_signs(each.title)},", REGULAR, small.caption, width)
        captions += _with_page(lines, f"p. {starts.folio(each.tune)}", small.caption, width)
    more = len(found.entries) - MOST_TUNES
    if more > 0:
        captions += wrapped(f"and {counted(more, 'more tune')}", REGULAR, small.caption, width)
    return captioned_grid(found.chord, found.grip, captions, look, small)
