"""The faces that a page is set in, and how wide a text comes out in them.

Text is set in FiraGO (`faces`); the musical signs it lacks are our own outlines. Sizes and widths
are in points.
"""

from __future__ import annotations

from functools import cache, lru_cache
from typing import Final

from ..faces import BOLD, REGULAR, face_data
from .items import Span
from .signs import NAME as MARKS
from .signs import SIGNS, signs_font
from .truetype import Face, read_face, subset

__all__ = [
    "ASCENT", "BOLD", "CAP_HEIGHT", "FACES", "LATIN", "MARKS", "REGULAR", "cut_font", "face",
    "fitted", "latin_font", "measure", "runs", "spans", "text_width",
]  # fmt: skip

FACES: Final = (REGULAR, BOLD, MARKS)
#: Height of a capital, in ems (table OS/2 of FiraGO), and of one with its accent.
CAP_HEIGHT: Final = 0.69
ASCENT: Final = 0.95
#: The characters that every embedded face is cut down to: western Latin and our punctuation.
LATIN: Final = "".join(map(chr, (*range(0x20, 0x7F), *range(0xA0, 0x100)))) + "ŒœŠšŽž–—‘’“”•…→−"


@cache
def face(name: str) -> Face:
    """A face, parsed. Raises KeyError for a name that is not one of `FACES`."""
    return read_face(signs_font() if name == MARKS else face_data(name))


@cache
def latin_font(name: str) -> bytes:
    """The bytes of a face cut down to `LATIN` (the signs are small as they are)."""
    return signs_font() if name == MARKS else subset(face(name), LATIN)


def cut_font(name: str, chars: str) -> bytes:
    """The bytes of a face cut down to some characters."""
    return subset(face(name), chars)


@lru_cache(maxsize=8192)
def _ems(text: str, name: str) -> float:
    drawn = face(name)
    return sum(drawn.advance(drawn.glyph(char)) for char in text) / drawn.units


def text_width(text: str, name: str, size: float) -> float:
    """The advance of a text in one face, in points."""
    return _ems(text, name) * size


@lru_cache(maxsize=8192)
def runs(text: str, name: str) -> tuple[tuple[str, str, float], ...]:
    """A text cut where the face changes for a sign: (piece, face, width in ems) each."""
    pieces: list[list[str]] = []
    for char in text:
        wanted = MARKS if char in SIGNS else name
        if pieces and pieces[-1][1] == wanted:
            pieces[-1][0] += char
        else:
            pieces.append([char, wanted])
    return tuple((piece, used, _ems(piece, used)) for piece, used in pieces)


def spans(text: str, name: str, size: float, dx: float = 0.0, rise: float = 0.0) -> list[Span]:
    """The spans that set a text from `dx` on, signs included."""
    out = []
    for piece, used, ems in runs(text, name):
        out.append(Span(piece, used, size, dx, rise, ems * size))
        dx += ems * size
    return out


def measure(text: str, name: str, size: float) -> float:
    """The advance of a text with signs, in points."""
    return sum(ems for _, _, ems in runs(text, name)) * size


def fitted(text: str, name: str, size: float, width: float) -> float:
    """The size, `size` at most, at which a text with signs is no wider than a width in points."""
    needed = measure(text, name, size)
    return size if needed <= width else size * (width / needed)
