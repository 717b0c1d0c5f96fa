"""Write a document as PDF.

Takes a `Document`, gives the bytes of a PDF 1.4 file: the same document gives the same bytes. Fonts are
embedded and cut down to what is used. ReportLab is imported on first use, for it is slow to import.
"""

from __future__ import annotations

from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING, Any

from .fonts import FACES, LATIN, face, latin_font
from .items import Circle, Document, Item, Line, Page, Path, Rect, Text
from .signs import SIGNS

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

#: Control points of a quarter circle of radius 1: 4/3·(√2 − 1).
_ROUND = 0.5522847498
_OPERATORS = {"M": "m", "L": "l", "C": "c"}


def write_pdf(document: Document) -> bytes:
    """The document as the bytes of a PDF file: title, author, language, outline, embedded fonts."""
    from reportlab.pdfgen.canvas import Canvas

    _register()
    target = BytesIO()
    canvas = Canvas(target, invariant=1, pageCompression=1, lang=document.language)
    canvas.setTitle(document.title)
    canvas.setAuthor(document.author)
    canvas.setCreator("Midneck")
    canvas.setSubject("Comping chart")
    entries = list(enumerate(document.outline))
    if entries:
        canvas.showOutline()
    for number, page in enumerate(document.pages):
        canvas.setPageSize((page.width, page.height))
        for index, entry in entries:
            if entry.page == number:
                key = f"o{index}"
                canvas.bookmarkHorizontal(key, 0, page.height - entry.y)
                canvas.addOutlineEntry(entry.title, key)
        _draw(canvas, page)
        canvas.showPage()
    canvas.save()
    return target.getvalue()


@cache
def _register() -> None:
    """Make the faces known to ReportLab, cut down to Latin; rarer scripts use the whole face."""
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFont

    for name in FACES:
        registerFont(TTFont(name, BytesIO(latin_font(name))))


@cache
def _font_name(name: str, text: str) -> str:
    """The registered font that has all characters of a text: the face, or the face uncut."""
    if all(char in LATIN or char in SIGNS for char in text):
        return name
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFont

    whole = f"{name}-whole"
    registerFont(TTFont(whole, BytesIO(face(name).data)))
    return whole


def _draw(canvas: Canvas, page: Page) -> None:
    """Draw the items in order, y turned upwards."""
    height = page.height
    for item in page.items:
        if type(item) is Text:
            _text(canvas, item, height)
        else:
            canvas.addLiteral(_shape(item, height))


def _text(canvas: Canvas, item: Text, height: float) -> None:
    pen: Any = canvas.beginText()
    pen.setFillGray(item.grey)
    y = height - item.y
    for span in item.spans:
        pen.setTextOrigin(item.x + span.dx, y)
        pen.setFont(_font_name(span.face, span.text), span.size)
        pen.setRise(span.rise)
        pen.textOut(span.text)
    pen.setRise(0)
    canvas.drawText(pen)


def _shape(item: Item, height: float) -> str:
    """The PDF operators of a line, circle, rectangle or path."""
    if type(item) is Line:
        start = f"{item.x1:.2f} {height - item.y1:.2f} m {item.x2:.2f} {height - item.y2:.2f} l S"
        return f"{item.width:.2f} w {_dash(item.dash)}{item.grey:g} G {start}{_undash(item.dash)}"
    if type(item) is Rect:
        area = f"{item.x:.2f} {height - item.y - item.h:.2f} {item.w:.2f} {item.h:.2f} re"
        return _painted(item.fill, item.stroke, item.width, area)
    if type(item) is Circle:
        return _painted(item.fill, item.stroke, item.width, _circle(item, height))
    assert type(item) is Path
    outline = " ".join(_step(step, height) for step in item.steps)
    drawn = _painted(item.fill, item.stroke, item.width, outline)
    return f"{_dash(item.dash)}{drawn}{_undash(item.dash)}"


def _dash(dash: tuple[float, ...]) -> str:
    return f"[{' '.join(f'{n:.2f}' for n in dash)}] 0 d " if dash else ""


def _undash(dash: tuple[float, ...]) -> str:
    return " [] 0 d" if dash else ""


def _painted(fill: float | None, stroke: float | None, width: float, outline: str) -> str:
    if stroke is None:
        return f"{fill or 0:g} g {outline} f"
    if fill is None:
        return f"{width:.2f} w {stroke:g} G {outline} S"
    return f"{width:.2f} w {stroke:g} G {fill:g} g {outline} B"


def _step(step: tuple[str | float, ...], height: float) -> str:
    if step[0] == "Z":
        return "h"
    numbers = [
        f"{value:.2f}" if place % 2 == 0 else f"{height - float(value):.2f}"
        for place, value in enumerate(step[1:])
    ]
    return " ".join(numbers) + " " + _OPERATORS[str(step[0])]


def _circle(item: Circle, height: float) -> str:
    x, y, r = item.x, height - item.y, item.radius
    k = r * _ROUND
    return (
        f"{x + r:.2f} {y:.2f} m "
        f"{x + r:.2f} {y + k:.2f} {x + k:.2f} {y + r:.2f} {x:.2f} {y + r:.2f} c "
        f"{x - k:.2f} {y + r:.2f} {x - r:.2f} {y + k:.2f} {x - r:.2f} {y:.2f} c "
        f"{x - r:.2f} {y - k:.2f} {x - k:.2f} {y - r:.2f} {x:.2f} {y - r:.2f} c "
        f"{x + k:.2f} {y - r:.2f} {x + r:.2f} {y - k:.2f} {x + r:.2f} {y:.2f} c h"
    )
