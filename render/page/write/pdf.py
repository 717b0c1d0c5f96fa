"""Write a document as PDF.

Takes a `Document`, gives the bytes of a PDF 1.4 file: the same document gives the same bytes. Fonts
are embedded and cut down to what is used. Latin text uses typefaces cut down to Latin, which are
quick to parse; other scripts use the whole typeface. ReportLab is imported on first use, for it is
slow to import.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING, Any

from ...output import MARK
from ..drawing import (
    LATIN,
    REGULAR,
    Circle,
    Close,
    Document,
    Item,
    Line,
    Open,
    Page,
    Path,
    Rect,
    Text,
    latin_font,
    typeface,
)
from ..drawing.typefaces import SIGNS

if TYPE_CHECKING:
    from reportlab.pdfbase.ttfonts import TTFont
    from reportlab.pdfgen.canvas import Canvas


@cache
def register_first_font() -> None:
    """Register the typeface that a new canvas begins with."""
    from reportlab.pdfbase.pdfmetrics import registerFont

    registerFont(_font(REGULAR, whole=False))


@cache
def _font(name: str, whole: bool) -> TTFont:
    """A typeface as a font, cut down to Latin or whole.

    Nobody reads the codes of its characters, so only those that are used are embedded.
    """
    from reportlab.pdfbase.ttfonts import TTFont

    data = typeface(name).data if whole else latin_font(name)
    return TTFont(f"{name}-whole" if whole else name, BytesIO(data), asciiReadable=False)


class Encoder:
    """Turns spans into PDF strings, each in the name and code of the font subset that has it."""

    def __init__(self, canvas: Canvas, document: Document) -> None:
        # A canvas has no public way to its document, and subsets are kept by document.
        self._target: Any = canvas._doc
        self._whole = _typefaces_beyond_latin(document)
        self._known: dict[tuple[str, str], list[tuple[str, str]]] = {}

    def strings(self, name: str, text: str) -> list[tuple[str, str]]:
        """(font's name in the file, the text's codes in hexadecimal), in order."""
        key = (name, text)
        if key not in self._known:
            font: Any = _font(name, name in self._whole)
            self._known[key] = [
                (font.getSubsetInternalName(subset, self._target), codes.hex())
                for subset, codes in font.splitString(text, self._target)
            ]
        return self._known[key]


def _typefaces_beyond_latin(document: Document) -> frozenset[str]:
    """The typefaces that set other scripts somewhere in a document.

    They are embedded from the whole typeface: a file cannot tell two subsets of one name apart.
    """
    latin = frozenset((*LATIN, *SIGNS))
    return frozenset(
        span.face
        for page in document.pages
        for item in page.items
        if isinstance(item, Text)
        for span in item.spans
        if not latin.issuperset(span.text)
    )


#: Control points of a quarter circle of radius 1: 4/3·(√2 − 1).
_ROUND = 0.5522847498
_OPERATORS = {"M": "m", "L": "l"}


def write_pdf(document: Document) -> bytes:
    """The document as the bytes of a PDF file: title, author, language, outline, embedded fonts."""
    register_first_font()
    with _binary():
        return _written(document)


def _written(document: Document) -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    target = BytesIO()
    canvas = Canvas(
        target,
        invariant=1,
        pageCompression=1,
        lang=document.language,
        initialFontName=REGULAR,
    )
    canvas.setTitle(document.title)
    canvas.setAuthor(document.author)
    canvas.setCreator(MARK)
    if document.stamp:
        canvas.setKeywords(document.stamp)
    entries, encoder = list(enumerate(document.outline)), Encoder(canvas, document)
    if entries:
        canvas.showOutline()
    for number, page in enumerate(document.pages):
        canvas.setPageSize((page.width, page.height))
        for index, entry in entries:
            if entry.page == number:
                key = f"o{index}"
                canvas.bookmarkHorizontal(key, 0, page.height - entry.y)
                canvas.addOutlineEntry(entry.title, key)
        _draw(canvas, page, encoder)
        canvas.showPage()
    canvas.save()
    return target.getvalue()


@contextmanager
def _binary() -> Iterator[None]:
    """Binary streams: ASCII85 takes ReportLab longer than all the rest, and adds bytes."""
    from reportlab import rl_config

    before, rl_config.useA85 = rl_config.useA85, 0
    try:
        yield
    finally:
        rl_config.useA85 = before


def _draw(canvas: Canvas, page: Page, encoder: Encoder) -> None:
    """Draw the items in order, y turned upwards."""
    height = page.height
    code = [
        _text(encoder, item, height) if type(item) is Text else _shape(item, height)
        for item in page.items
        if not isinstance(item, (Open, Close))
    ]
    canvas.addLiteral("\n".join(code))


def _text(encoder: Encoder, item: Text, height: float) -> str:
    """The PDF operators of a text."""
    out = [f"BT {item.grey:g} g"]
    y = f"{height - item.y:.2f}"
    rise = 0.0
    for span in item.spans:
        out.append(f"1 0 0 1 {item.x + span.dx:.2f} {y} Tm")
        if span.rise != rise:
            rise = span.rise
            out.append(f"{rise:.2f} Ts")
        for font, codes in encoder.strings(span.face, span.text):
            out.append(f"{font} {span.size:.2f} Tf <{codes}> Tj")
    out.append("0 Ts ET" if rise else "ET")
    if len(item.spans) == 1:
        return " ".join(out)
    # Some readers take a change of size for a new word: ActualText says that it is one text.
    words = (b"\xfe\xff" + item.string.encode("utf-16-be")).hex()
    return f"/Span <</ActualText <{words}>>> BDC {' '.join(out)} EMC"


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


def _step(step: Any, height: float) -> str:
    if step[0] == "Z":
        return "h"
    if step[0] == "C":
        _, x1, y1, x2, y2, x, y = step
        control = f"{x1:.2f} {height - y1:.2f} {x2:.2f} {height - y2:.2f}"
        return f"{control} {x:.2f} {height - y:.2f} c"
    operator, x, y = step
    return f"{x:.2f} {height - y:.2f} {_OPERATORS[operator]}"


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
