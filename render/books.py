"""The Python interface of books: many charts bound as one.

It holds `midneck.book` and `midneck.Book`; the command line makes its books with `bound` too.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Final, Unpack

from ..grammar.frozen import frozen
from .book.book import ORDERS, BookOptions, book_tune, in_order
from .book.layout import lay_out_book
from .book.part import BookPart, book_part
from .charts import Chart, chart, save_files
from .export import Files, export_document
from .options import (
    CHART_NAMES,
    OptionError,
    PageOptions,
    check_options,
    one_of,
    page_style,
    typed,
)
from .page.drawing.items import Document
from .page.drawing.style import PageStyle
from .sources import Tune

#: What `Book.save` writes.
BOOK_FORMATS: Final = ("pdf",)


class BookSaveOptions(PageOptions, total=False):
    """Options of `Book.save`: of a page, and the `rhythm` whose strokes stand over the bars."""

    rhythm: str | None


def bound(parts: Sequence[BookPart], options: BookOptions, style: PageStyle) -> Document:
    """The pages of a book of parts, which were made in this style, in the order of the options."""
    return lay_out_book(in_order(parts, lambda part: part.tune, options.order), options, style)


@frozen
class Book:
    """Charts in their order, with what the book is called."""

    charts: tuple[Chart, ...]
    options: BookOptions

    def document(self, style: PageStyle) -> Document:
        """The pages of the book in a page style."""
        parts = [book_part(each.comping, style, self.options.drills) for each in self.charts]
        return lay_out_book(parts, self.options, style)

    def save(
        self,
        path: str | os.PathLike[str],
        *,
        force: bool = False,
        **options: Unpack[BookSaveOptions],
    ) -> tuple[Path, ...]:
        """Write the book as a PDF; gives the file that was written.

        The options are those of `Chart.save` for a page. Raises MidneckError for another ending,
        for an option that is wrong and when the file cannot be written; TypeError.

        >>> book = midneck.book(["Title: One\\n| Dm7 | G7 |\\n"], title="Two bars")
        >>> [path.name for path in book.save(folder / "book.pdf", paper="a5")]
        ['book.pdf']
        """
        return save_files(path, BOOK_FORMATS, lambda kind: self.files(kind, **options), force)

    def files(self, kind: str, **options: Unpack[BookSaveOptions]) -> Files:
        """The files of a format of `BOOK_FORMATS`: pairs of a name's ending and bytes."""
        one_of("format", kind, BOOK_FORMATS)
        check_options(options, CHART_NAMES - {"dpi"}, kind)
        return export_document(self.document(page_style(options)), kind)

    def __repr__(self) -> str:
        return f"<Book {self.options.title!r}: {len(self.charts)} tunes>"


def book(
    tunes: Sequence[Tune | Chart],
    *,
    title: str = BookOptions().title,
    by: str = "",
    note: str = "",
    order: str = "given",
    drills: bool = False,
    indexes: bool = True,
) -> Book:
    """A book of tunes: of charts, or of anything that `chart` takes.

    `order` is "given", "title", "key" or "difficulty". `drills` adds the drills of the tunes, those
    that several share once. Raises MidneckError for a mistake in a tune, for an order that does not
    exist and for a book without tunes.
    """
    chosen = next(known for known in ORDERS if known == one_of("order", order, ORDERS))
    typed("drills", drills, bool)
    charts = [each if isinstance(each, Chart) else chart(each) for each in tunes]
    if not charts:
        raise OptionError("a book needs at least one tune")
    made = in_order(charts, lambda each: book_tune(each.comping), chosen)
    return Book(tuple(made), BookOptions(title, by, note, chosen, drills, indexes))
