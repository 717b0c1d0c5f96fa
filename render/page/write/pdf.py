"""Write a document as PDF.

Takes a `Document`, gives the bytes of a tagged PDF 1.7 file (ISO 32000-1:2008): the same document
gives the same bytes. Fonts are embedded and cut down to what is used. ReportLab makes the file; it
is imported on first use, for it is slow to import.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from threading import Lock
from typing import TYPE_CHECKING

from ....grammar.foreign_text import harmless
from ...stamps import MARK
from ..drawing.fonts import REGULAR
from ..drawing.items import Document, OutlineEntry, Page
from .pdf_content import Contents
from .pdf_file import write_file
from .pdf_fonts import register_first_font
from .tags import write_tags

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

#: ReportLab has switches and fonts that all threads share, so that one document is written at once.
_REPORTLAB = Lock()


def write_pdf(document: Document) -> bytes:
    """The document as the bytes of a PDF file: title, author, language, outline, embedded fonts."""
    with _REPORTLAB, _binary():
        register_first_font()
        return _written(document)


def _written(document: Document) -> bytes:
    canvas = _new_canvas(document)
    contents = Contents(canvas, document)
    entries: dict[int, list[tuple[str, OutlineEntry]]] = {}
    for index, entry in enumerate(document.outline):
        entries.setdefault(entry.page, []).append((f"o{index}", entry))
    if entries:
        canvas.showOutline()
    for number, page in enumerate(document.pages):
        canvas.setPageSize((page.width, page.height))
        for key, entry in entries.get(number, ()):
            canvas.bookmarkHorizontal(key, 0, page.height - entry.y)
            canvas.addOutlineEntry(harmless(entry.title), key, entry.level, entry.level > 0)
        _add_links(canvas, page, number)
        canvas.addLiteral(contents.draw(page))
        canvas.showPage()
    write_tags(contents.tags, canvas, document)
    if document.front:
        canvas.addPageLabel(0, style="ROMAN_LOWER", start=1)
        canvas.addPageLabel(document.front, style="ARABIC", start=1)
    return write_file(canvas)


def _new_canvas(document: Document) -> Canvas:
    """A canvas without pages that knows the facts about its document."""
    from reportlab.pdfgen.canvas import Canvas

    canvas = Canvas(
        BytesIO(),
        invariant=1,
        pdfVersion=(1, 7),
        pageCompression=1,
        lang=document.language,
        initialFontName=REGULAR,
    )
    canvas.setTitle(harmless(document.title))
    canvas.setAuthor(harmless(document.author))
    canvas.setCreator(MARK)
    if document.stamp:
        canvas.setKeywords(document.stamp)
    return canvas


def _add_links(canvas: Canvas, page: Page, number: int) -> None:
    """The links of a page, and a place that links to this page lead to."""
    canvas.bookmarkPage(f"p{number}")
    for link in page.links:
        left, top, right, bottom = link.box
        box = (left, page.height - bottom, right, page.height - top)
        canvas.linkRect("", f"p{link.page}", box, relative=0, thickness=0)


@contextmanager
def _binary() -> Iterator[None]:
    """Binary streams: ASCII85 takes ReportLab longer than all the rest, and adds bytes."""
    from reportlab import rl_config

    before, rl_config.useA85 = rl_config.useA85, 0
    try:
        yield
    finally:
        rl_config.useA85 = before
