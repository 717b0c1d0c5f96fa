"""The faces as ReportLab fonts, and texts as the strings of a PDF.

Latin text uses faces cut down to Latin, which are quick to parse; other scripts use the whole face.
"""

from __future__ import annotations

from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING, Any

from .fonts import LATIN, REGULAR, face, latin_font
from .items import Document, Text
from .signs import SIGNS

if TYPE_CHECKING:
    from reportlab.pdfbase.ttfonts import TTFont
    from reportlab.pdfgen.canvas import Canvas


@cache
def make_known() -> None:
    """Register the face that a new canvas begins with."""
    from reportlab.pdfbase.pdfmetrics import registerFont

    registerFont(_font(REGULAR, whole=False))


@cache
def _font(name: str, whole: bool) -> TTFont:
    """A face as a font, cut down to Latin or whole.

    Nobody reads the codes of its characters, so only those that are used are embedded.
    """
    from reportlab.pdfbase.ttfonts import TTFont

    data = face(name).data if whole else latin_font(name)
    return TTFont(f"{name}-whole" if whole else name, BytesIO(data), asciiReadable=False)


class Encoder:
    """Turns spans into PDF strings, each in the name and code of the font subset that has it."""

    def __init__(self, canvas: Canvas, document: Document) -> None:
        # A canvas has no public way to its document, and subsets are kept by document.
        self._target: Any = canvas._doc
        self._whole = _faces_beyond_latin(document)
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


def _faces_beyond_latin(document: Document) -> frozenset[str]:
    """The faces that set other scripts somewhere in a document: in it they are embedded from the
    whole face, for a file cannot tell two subsets of one name apart."""
    latin = frozenset((*LATIN, *SIGNS))
    return frozenset(
        span.face
        for page in document.pages
        for item in page.items
        if isinstance(item, Text)
        for span in item.spans
        if not latin.issuperset(span.text)
    )
