"""A tune's part of a book: what is known of it, and its pages before they have numbers.

`book_part` needs nothing of the other tunes, so that parts are made in any process. Pages travel
and wait as bytes: those of a whole book take a tenth of the memory that their items take.
"""

from __future__ import annotations

import pickle
from collections.abc import Sequence
from dataclasses import replace
from typing import overload

from ...converter.chart import CompingChart
from ...converter.drill.collection import TuneProgressions, tune_progressions
from ...converter.drill.tune import drill_in_place
from ...grammar.frozen import frozen
from ..page.drawing.items import Document, Item, OutlineEntry, Page, PageLink
from ..page.drawing.style import UNBOUND, PageStyle
from ..page.drill.layout import lay_out_drill
from ..page.head_foot import whole_page
from ..page.layout import lay_out
from ..page.write.pdf_fonts import letters_beyond_latin
from .book import BookTune, book_tune


@frozen
class PackedPages:
    """Pages without numbers, the items of each as bytes, with their title and outline.

    `letters` are the characters beyond Latin by typeface.
    """

    title: str
    pages: tuple[bytes, ...]
    outline: tuple[OutlineEntry, ...]
    letters: tuple[tuple[str, str], ...]


@frozen
class BookPart:
    """A tune of a book: its chart; its own drill and what it takes round the keys, if asked for."""

    tune: BookTune
    chart: PackedPages
    drill: PackedPages | None = None
    rounds: TuneProgressions | None = None


def unbound(style: PageStyle) -> PageStyle:
    """A style for pages of a book that are numbered later."""
    return replace(style, binding="book", folio=UNBOUND)


def book_part(chart: CompingChart, style: PageStyle, drills: bool) -> BookPart:
    """The part of a chart. Raises RhythmError, PlanError, ScriptError."""
    plain = unbound(style)
    pages = packed(lay_out(chart, plain))
    if not drills:
        return BookPart(book_tune(chart), pages)
    own, rounds = drill_in_place(chart), tune_progressions(chart)
    drill = None if own is None else packed(lay_out_drill(own, replace(plain, rhythm=None)))
    return BookPart(book_tune(chart), pages, drill, rounds)


def packed(document: Document) -> PackedPages:
    """The pages of a document as bytes."""
    pages = tuple(pickle.dumps(page.parts, pickle.HIGHEST_PROTOCOL) for page in document.pages)
    letters = letters_beyond_latin(document.pages)
    return PackedPages(document.title, pages, document.outline, letters)


def letters_of(items: Sequence[Item]) -> tuple[tuple[str, str], ...]:
    """The characters beyond Latin in items, by typeface."""
    return letters_beyond_latin([Page(0.0, 0.0, tuple(items))])


@frozen
class Leaf:
    """A page of a book before it is drawn: its items, or these as bytes, and its links.

    `number` puts it on its side of the opening; `shown` prints the number.
    """

    content: bytes | tuple[Item, ...]
    number: int
    links: tuple[PageLink, ...] = ()
    shown: bool = True

    @property
    def items(self) -> tuple[Item, ...]:
        """Its items, without a number."""
        if isinstance(self.content, bytes):
            items: tuple[Item, ...] = pickle.loads(self.content)
            return items
        return self.content


class BookPages(Sequence[Page]):
    """The pages of a book; each is put together when it is read."""

    def __init__(self, leaves: Sequence[Leaf], style: PageStyle) -> None:
        self._leaves = leaves
        self._style = replace(style, binding="book", folio=1)

    def __len__(self) -> int:
        return len(self._leaves)

    @overload
    def __getitem__(self, place: int) -> Page: ...

    @overload
    def __getitem__(self, place: slice) -> Sequence[Page]: ...

    def __getitem__(self, place: int | slice) -> Page | Sequence[Page]:
        """A page, or those of a slice."""
        if isinstance(place, slice):
            return [self._page(leaf) for leaf in self._leaves[place]]
        return self._page(self._leaves[place])

    def _page(self, leaf: Leaf) -> Page:
        width, height = self._style.size
        items = leaf.items
        if items:
            items = whole_page(items, self._style, (leaf.number, 0), leaf.shown)
        dx = -self._style.verso_dx(leaf.number)
        return Page(width, height, tuple(items), tuple(_shifted(link, dx) for link in leaf.links))


def _shifted(link: PageLink, dx: float) -> PageLink:
    left, top, right, bottom = link.box
    return replace(link, box=(left + dx, top, right + dx, bottom))
