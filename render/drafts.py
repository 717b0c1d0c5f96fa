"""A chart in the format that is asked for, as the bytes of its files.

Takes a `CompingChart` and a `PageStyle`, gives pairs of a name's ending and bytes: one pair, or one
for each page where a format holds only one page a file.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ..converter.chart import CompingChart
from .page.style import PageStyle

#: What can be written, by the ending of the name.
FORMATS: Final = ("pdf", "svg", "png", "txt", "musicxml")


def drafts(
    chart: CompingChart, style: PageStyle, kind: str, tab: bool = False
) -> list[tuple[str, bytes]]:
    """The files of a chart: what to put after the stem of their name, and what they hold."""
    if kind == "txt":
        from .text_chart import text_chart

        return [(".txt", text_chart(chart, style.analysis).encode())]
    if kind == "musicxml":
        from .musicxml import write_musicxml

        return [(".musicxml", write_musicxml(chart, tab=tab))]
    return list(_drawn(chart, style, kind))


def _drawn(chart: CompingChart, style: PageStyle, kind: str) -> Iterator[tuple[str, bytes]]:
    from .page import lay_out, write_pdf

    document = lay_out(chart, style)
    if kind == "pdf":
        yield ".pdf", write_pdf(document)
        return
    from .page.png import write_png
    from .page.svg import write_svg

    for number in range(len(document.pages)):
        ending = f"-{number + 1}" if len(document.pages) > 1 else ""
        if kind == "svg":
            yield f"{ending}.svg", write_svg(document, number).encode()
        else:
            yield f"{ending}.png", write_png(document, number)
