"""A chart in the format that is asked for, as the bytes of its files.

Takes a `CompingChart` and a `PageStyle`, gives pairs of a name's ending and bytes: one pair, or one
for each page where a format holds only one page a file.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from ..converter.chart import CompingChart
from .page.items import Document
from .page.style import PageStyle
from .stamp import stamp

#: What can be written, by the ending of the name.
FORMATS: Final = ("pdf", "svg", "png", "txt", "musicxml")


def drafts(
    chart: CompingChart, style: PageStyle, kind: str, tab: bool = False, of: str | None = None
) -> list[tuple[str, bytes]]:
    """The files of a chart: what to put after the stem of their name, and what they hold.

    `of` is the fingerprint that they are stamped with, None for no stamp.
    """
    if kind == "txt":
        from .text_chart import text_chart

        footnote = "" if of is None else f"{stamp(of)}\n"
        return [(".txt", (text_chart(chart, style.analysis) + footnote).encode())]
    if kind == "musicxml":
        from .musicxml import write_musicxml

        return [(".musicxml", write_musicxml(chart, tab, "" if of is None else stamp(of)))]
    from .page import lay_out

    return drawn(lay_out(chart, style), kind, of)


def drawn(document: Document, kind: str, of: str | None = None) -> list[tuple[str, bytes]]:
    """The files of a document as pdf, svg or png, stamped with the fingerprint `of`, if any."""
    count = 1 if kind == "pdf" else len(document.pages)
    files = []
    for number in range(1, count + 1):
        stamped = replace(document, stamp="" if of is None else stamp(of, number, count))
        ending = f"-{number}.{kind}" if count > 1 else f".{kind}"
        files.append((ending, _written(stamped, kind, number - 1)))
    return files


def _written(document: Document, kind: str, page: int) -> bytes:
    """All pages as pdf, or one of them as svg or png."""
    if kind == "pdf":
        from .page.pdf import write_pdf

        return write_pdf(document)
    if kind == "svg":
        from .page.svg import write_svg

        return write_svg(document, page).encode()
    from .page.png import write_png

    return write_png(document, page)
