"""Boxes that items fill, and items moved.

A box is left, top, right, bottom in points, y downwards. That of a text holds the ink of its
letters, by the outlines' own bounds (table `glyf`); that of another item its line width too.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Final

from .fonts import typeface
from .items import (
    Box,
    Circle,
    Close,
    Drawing,
    Ink,
    Item,
    Line,
    Open,
    Path,
    Placed,
    Rect,
    Shown,
    Span,
    Step,
    Text,
    shifted,
)


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
    x, y, size = text.x + span.dx, text.y - span.rise, span.size
    left, bottom, right, top = ink
    return x + left * size, y - top * size, x + right * size, y - bottom * size


def box_of(items: Iterable[Item]) -> Box | None:
    """The box of items with their line widths; None where none has ink."""
    return union(box for item in items for box in _boxes(item) if box is not None)


def item_box(item: Item) -> Box | None:
    """The box of an item with its line width; None for what has no ink."""
    return box_of((item,)) if type(item) is Text else _shape_box(item)


def _boxes(item: Item) -> Sequence[Box | None]:
    """The box of an item, or those of the spans of a text."""
    if type(item) is Text:
        return [span_box(item, span) for span in item.spans]
    return (_shape_box(item),)


def _shape_box(item: Item) -> Box | None:
    """The box of an item that is no text; None for what has no ink."""
    if type(item) is Circle:
        reach = item.radius + (0.0 if item.stroke is None else item.width / 2)
        return item.x - reach, item.y - reach, item.x + reach, item.y + reach
    if type(item) is Path:
        return _path_box(item)
    if type(item) is Placed:
        left, top, right, bottom = item.drawing.box
        return item.x + left, item.y + top, item.x + right, item.y + bottom
    if type(item) is Line:
        xs, ys, half = (item.x1, item.x2), (item.y1, item.y2), item.width / 2
    elif type(item) is Rect:
        xs, ys = (item.x, item.x + item.w), (item.y, item.y + item.h)
        half = 0.0 if item.stroke is None else item.width / 2
    else:
        return None
    return min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half


def _path_box(path: Path) -> Box:
    left, top, right, bottom = _extent(path.steps)
    half = 0.0 if path.stroke is None else path.width / 2
    x, y = path.x, path.y
    return left + x - half, top + y - half, right + x + half, bottom + y + half


@lru_cache(maxsize=512)
def _extent(steps: tuple[Step, ...]) -> Box:
    """The box of an outline's points: for a curve that of its control points, which hold it."""
    # A step's letter is its only text.
    xs: list[float] = [x for step in steps for x in step[1::2]]  # type: ignore[misc]
    ys: list[float] = [y for step in steps for y in step[2::2]]  # type: ignore[misc]
    return min(xs), min(ys), max(xs), max(ys)


def union(boxes: Iterable[Box]) -> Box | None:
    """The smallest box round boxes, None round none."""
    found = list(boxes)
    if not found:
        return None
    lefts, tops, rights, bottoms = zip(*found, strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)


def moved(items: Iterable[Item], dx: float, dy: float) -> list[Item]:
    """The same items, `dx` to the right and `dy` down."""
    return [shifted(item, dx, dy) for item in items]


def drawing_of(items: Iterable[Ink]) -> Drawing:
    """Items as one drawing."""
    found = tuple(items)
    return Drawing(found, box_of(found) or (0.0, 0.0, 0.0, 0.0))


#: Lines up to this width are doubled in large print; thicker ones are shapes of their own.
DOUBLED: Final = 2.0


def heavy(items: Iterable[Item]) -> tuple[Item, ...]:
    """Items in black alone, their lines doubled in width; white and what is white stay."""
    return tuple(map(_heavy, items))


def _heavy(item: Item) -> Item:
    if isinstance(item, (Open, Close, Shown)):
        return item
    if isinstance(item, Placed):
        return Placed(_heavy_drawing(item.drawing), item.x, item.y)
    return _heavy_ink(item)


@lru_cache(maxsize=256)
def _heavy_drawing(drawing: Drawing) -> Drawing:
    return drawing_of(map(_heavy_ink, drawing.items))


def _heavy_ink(item: Ink) -> Ink:
    if isinstance(item, Text):
        return replace(item, grey=_black(item.grey))
    width = item.width * (2.0 if item.width <= DOUBLED else 1.0)
    if isinstance(item, Line):
        return replace(item, width=width, grey=_black(item.grey))
    stroke = None if item.stroke is None else _black(item.stroke)
    if item.fill is not None and 0.5 < item.fill < 1.0:
        # A light ground becomes a frame.
        return replace(item, width=width, fill=None, stroke=0.0 if stroke is None else stroke)
    fill = None if item.fill is None else _black(item.fill)
    return replace(item, width=width, fill=fill, stroke=stroke)


def _black(grey: float) -> float:
    """White for white, black for every grey."""
    return 1.0 if grey == 1.0 else 0.0
