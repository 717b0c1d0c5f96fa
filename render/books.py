"""The Python interface of books: many charts bound as one.

It holds `midneck.book` and `midneck.Book`; the command line makes its books with them too.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Unpack

from ..grammar.frozen import frozen
from .book.book import ORDERS, BookOptions, BookTune, book_tune, in_order
from .book.layout import lay_out_book
from .charts import Chart, chart, save_files
from .export import Files, export_document
from .options import PAGE_NAMES_OF, OptionError, PageOptions, check_options, one_of, page_style
from .page.drawing.items import Document
from .page.drawing.style import PageStyle
from .sources import Tune

#: What `Book.save` writes.
BOOK_FORMATS = ("pdf",)


@frozen
class Book:
    """Charts in their order, with what the book is called."""

    tunes: tuple[BookTune, ...]
    options: BookOptions

    def document(self, style: PageStyle) -> Document:
        """The pages of the book in a page style."""
        return lay_out_book(self.tunes, self.options, style)

    def save(
        self, path: str | os.PathLike[str], *, force: bool = False, **options: Unpack[PageOptions]
    ) -> tuple[Path, ...]:
        """Write the book as a PDF; gives the file that was written.

        The options are those of `Chart.save` for a page. Raises MidneckError for another ending,
        for an option that is wrong and when the file cannot be written; TypeError.

        >>> book = midneck.book(["Title: One\\n| Dm7 | G7 |\\n"], title="Two bars")
        >>> [path.name for path in book.save(folder / "book.pdf", paper="a5")]
        ['book.pdf']
        """
        return save_files(path, BOOK_FORMATS, lambda kind: self.files(kind, **options), force)

    def files(self, kind: str, **options: Unpack[PageOptions]) -> Files:
        """The files of a format of `BOOK_FORMATS`: pairs of a name's ending and bytes."""
        check_options(options, PAGE_NAMES_OF[one_of("format", kind, BOOK_FORMATS)], kind)
        return export_document(self.document(page_style(options)), kind)

    def __repr__(self) -> str:
        return f"<Book {self.options.title!r}: {len(self.tunes)} tunes>"


def book(
    tunes: Sequence[Tune | Chart],
    *,
    title: str = BookOptions().title,
    by: str = "",
    note: str = "",
    order: str = "given",
    indexes: bool = True,
) -> Book:
    """A book of tunes: of charts, or of anything that `chart` takes.

    `order` is "given", "title", "key" or "difficulty". Raises MidneckError for a mistake in a tune,
    for an order that does not exist and for a book without tunes.
    """
    chosen = next(known for known in ORDERS if known == one_of("order", order, ORDERS))
    charts = [each if isinstance(each, Chart) else chart(each) for each in tunes]
    if not charts:
        raise OptionError("a book needs at least one tune")
    made = in_order([book_tune(each.comping) for each in charts], chosen)
    return Book(tuple(made), BookOptions(title, by, note, chosen, indexes))
