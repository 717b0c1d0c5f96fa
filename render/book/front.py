"""The front matter of a book: its title page and its contents.

Lengths are points.
"""

from __future__ import annotations

from collections.abc import Sequence

from ...converter.hand.player import Player
from ...converter.prose.facts import HAND_CAUTION, counted, player_facts
from ...grammar.frozen import frozen
from ..page.drawing.blocks import heading
from ..page.drawing.fonts import BOLD, REGULAR, fitted
from ..page.drawing.items import Item
from ..page.drawing.signs import with_signs
from ..page.drawing.style import LARGE_PT, SOFT, PageStyle
from ..page.head_foot import Column
from .book import BookOptions
from .pieces import TEXT, Piece, row, text_size, width_of


@frozen
class ContentsRow:
    """A row of the contents: a tune or a part of the book; words behind it; its page.

    `page` counts the pages of the document from 0, `folio` is the number that is printed there.
    """

    title: str
    words: str
    page: int
    folio: int


def title_page(
    count: int, player: Player | None, options: BookOptions, style: PageStyle
) -> tuple[Item, ...]:
    """The name of the book, by whom, how many tunes are in it, for whom, and the caution."""
    left, top, right, bottom = style.frame
    size = 34.0 if style.paper != "a5" else 26.0
    side = max(TEXT + 2, LARGE_PT if style.large else 0.0)
    column = Column(left, right, top + 0.22 * (bottom - top))
    fit = max(fitted(options.title, BOLD, size, column.width), 0.6 * size)
    column.put(options.title, BOLD, fit)
    if options.by:
        column.put(options.by, REGULAR, 1.3 * side, SOFT)
    column.rule(1.6, 0.8 * side, 1.2 * side)
    column.put(counted(count, "tune"), REGULAR, side)
    for fact in () if player is None else player_facts(player):
        column.put(fact, REGULAR, side)
    if options.note:
        column.y += side
        column.put(options.note, REGULAR, side)
    caution = Column(left, right, bottom - 5 * side)
    caution.put(HAND_CAUTION, REGULAR, max(0.8 * side, LARGE_PT if style.large else 0.0), SOFT)
    return (*column.items, *caution.items)


def contents(rows: Sequence[ContentsRow], style: PageStyle) -> list[Piece]:
    """A row for each tune, with its composer and key, and for each part that follows the tunes."""
    size, width = text_size(style), width_of(style)
    pieces = [Piece(heading("Contents", 1.5 * size, width))]
    for each in rows:
        block = row(with_signs(each.title), each.words, str(each.folio), size, width)
        pieces.append(Piece(block, each.page))
    return pieces
