"""The pages of a book: title page, contents, the charts on facing pages, indexes.

Takes the tunes in their order and a page style; gives one `Document` with links, an outline and
page labels. Front matter has small Roman numbers; the first chart begins on page 1, a right-hand
page. A chart of two or more pages begins on a left-hand page, so that two pages never need a turn.
Lengths are points.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from ...converter.prose.facts import HAND_CAUTION, counted, heading_key, player_facts
from ...grammar.frozen import frozen
from ..page.context import layout_context
from ..page.drawing.blocks import (
    Block,
    SymbolLook,
    captioned_grid,
    heading,
    wrapped,
)
from ..page.drawing.fonts import BOLD, REGULAR, fitted, measure, spans
from ..page.drawing.geometry import moved
from ..page.drawing.grid import ROWS, GridLook, rows_needed
from ..page.drawing.items import (
    HEADING_GROUP,
    TEXT_GROUP,
    Document,
    Item,
    Line,
    OutlineEntry,
    Page,
    PageLink,
    Text,
    finished,
    grouped,
)
from ..page.drawing.signs import with_signs
from ..page.drawing.style import LARGE_PT, SOFT, PageStyle
from ..page.head_foot import Column, foot_height, whole_page
from ..page.layout import lay_out
from .book import BookOptions, BookTune
from .indexes import (
    GripEntry,
    IndexSection,
    area_index,
    difficulty_index,
    grip_index,
    key_index,
)

#: Size of text in contents and indexes.
TEXT = 10.0
#: The most tunes that are named under a grip.
MOST_TUNES = 4
#: The name of the index of grips, which is set in one column.
GRIPS = "Grips"


@frozen
class _Piece:
    """A block of contents or of an index, and the page of the document that it leads to, if any."""

    block: Block
    page: int | None = None
    outline: str = ""


@frozen
class _Placed:
    """A chart of the book: its pages, the index of the first, and the entries of its outline."""

    first: int
    document: Document


def lay_out_book(tunes: Sequence[BookTune], options: BookOptions, style: PageStyle) -> Document:
    """The pages of a book of tunes in their order."""
    bound = replace(style, binding="book")
    front = 1 + len(_pages(_contents(tunes, [0] * len(tunes), 0, bound), bound))
    front += front % 2
    charts = list(_charts(tunes, bound, front))
    starts = [chart.first for chart in charts]
    pages = _front_pages(tunes, options, starts, front, bound)
    for chart in charts:
        pages += [_blank(bound)] * (chart.first - len(pages))
        pages += list(chart.document.pages)
    outline = [entry for chart in charts for entry in _entries(chart)]
    if options.indexes:
        for name, pieces in _indexes(tunes, starts, front, bound):
            outline.append(OutlineEntry(name, len(pages), 0.0))
            columns = 1 if name == GRIPS else _columns(bound)
            pages += _numbered(_pages(pieces, bound, columns), bound, len(pages), front)
    return Document(tuple(pages), options.title, options.by, outline=tuple(outline), front=front)


def _charts(tunes: Sequence[BookTune], style: PageStyle, front: int) -> Iterator[_Placed]:
    """Every chart with the index of its first page; one of several pages begins on the left."""
    at = front
    for tune in tunes:
        document = lay_out(tune.chart, replace(style, folio=at - front + 1))
        if len(document.pages) > 1 and at % 2 == 0:
            at += 1
            document = lay_out(tune.chart, replace(style, folio=at - front + 1))
        yield _Placed(at, document)
        at += len(document.pages)


def _entries(chart: _Placed) -> Iterator[OutlineEntry]:
    yield OutlineEntry(chart.document.title, chart.first, 0.0)
    for entry in chart.document.outline:
        yield replace(entry, page=entry.page + chart.first, level=1)


def _blank(style: PageStyle) -> Page:
    width, height = style.size
    return Page(width, height, ())


def _front_pages(
    tunes: Sequence[BookTune],
    options: BookOptions,
    starts: Sequence[int],
    front: int,
    style: PageStyle,
) -> list[Page]:
    """Title page and contents, with a blank page where the charts would begin on the left."""
    pages = [_title_page(tunes, options, style)]
    contents = _pages(_contents(tunes, starts, front, style), style)
    width, height = style.size
    for number, (items, links) in enumerate(contents, 2):
        pages.append(_mirrored(Page(width, height, items, links), number, style))
    pages += [_blank(style)] * (front - len(pages))
    return pages


def _mirrored(page: Page, number: int, style: PageStyle) -> Page:
    """A page on its side of the opening, without a number."""
    dx = style.verso_dx(number)
    links = tuple(_shifted(link, -dx) for link in page.links)
    return replace(page, items=tuple(moved(page.items, -dx, 0.0)), links=links)


def _shifted(link: PageLink, dx: float) -> PageLink:
    left, top, right, bottom = link.box
    return replace(link, box=(left + dx, top, right + dx, bottom))


def _title_page(tunes: Sequence[BookTune], options: BookOptions, style: PageStyle) -> Page:
    """The name of the book, by whom, how much is in it, for whom, and the cautions."""
    left, top, right, bottom = style.frame
    size = 34.0 if style.paper != "a5" else 26.0
    side = max(TEXT + 2, LARGE_PT if style.large else 0.0)
    column = Column(left, right, top + 0.22 * (bottom - top))
    fit = max(fitted(options.title, BOLD, size, column.width), 0.6 * size)
    column.put(options.title, BOLD, fit)
    if options.by:
        column.put(options.by, REGULAR, 1.3 * side, SOFT)
    column.rule(1.6, 0.8 * side, 1.2 * side)
    column.put(counted(len(tunes), "tune"), REGULAR, side)
    for fact in player_facts(tunes[0].chart.player) if tunes else ():
        column.put(fact, REGULAR, side)
    if options.note:
        column.y += side
        column.put(options.note, REGULAR, side)
    caution = Column(left, right, bottom - 5 * side)
    caution.put(HAND_CAUTION, REGULAR, max(0.8 * side, LARGE_PT if style.large else 0.0), SOFT)
    width, height = style.size
    return Page(width, height, (*column.items, *caution.items))


def _size(style: PageStyle) -> float:
    return LARGE_PT if style.large else TEXT


def _width(style: PageStyle) -> float:
    left, _, right, _ = style.frame
    return right - left


def _contents(
    tunes: Sequence[BookTune], starts: Sequence[int], front: int, style: PageStyle
) -> list[_Piece]:
    """A row for each tune: its title, composer and key, and its page."""
    size, width = _size(style), _width(style)
    pieces = [_Piece(heading("Contents", 1.5 * size, width))]
    for tune, start in zip(tunes, starts, strict=True):
        by = tune.chart.sheet.header.by
        key = with_signs(heading_key(tune.chart.analysis))
        words = "  ·  ".join(part for part in (by, key) if part)
        block = _row(with_signs(tune.title), words, str(start - front + 1), size, width)
        pieces.append(_Piece(block, start))
    return pieces


def _row(title: str, words: str, page: str, size: float, width: float) -> Block:
    """A title, small words behind it where there is room, and a page at the right end."""
    number = measure(page, REGULAR, size)
    room = width - number - size
    fit = fitted(title, BOLD, size, room)
    text = [Text(0.0, 1.1 * size, tuple(spans(title, BOLD, fit)))]
    end = measure(title, BOLD, fit) + size
    if words and end + measure(words, REGULAR, size) <= room:
        text.append(Text(end, 1.1 * size, tuple(spans(words, REGULAR, size)), SOFT))
    text.append(Text(width - number, 1.1 * size, tuple(spans(page, REGULAR, size))))
    items: list[Item] = grouped(TEXT_GROUP, text)
    items.append(Line(0.0, 1.55 * size, width, 1.55 * size, 0.3, SOFT))
    return Block(tuple(items), width, 1.8 * size)


def _indexes(
    tunes: Sequence[BookTune], starts: Sequence[int], front: int, style: PageStyle
) -> Iterator[tuple[str, list[_Piece]]]:
    """The indexes, each with its name."""
    yield "Keys", _sections("Keys", key_index(tunes), starts, front, style)
    areas = area_index(tunes)
    yield (
        "ii–V–I's and other areas",
        _sections("ii–V–I's and other areas", areas, starts, front, style),
    )
    yield GRIPS, _grips(tunes, starts, front, style)
    yield (
        "From easy to hard",
        _sections("From easy to hard", difficulty_index(tunes), starts, front, style),
    )


def _columns(style: PageStyle) -> int:
    """The columns of an index of words."""
    return 1 if style.large or style.paper == "a5" else 2


def _gap(style: PageStyle) -> float:
    """Between two columns."""
    return 2.4 * _size(style)


def _sections(
    name: str,
    sections: Sequence[IndexSection],
    starts: Sequence[int],
    front: int,
    style: PageStyle,
) -> list[_Piece]:
    """An index: each heading, and below it a line for each tune, which leads to it."""
    size, columns = _size(style), _columns(style)
    width = (_width(style) + _gap(style)) / columns - _gap(style)
    pieces = [_Piece(heading(name, 1.5 * size, _width(style)))]
    for section in sections:
        pieces.append(_Piece(_section_name(section.name, size, width)))
        for entry in section.entries:
            start = starts[entry.tune]
            text = f"{with_signs(entry.title)} {entry.bars}".rstrip()
            pieces.append(_Piece(_entry(text, str(start - front + 1), size, width), start))
    return pieces


def _section_name(name: str, size: float, width: float) -> Block:
    """The heading of a section of an index, kept with its first entry."""
    fit = fitted(name, BOLD, size, width)
    text = Text(0.0, 1.75 * size, tuple(spans(name, BOLD, fit)))
    return Block(tuple(grouped(HEADING_GROUP, [text])), width, 2.15 * size, keep=True)


def _entry(text: str, page: str, size: float, width: float) -> Block:
    """A line of an index, in as many lines as it takes, with the page at the right end."""
    indent, number = 1.0 * size, measure(page, REGULAR, size)
    lines = wrapped(text, REGULAR, size, width - indent - number - size)
    texts = [
        Text(indent, 1.05 * size + place * 1.35 * size, tuple(spans(line, REGULAR, size)))
        for place, line in enumerate(lines)
    ]
    texts.append(Text(width - number, texts[-1].y, tuple(spans(page, REGULAR, size))))
    return Block(tuple(grouped(TEXT_GROUP, texts)), width, 1.35 * size * len(lines))


def _grips(
    tunes: Sequence[BookTune], starts: Sequence[int], front: int, style: PageStyle
) -> list[_Piece]:
    """A picture of each grip, once, with the first tunes that hold it, in rows."""
    size, width = _size(style), _width(style)
    entries = grip_index(tunes)
    pieces = [_Piece(heading(GRIPS, 1.5 * size, width))]
    if not entries:
        return pieces
    gap, column = 1.6 * size, 9.5 * size
    count = max(1, int((width + gap) // (column + gap)))
    step = (width + gap) / count
    rows = max([ROWS, *(rows_needed(entry.grip) for entry in entries)])
    look = layout_context(tunes[0].chart, style, 1.0 if style.large else 1.15).look.with_rows(rows)
    blocks = [_grip(entry, starts, front, style, (look, step - gap)) for entry in entries]
    for first in range(0, len(blocks), count):
        row = blocks[first : first + count]
        items: list[Item] = []
        for place, block in enumerate(row):
            items += moved(block.items, place * step, 0.0)
        height = max(block.height for block in row) + 0.5 * gap
        pieces.append(_Piece(Block(tuple(items), width, height)))
    return pieces


def _grip(
    entry: GripEntry,
    starts: Sequence[int],
    front: int,
    style: PageStyle,
    room: tuple[GridLook, float],
) -> Block:
    """A grip under its symbol, over the tunes that hold it.

    `room`: the measures of its grid, and the width of its column.
    """
    look, width = room
    symbol = 20.0 if not style.large else 40.0
    small = SymbolLook(symbol, max(0.8 * _size(style), LARGE_PT * style.large), style.symbols)
    named = [
        f"{with_signs(found.title)}, p. {starts[found.tune] - front + 1}"
        for found in entry.entries[:MOST_TUNES]
    ]
    more = len(entry.entries) - len(named)
    said = [*named, f"and {counted(more, 'more tune')}"] if more else named
    captions = [line for text in said for line in wrapped(text, REGULAR, small.caption, width)]
    return captioned_grid(entry.chord, entry.grip, captions, look, small)


PageParts = tuple[tuple[Item, ...], tuple[PageLink, ...]]


def _pages(pieces: Sequence[_Piece], style: PageStyle, columns: int = 1) -> list[PageParts]:
    """Pieces one under the other in columns, on as many pages as they need.

    The first piece is a heading across the page. A block that is to be kept stays with the next.
    """
    left, top, right, bottom = style.frame
    bottom -= foot_height(style)
    step = (right - left + _gap(style)) / columns
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


def _needed(pieces: Sequence[_Piece], place: int) -> float:
    """The height of a piece with those that it is kept with."""
    needed = pieces[place].block.height
    while pieces[place].block.keep and place + 1 < len(pieces):
        place += 1
        needed += pieces[place].block.height
    return needed


def _numbered(pages: Sequence[PageParts], style: PageStyle, first: int, front: int) -> list[Page]:
    """Pages of an index with their numbers, on their sides of the opening."""
    width, height = style.size
    bound = replace(style, folio=1)
    numbered = []
    for number, (items, links) in enumerate(pages, first - front + 1):
        whole = whole_page(list(items), bound, (number, 0))
        dx = bound.verso_dx(number)
        shifted = tuple(_shifted(link, -dx) for link in links)
        numbered.append(Page(width, height, whole, shifted))
    return numbered
