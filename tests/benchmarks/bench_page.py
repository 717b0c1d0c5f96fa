"""How long a page takes, beside the same page drawn by plain calls of ReportLab's canvas.

One dense page: 64 chords with grids, numerals, arrows, neck maps. The plain calls draw the same
lines, circles, rectangles, outlines and texts, one call each, with the canvas as it comes.
"""

from __future__ import annotations

from collections import Counter
from io import BytesIO
from typing import Any

from benchmarks.rows import Extent, Row, at_most, in_turns
from midneck.render.page import Document, PageStyle, lay_out, write_pdf
from midneck.render.page.drawing.fonts import TYPEFACES, typeface
from midneck.render.page.drawing.items import Circle, Close, Line, Open, Path, Rect, Text
from reportlab.pdfbase.pdfmetrics import registerFont
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from support.fixed import fixed_chart

BARS = ["Gm7 C7", "F6 D7b9", "Cm7 F7", "Bb6 Gm7b5"]
DENSE = "Title: Dense\nKey: F\n\nA:\n" + "\n".join(
    "| " + " | ".join(BARS) + (" ||" if row == 7 else " |") for row in range(8)
)


def rows(extent: Extent) -> list[Row]:
    """Our writer alone, and layout and writer together, against the plain calls."""
    _register_fonts()
    chart, style = fixed_chart(DENSE), PageStyle()
    document = lay_out(chart, style)
    write_pdf(document)
    plain, written, both = in_turns(
        extent.rounds,
        lambda: plain_calls(document),
        lambda: write_pdf(document),
        lambda: write_pdf(lay_out(chart, style)),
    )
    against = f"the same {primitives(document).total():,} primitives by ReportLab calls"
    return [
        Row("page of 64 grids to PDF", written, "ms", against, plain, at_most(0.35)),
        Row("the same, layout included", both, "ms", against, plain),
    ]


def _register_fonts() -> None:
    for name in TYPEFACES:
        registerFont(TTFont(f"plain-{name}", BytesIO(typeface(name).data)))


def primitives(document: Document) -> Counter[str]:
    """What is drawn, a stroke of an outline and a span of a text counted one by one."""
    count: Counter[str] = Counter()
    for item in document.pages[0].items:
        if isinstance(item, Open | Close):
            continue
        if isinstance(item, Path):
            count["strokes"] += sum(step[0] in "LC" for step in item.steps)
        elif isinstance(item, Text):
            count["texts"] += len(item.spans)
        else:
            count[type(item).__name__] += 1
    return count


def plain_calls(document: Document) -> bytes:
    """The page by plain calls of the canvas."""
    target, page = BytesIO(), document.pages[0]
    canvas = Canvas(target, (page.width, page.height), invariant=1, pageCompression=1)
    for item in page.items:
        if not isinstance(item, Open | Close):
            _plain(canvas, item, page.height)
    canvas.showPage()
    canvas.save()
    return target.getvalue()


def _plain(canvas: Any, item: Any, height: float) -> None:
    if isinstance(item, Text):
        canvas.setFillGray(item.grey)
        for span in item.spans:
            canvas.setFont(f"plain-{span.face}", span.size)
            canvas.drawString(item.x + span.dx, height - item.y + span.rise, span.text)
        return
    canvas.setLineWidth(item.width)
    if isinstance(item, Line):
        canvas.setStrokeGray(item.grey)
        canvas.line(item.x1, height - item.y1, item.x2, height - item.y2)
        return
    canvas.setFillGray(item.fill or 0.0)
    canvas.setStrokeGray(item.stroke or 0.0)
    paint = {"fill": int(item.fill is not None), "stroke": int(item.stroke is not None)}
    if isinstance(item, Circle):
        canvas.circle(item.x, height - item.y, item.radius, **paint)
    elif isinstance(item, Rect):
        canvas.rect(item.x, height - item.y - item.h, item.w, item.h, **paint)
    else:
        _plain_path(canvas, item, height, paint)


def _plain_path(canvas: Any, item: Path, height: float, paint: dict[str, int]) -> None:
    path = canvas.beginPath()
    for step in item.placed:
        values = [
            float(value) if place % 2 == 0 else height - float(value)
            for place, value in enumerate(step[1:])
        ]
        draw = {"M": path.moveTo, "L": path.lineTo, "C": path.curveTo, "Z": path.close}
        draw[str(step[0])](*values)
    canvas.setDash(*([list(item.dash)] if item.dash else []))
    canvas.drawPath(path, **paint)
