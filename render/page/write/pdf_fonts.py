"""The typefaces of a PDF file: fonts of ReportLab, which embeds the letters that the file shows.

Latin text uses typefaces cut down to Latin, which are quick to parse, other scripts ones that hold
their characters too. ReportLab is imported on first use, for it is slow to import.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache, lru_cache
from io import BytesIO
from typing import TYPE_CHECKING, Any

from ..drawing.fonts import LATIN, REGULAR, cut_font, latin_font
from ..drawing.items import Document, Page, Text
from ..drawing.typefaces import SIGNS

if TYPE_CHECKING:
    from reportlab.pdfbase.ttfonts import TTFont
    from reportlab.pdfgen.canvas import Canvas


@cache
def register_first_font() -> None:
    """Register the typeface that a new canvas begins with."""
    from reportlab.pdfbase.pdfmetrics import registerFont

    registerFont(_font(REGULAR))


@lru_cache(maxsize=64)
def _font(name: str, more: str = "") -> TTFont:
    """A typeface as a font, cut down to Latin and `more` characters.

    Nobody reads the codes of its characters, so only those that are used are embedded.
    """
    from reportlab.pdfbase.ttfonts import TTFont

    data = cut_font(name, LATIN + more) if more else latin_font(name)
    return TTFont(name, BytesIO(data), asciiReadable=False)


class PdfFonts:
    """Turns texts into PDF strings, each in the name and code of the font subset that has it."""

    def __init__(self, canvas: Canvas, document: Document) -> None:
        # A canvas has no public way to its document, and subsets are kept by document.
        self._target: Any = canvas._doc
        self._more = _beyond_latin(document)
        self._known: dict[tuple[str, str], list[tuple[str, str]]] = {}

    def strings(self, face: str, text: str) -> list[tuple[str, str]]:
        """(font's name in the file, the text's codes in hexadecimal), in order."""
        key = (face, text)
        if key not in self._known:
            font: Any = _font(face, self._more.get(face, ""))
            self._known[key] = [
                (font.getSubsetInternalName(subset, self._target), codes.hex())
                for subset, codes in font.splitString(text, self._target)
            ]
        return self._known[key]


def _beyond_latin(document: Document) -> dict[str, str]:
    """The characters of other scripts in a document, by the typeface that sets them.

    A document takes each typeface from one font: a file cannot tell two subsets of one name apart.
    """
    letters = document.letters
    return dict(letters_beyond_latin(document.pages) if letters is None else letters)


def letters_beyond_latin(pages: Iterable[Page]) -> tuple[tuple[str, str], ...]:
    """Each typeface that sets texts in other scripts, with the characters of these texts."""
    latin = frozenset((*LATIN, *SIGNS))
    found: dict[str, set[str]] = {}
    for page in pages:
        for item in page.parts:
            if isinstance(item, Text):
                for span in item.spans:
                    if not latin.issuperset(span.text):
                        found.setdefault(span.face, set()).update(span.text)
    return tuple((face, "".join(sorted(chars))) for face, chars in sorted(found.items()))
