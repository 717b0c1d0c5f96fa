"""The typefaces that text is set in, and how wide a text comes out in them.

FiraGO (Open Font License) comes from the data package pymupdf-fonts (`font_cache`). The musical
signs that it lacks are our own outlines. Sizes and widths are points, or ems where a name says so.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable
from functools import cache, lru_cache
from typing import Final

from .font_cache import unpacked
from .items import Span
from .scripts import JAPANESE, japanese_data, on_paper, refusal
from .typefaces import BOLD_NAME as BOLD_MARKS
from .typefaces import NAME as MARKS
from .typefaces import SIGNS, Typeface, read_typeface, signs_font, subset

REGULAR: Final = "FiraGO-Regular"
BOLD: Final = "FiraGO-Bold"
_MODULES: Final = {REGULAR: "FiraGO_Regular", BOLD: "FiraGO_Bold"}


@cache
def typeface_data(name: str) -> bytes:
    """The bytes of a typeface as TrueType. Raises KeyError for an unknown name."""
    if name in (MARKS, BOLD_MARKS):
        return signs_font(name == BOLD_MARKS)
    if name == JAPANESE:
        return japanese_data() or b""
    return unpacked(_MODULES[name])


__all__ = [
    "ASCENT", "BOLD", "BOLD_MARKS", "CAP_HEIGHT", "LATIN", "MARKS", "REGULAR", "TYPEFACES",
    "cut_font", "fitted", "latin_font", "measure", "runs", "spans", "text_width", "typeface",
]  # fmt: skip

TYPEFACES: Final = (REGULAR, BOLD, MARKS, BOLD_MARKS)
#: Height of a capital, in ems (table OS/2 of FiraGO), and of one with its accent.
CAP_HEIGHT: Final = 0.69
ASCENT: Final = 0.95
#: The characters that every embedded typeface is cut down to: western Latin and our punctuation.
LATIN: Final = "".join(map(chr, (*range(0x20, 0x7F), *range(0xA0, 0x100)))) + "ŒœŠšŽž–—‘’“”•…→−"


@cache
def typeface(name: str) -> Typeface:
    """A typeface, parsed. Raises KeyError for a name that is not one of `TYPEFACES` or Japanese."""
    return read_typeface(typeface_data(name))


@cache
def latin_font(name: str) -> bytes:
    """The bytes of a typeface cut down to `LATIN` (the signs are small as they are)."""
    if name in (MARKS, BOLD_MARKS):
        return typeface_data(name)
    return subset(typeface(name), LATIN)


def cut_font(name: str, chars: str) -> bytes:
    """The bytes of a typeface cut down to some characters."""
    return subset(typeface(name), chars)


@lru_cache(maxsize=8192)
def _ems(text: str, name: str) -> float:
    return sum(_letter(char, name)[1] for char in text) / typeface(name).units


@lru_cache(maxsize=4096)
def _letter(char: str, name: str) -> tuple[int, int]:
    """The glyph of a character, 0 where the typeface lacks it, and its advance in font units."""
    drawn = typeface(name)
    glyph = drawn.glyph(char)
    return glyph, drawn.advance(glyph)


def text_width(text: str, name: str, size: float) -> float:
    """The advance of a text in one typeface, in points."""
    return _ems(text, name) * size


@lru_cache(maxsize=8192)
def runs(text: str, name: str) -> tuple[tuple[str, str, float], ...]:
    """A text cut where the typeface changes for a sign: (piece, typeface, width in ems) each.

    Pieces are in the order in which they stand on paper. Raises ScriptError for characters that no
    typeface has.
    """
    pieces: list[list[str]] = []
    marks = BOLD_MARKS if name == BOLD else MARKS
    shown = on_paper(text)
    other = _others(text, shown, name)
    for char in shown:
        wanted = marks if char in SIGNS else other.get(char, name)
        if pieces and pieces[-1][1] == wanted:
            pieces[-1][0] += char
        else:
            pieces.append([char, wanted])
    return tuple((piece, used, _ems(piece, used)) for piece, used in pieces)


def _others(text: str, shown: str, name: str) -> dict[str, str]:
    """The characters that a typeface lacks, each with the one that has it."""
    lacking = [
        char for char in dict.fromkeys(shown) if char not in SIGNS and not _letter(char, name)[0]
    ]
    if not lacking:
        return {}
    fallback = typeface(JAPANESE) if japanese_data() is not None else None
    unset = [char for char in lacking if fallback is None or not fallback.glyph(char)]
    if unset:
        raise refusal(text, "".join(unset))
    return dict.fromkeys(lacking, JAPANESE)


@lru_cache(maxsize=8192)
def spans(
    text: str, name: str, size: float, dx: float = 0.0, rise: float = 0.0
) -> tuple[Span, ...]:
    """The spans that set a text from `dx` on, signs included."""
    out = []
    for piece, used, ems in runs(text, name):
        out.append(Span(piece, used, size, dx, rise, ems * size))
        dx += ems * size
    return tuple(out)


def scaled_spans(spans: Iterable[Span], factor: float) -> tuple[Span, ...]:
    """Spans with all their sizes times a factor."""
    return tuple(
        Span(
            span.text,
            span.face,
            span.size * factor,
            span.dx * factor,
            span.rise * factor,
            span.width * factor,
        )
        for span in spans
    )


def measure(text: str, name: str, size: float) -> float:
    """The advance of a text with signs, in points."""
    return sum(ems for _, _, ems in runs(text, name)) * size


def fitted(text: str, name: str, size: float, width: float) -> float:
    """The size, `size` at most, at which a text with signs is no wider than a width in points."""
    needed = measure(text, name, size)
    return size if needed <= width else size * (width / needed)


def shortened(text: str, name: str, size: float, width: float) -> str:
    """A text that is no wider than a width in points: its end is replaced by … where it is."""
    if measure(text, name, size) <= width:
        return text
    starts = range(len(text) - 1)
    most = bisect_left(
        starts, True, key=lambda count: measure(_begun(text, count), name, size) > width
    )
    return _begun(text, most - 1)


def _begun(text: str, count: int) -> str:
    return text[: max(count, 0)].rstrip(" …") + "…"
