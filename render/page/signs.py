"""Our own outlines for the signs that the text face lacks: flat, sharp, natural, triangle.

Gives them as a small TrueType font, so that they copy as the characters they are. 1000 units to
the em, y upwards, heavy enough to stand beside a bold root. Outer contours run clockwise, counters
the other way.
"""

from __future__ import annotations

import struct
from functools import cache
from typing import Final

from .truetype_build import Contour, assemble, simple_glyph

NAME: Final = "MidneckSigns"


def _corners(*points: tuple[int, int]) -> Contour:
    return tuple((x, y, True) for x, y in points)


_FLAT: Final[tuple[Contour, ...]] = (
    (
        (45, 770, True), (112, 770, True), (112, 372, True), (165, 420, False), (240, 420, True),
        (375, 420, False), (375, 285, True), (375, 160, False), (195, 55, True), (115, 10, False),
        (45, -40, True),
    ),
    (
        (112, 62, True), (278, 165, False), (278, 278, True), (278, 346, False), (215, 346, True),
        (155, 346, False), (112, 285, True),
    ),
)  # fmt: skip
_SHARP: Final[tuple[Contour, ...]] = (
    _corners((92, -80), (92, 720), (150, 720), (150, -80)),
    _corners((250, -20), (250, 780), (308, 780), (308, -20)),
    _corners((20, 130), (20, 232), (380, 332), (380, 230)),
    _corners((20, 378), (20, 480), (380, 580), (380, 478)),
)
_NATURAL: Final[tuple[Contour, ...]] = (
    _corners((50, 110), (50, 780), (108, 780), (108, 110)),
    _corners((242, -80), (242, 590), (300, 590), (300, -80)),
    _corners((50, 110), (50, 206), (300, 276), (300, 180)),
    _corners((50, 424), (50, 520), (300, 590), (300, 494)),
)
_TRIANGLE: Final[tuple[Contour, ...]] = (
    _corners((25, 0), (335, 640), (645, 0)),
    _corners((135, 70), (535, 70), (335, 482)),
)
#: Character → (advance, contours).
SIGNS: Final[dict[str, tuple[int, tuple[Contour, ...]]]] = {
    "♭": (400, _FLAT),
    "♮": (350, _NATURAL),
    "♯": (400, _SHARP),
    "△": (670, _TRIANGLE),
}


@cache
def signs_font() -> bytes:
    """The bytes of the font of signs."""
    rows = [(500, ()), *(SIGNS[char] for char in sorted(SIGNS))]
    glyphs = [simple_glyph(contours) for _, contours in rows]
    hmtx = b"".join(
        struct.pack(">Hh", advance, min((x for loop in loops for x, _, _ in loop), default=0))
        for advance, loops in rows
    )
    cmap = {ord(char): place for place, char in enumerate(sorted(SIGNS), 1)}
    kept = {
        "head": _head(),
        "hhea": struct.pack(">LhhhHhhhhhhhhhhhH", 0x10000, 800, -200, 0, 700, *[0] * 11, 0),
        "maxp": struct.pack(">LHHHHHHHHHHHHHH", 0x10000, 0, 32, 4, 32, 4, 2, *[0] * 8),
        "OS/2": _os2(),
        "name": _names(),
    }
    return assemble(kept, glyphs, hmtx, cmap)


def _head() -> bytes:
    """Table `head`: magic number, 1000 units, no dates, long `loca`."""
    return struct.pack(
        ">LLLLHHQQhhhhHHhhh", 0x10000, 0x10000, 0, 0x5F0F3CF5, 3, 1000, 0, 0,
        0, -80, 700, 780, 0, 8, 2, 1, 0,
    )  # fmt: skip


def _os2() -> bytes:
    """Table `OS/2`, version 4: medium weight, embedding allowed."""
    return struct.pack(
        ">HhHHHhhhhhhhhhhh10sLLLL4sHHHhhhHHLLhhHHH", 4, 500, 500, 5, 0, *[0] * 11, b"\0" * 10,
        0, 0, 0, 0, b"    ", 64, 0x25B3, 0x266F, 800, -200, 0, 800, 200, 1, 0, 500, 700, 0, 32, 0,
    )  # fmt: skip


def _names() -> bytes:
    """Table `name`: family, style, full name and PostScript name."""
    texts = {1: NAME, 2: "Regular", 4: NAME, 6: NAME}
    records, pool = b"", b""
    for number, text in texts.items():
        coded = text.encode("utf-16-be")
        records += struct.pack(">HHHHHH", 3, 1, 0x409, number, len(coded), len(pool))
        pool += coded
    return struct.pack(">HHH", 0, len(texts), 6 + len(records)) + records + pool
