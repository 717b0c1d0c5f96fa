"""The typefaces that a page is set in, how wide a text comes out, and the boxes of items."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache, lru_cache
from importlib import import_module
from threading import Thread
from typing import Final

from .items import Box, Circle, Item, Line, Path, Rect, Span, Text
from .typefaces import NAME as MARKS
from .typefaces import SIGNS, Typeface, read_typeface, signs_font, subset

# The bytes of the faces that text is set in.
#
# FiraGO (Open Font License) comes from the data package pymupdf-fonts, where it is compressed.
# To unpack it is a good part of the work of a first page, but leaves the interpreter free for other
# work meanwhile.

REGULAR: Final = "FiraGO-Regular"
BOLD: Final = "FiraGO-Bold"
_MODULES: Final = {REGULAR: "pymupdf_fonts.FiraGO_Regular", BOLD: "pymupdf_fonts.FiraGO_Bold"}


def unpack_ahead() -> None:
    """Begin to unpack the faces, so that they are there when a first page is laid out."""
    _unpacking()


@cache
def typeface_data(name: str) -> bytes:
    """The bytes of a face as TrueType. Raises KeyError for a name that is neither of the two."""
    for thread in _unpacking():
        thread.join()
    data: bytes = import_module(_MODULES[name]).fontbuffer
    return data


@cache
def _unpacking() -> tuple[Thread, ...]:
    threads = tuple(Thread(target=import_module, args=(module,)) for module in _MODULES.values())
    for thread in threads:
        thread.start()
    return threads


# The faces that a page is set in, and how wide a text comes out in them.
#
# Text is set in FiraGO (`faces`); the musical signs it lacks are our own outlines. Sizes and widths
# are in points.

__all__ = [
    "ASCENT", "BOLD", "CAP_HEIGHT", "LATIN", "MARKS", "REGULAR", "TYPEFACES", "cut_font", "fitted",
    "latin_font", "measure", "runs", "spans", "text_width", "typeface",
]  # fmt: skip

TYPEFACES: Final = (REGULAR, BOLD, MARKS)
#: Height of a capital, in ems (table OS/2 of FiraGO), and of one with its accent.
CAP_HEIGHT: Final = 0.69
ASCENT: Final = 0.95
#: The characters that every embedded face is cut down to: western Latin and our punctuation.
LATIN: Final = "".join(map(chr, (*range(0x20, 0x7F), *range(0xA0, 0x100)))) + "ŒœŠšŽž–—‘’“”•…→−"


@cache
def typeface(name: str) -> Typeface:
    """A face, parsed. Raises KeyError for a name that is not one of `TYPEFACES`."""
    return read_typeface(signs_font() if name == MARKS else typeface_data(name))


@cache
def latin_font(name: str) -> bytes:
    """The bytes of a face cut down to `LATIN` (the signs are small as they are)."""
    return signs_font() if name == MARKS else subset(typeface(name), LATIN)


def cut_font(name: str, chars: str) -> bytes:
    """The bytes of a face cut down to some characters."""
    return subset(typeface(name), chars)


@lru_cache(maxsize=8192)
def _ems(text: str, name: str) -> float:
    drawn = typeface(name)
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


# The boxes that items fill: left, top, right, bottom in points, y downwards.
#
# A text's box holds the ink of its letters, by the outlines' own bounds (table `glyf`).


@lru_cache(maxsize=4096)
def _ink(text: str, name: str) -> tuple[float, float, float, float] | None:
    """Left, bottom, right and top of a text's ink in ems from its origin; None without ink."""
    drawn = typeface(name)
    x, boxes = 0, []
    for char in text:
        glyph = drawn.glyph(char)
        bounds = drawn.bounds(glyph)
        if bounds is not None:
            boxes.append((x + bounds[0], bounds[1], x + bounds[2], bounds[3]))
        x += drawn.advance(glyph)
    if not boxes:
        return None
    lefts, bottoms, rights, tops = zip(*boxes, strict=True)
    edges = (min(lefts), min(bottoms), max(rights), max(tops))
    return tuple(edge / drawn.units for edge in edges)


def span_box(text: Text, span: Span) -> Box | None:
    """The ink of one span of a text; None for blanks."""
    ink = _ink(span.text, span.face)
    if ink is None:
        return None
    x, y = text.x + span.dx, text.y - span.rise
    left, bottom, right, top = (edge * span.size for edge in ink)
    return x + left, y - top, x + right, y - bottom


def item_box(item: Item) -> Box | None:
    """The box of an item with its line width; None for a text of blanks."""
    if isinstance(item, Text):
        inks = [span_box(item, span) for span in item.spans]
        return union(box for box in inks if box is not None)
    if isinstance(item, Line):
        xs, ys, half = (item.x1, item.x2), (item.y1, item.y2), item.width / 2
    elif isinstance(item, Circle):
        xs, ys = (
            (item.x - item.radius, item.x + item.radius),
            (item.y - item.radius, item.y + item.radius),
        )
        half = 0.0 if item.stroke is None else item.width / 2
    elif isinstance(item, Rect):
        xs, ys = (item.x, item.x + item.w), (item.y, item.y + item.h)
        half = 0.0 if item.stroke is None else item.width / 2
    else:
        return _path_box(item)
    return min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half


def _path_box(path: Path) -> Box:
    """The box of an outline's points: for a curve that of its control points, which hold it."""
    xs = [float(x) for step in path.steps for x in step[1::2]]
    ys = [float(y) for step in path.steps for y in step[2::2]]
    half = 0.0 if path.stroke is None else path.width / 2
    return min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half


def union(boxes: Iterable[Box]) -> Box | None:
    """The smallest box round boxes, None round none."""
    found = list(boxes)
    if not found:
        return None
    lefts, tops, rights, bottoms = zip(*found, strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)
