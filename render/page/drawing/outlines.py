"""Letters as outlines: for numbers in pictures, which are drawn and not read as text.

It is for PDF, whose text could be copied otherwise; SVG has a style for that. Takes characters and
a typeface (`glyf` outlines of OpenType 1.9: lines and quadratic curves), gives steps of lines and
cubic curves. Measures are font units; y grows upwards in contours, downwards in steps.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from functools import lru_cache

from .fonts import typeface
from .items import Step
from .typefaces import Contour, Typeface, glyph_bytes, glyph_parts

Point = tuple[float, float]


@lru_cache(maxsize=512)
def letter_outlines(text: str, name: str) -> tuple[Step, ...]:
    """The outlines of a text in a typeface, from its start on the baseline."""
    face = typeface(name)
    steps: list[Step] = []
    x = 0
    for char in text:
        glyph = face.glyph(char)
        for contour in glyph_contours(face, glyph):
            steps += _steps(tuple((px + x, -py, on) for px, py, on in contour))
        x += face.advance(glyph)
    return tuple(steps)


def glyph_contours(face: Typeface, glyph: int) -> list[Contour]:
    """The contours of a glyph; those of its parts, moved to their places, where it has parts."""
    outline = glyph_bytes(face, glyph)
    if not outline:
        return []
    if outline[0] < 0x80:
        return _simple(outline)
    found: list[Contour] = []
    for at, part in glyph_parts(outline):
        flags = int.from_bytes(outline[at : at + 2], "big")
        dx, dy = struct.unpack_from(">hh" if flags & 1 else ">bb", outline, at + 4)
        for contour in glyph_contours(face, part):
            found.append(tuple((x + dx, y + dy, on) for x, y, on in contour))
    return found


def _simple(outline: bytes) -> list[Contour]:
    """The contours of a glyph without parts."""
    count = int.from_bytes(outline[:2], "big")
    ends = struct.unpack_from(f">{count}H", outline, 10)
    at = 10 + 2 * count
    at += 2 + int.from_bytes(outline[at : at + 2], "big")
    flags: list[int] = []
    while len(flags) <= ends[-1]:
        flag = outline[at]
        at += 1
        flags.append(flag)
        if flag & 8:
            flags += [flag] * outline[at]
            at += 1
    xs, at = _coordinates(outline, at, flags, 2, 16)
    ys, _ = _coordinates(outline, at, flags, 4, 32)
    points = [(x, y, bool(flag & 1)) for x, y, flag in zip(xs, ys, flags, strict=True)]
    starts = (0, *(end + 1 for end in ends[:-1]))
    return [tuple(points[start : end + 1]) for start, end in zip(starts, ends, strict=True)]


def _coordinates(
    outline: bytes, at: int, flags: list[int], short: int, same: int
) -> tuple[list[int], int]:
    """All x or all y of a glyph, and where the bytes behind them begin.

    `short` is the flag of a distance of one byte, `same` that of its sign, or of no distance.
    """
    values: list[int] = []
    here = 0
    for flag in flags:
        if flag & short:
            here += outline[at] if flag & same else -outline[at]
            at += 1
        elif not flag & same:
            here += struct.unpack_from(">h", outline, at)[0]
            at += 2
        values.append(here)
    return values, at


def _steps(contour: Contour) -> Iterator[Step]:
    """A contour as steps: between two control points in a row lies a point of the curve."""
    points = _with_middles(contour)
    first = next(place for place, point in enumerate(points) if point[2])
    points = [*points[first:], *points[: first + 1]]
    x, y, _ = points[0]
    yield ("M", x, y)
    control: Point | None = None
    for px, py, on in points[1:]:
        if not on:
            control = (px, py)
            continue
        if control is None:
            yield ("L", px, py)
        else:
            cx, cy = control
            yield (
                "C", (x + 2 * cx) / 3, (y + 2 * cy) / 3, (px + 2 * cx) / 3, (py + 2 * cy) / 3,
                px, py,
            )  # fmt: skip
        x, y, control = px, py, None
    yield ("Z",)


def _with_middles(contour: Contour) -> list[tuple[float, float, bool]]:
    """A contour with the points of its curve that lie in the middle between two control points."""
    out: list[tuple[float, float, bool]] = []
    x0, y0, on0 = contour[-1]
    for x, y, on in contour:
        if not on and not on0:
            out.append(((x + x0) / 2, (y + y0) / 2, True))
        out.append((x, y, on))
        x0, y0, on0 = x, y, on
    return out
