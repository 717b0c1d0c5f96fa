"""Blocks of a book's own pages, one under the other: contents and indexes, with links.

Lengths are points.
"""

from __future__ import annotations

from collections.abc import Sequence

from ...grammar.frozen import frozen
from ..page.drawing.blocks import Block, wrapped
from ..page.drawing.fonts import BOLD, REGULAR, fitted, measure, spans
from ..page.drawing.geometry import moved
from ..page.drawing.items import (
    HEADING_GROUP,
    TEXT_GROUP,
    Item,
    Line,
    PageLink,
    Text,
    finished,
    grouped,
)
from ..page.drawing.style import LARGE_PT, SOFT, PageStyle
from ..page.head_foot import foot_height

#: Size of text in contents and indexes.
TEXT = 10.0


@frozen
class Piece:
    """A block, and the page of the document that it leads to, if any."""

    block: Block
    page: int | None = None


def text_size(style: PageStyle) -> float:
    """Size of text in contents and indexes."""
    return LARGE_PT if style.large else TEXT


def width_of(style: PageStyle) -> float:
    """Width of what may be printed on."""
    left, _, right, _ = style.frame
    return right - left


def column_gap(style: PageStyle) -> float:
    """Width between two columns."""
    return 2.4 * text_size(style)


def row(title: str, words: str, page: str, size: float, width: float) -> Block:
    """A title in as many lines as it takes, small words behind it where there is room, and a page
    at the right end."""
    number = measure(page, REGULAR, size)
    room = width - number - size
    lines = wrapped(title, BOLD, size, room) or ("",)
    # A word that is wider than the room alone makes its title smaller.
    fit = min(fitted(line, BOLD, size, room) for line in lines)
    text = [
        Text(0.0, 1.1 * size + place * 1.35 * size, spans(line, BOLD, fit))
        for place, line in enumerate(lines)
    ]
    last, end = text[-1].y, measure(lines[-1], BOLD, fit) + size
    if words and end + measure(words, REGULAR, size) <= room:
        text.append(Text(end, last, spans(words, REGULAR, size), SOFT))
    text.append(Text(width - number, last, spans(page, REGULAR, size)))
    items: list[Item] = grouped(TEXT_GROUP, text)
    items.append(Line(0.0, last + 0.45 * size, width, last + 0.45 * size, 0.3, SOFT))
    return Block(tuple(items), width, last + 0.7 * size)


def section_name(name: str, size: float, width: float) -> Block:
    """The heading of a section of an index, kept with its first entry."""
    fit = fitted(name, BOLD, size, width)
    text = Text(0.0, 1.75 * size, spans(name, BOLD, fit))
    return Block(tuple(grouped(HEADING_GROUP, [text])), width, 2.15 * size, keep=True)


def entry(text: str, page: str, size: float, width: float) -> Block:
    """A line of an index, in as many lines as it takes, with the page at the right end."""
    indent, number = 1.0 * size, measure(page, REGULAR, size)
    lines = wrapped(text, REGULAR, size, width - indent - number - size)
    texts = [
        Text(indent, 1.05 * size + place * 1.35 * size, spans(line, REGULAR, size))
        for place, line in enumerate(lines)
    ]
    texts.append(Text(width - number, texts[-1].y, spans(page, REGULAR, size)))
    return Block(tuple(grouped(TEXT_GROUP, texts)), width, 1.35 * size * len(lines))


PageParts = tuple[tuple[Item, ...], tuple[PageLink, ...]]


def pages_of(pieces: Sequence[Piece], style: PageStyle, columns: int = 1) -> list[PageParts]:
    """Pieces one under the other in columns, on as many pages as they need.

    The first piece is a heading across the page. A block that is to be kept stays with the next.
    """
    left, top, right, bottom = style.frame
    bottom -= foot_height(style)
    step = (right - left + column_gap(style)) / columns
    pages: list[tuple[list[Item], list[PageLink]]] = [([], [])]
    y, column, start = top, 0, top
    for place, piece in enumerate(pieces):
        if y + _needed(pieces, place) > bottom and y > start:
            column, y = column + 1, start
            if column == columns:
                pages.append(([], []))
                column, y, start = 0, top, top
        items, links = pages[-1]
        x = left + column * step
        items += moved(piece.block.items, x, y)
        if piece.page is not None:
            box = (x, y, x + piece.block.width, y + piece.block.height)
            links.append(PageLink(box, piece.page))
        y += piece.block.height
        if place == 0:
            start = y
    return [(tuple(finished(items)), tuple(links)) for items, links in pages]


def _needed(pieces: Sequence[Piece], place: int) -> float:
    """The height of a piece with those that it is kept with."""
    needed = pieces[place].block.height
    while pieces[place].block.keep and place + 1 < len(pieces):
        place += 1
        needed += pieces[place].block.height
    return needed
