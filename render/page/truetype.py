"""TrueType fonts: measure text, cut a font down to some characters.

Takes the bytes of a TrueType font (OpenType 1.9 / ISO/IEC 14496-22, `glyf` outlines, a format 4
`cmap`), gives advances in font units and the bytes of smaller fonts. Hinting is dropped.
"""

from __future__ import annotations

import struct
from bisect import bisect_left
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from .truetype_build import assemble


@dataclass(frozen=True, slots=True)
class Face:
    """A parsed font: its bytes, where its tables lie, and what measuring needs."""

    data: bytes
    tables: Mapping[str, tuple[int, int]]
    units: int
    metrics: int
    ends: tuple[int, ...]
    starts: tuple[int, ...]
    deltas: tuple[int, ...]
    ranges: tuple[int, ...]
    ranges_at: int

    def glyph(self, char: str) -> int:
        """The glyph index of a character, 0 where the font lacks it."""
        code = ord(char)
        segment = bisect_left(self.ends, code)
        if code > 0xFFFF or segment == len(self.ends) or code < self.starts[segment]:
            return 0
        if not self.ranges[segment]:
            return (code + self.deltas[segment]) & 0xFFFF
        at = self.ranges_at + 2 * segment + self.ranges[segment] + 2 * (code - self.starts[segment])
        glyph = int.from_bytes(self.data[at : at + 2], "big")
        return (glyph + self.deltas[segment]) & 0xFFFF if glyph else 0

    def advance(self, glyph: int) -> int:
        """The advance width of a glyph, in font units."""
        at = self.tables["hmtx"][0] + 4 * min(glyph, self.metrics - 1)
        return int.from_bytes(self.data[at : at + 2], "big")

    def bounds(self, glyph: int) -> tuple[int, int, int, int] | None:
        """Least x and y, greatest x and y of a glyph's outline; None where it has none."""
        outline = _outline(self, glyph)
        return struct.unpack_from(">hhhh", outline, 2) if outline else None

    def table(self, tag: str) -> bytes:
        """The bytes of a table."""
        offset, length = self.tables[tag]
        return self.data[offset : offset + length]


def read_face(data: bytes) -> Face:
    """Parse what measuring and cutting need. Raises ValueError without a format 4 Unicode cmap."""
    count = struct.unpack_from(">H", data, 4)[0]
    tables = {}
    for index in range(count):
        tag, _, offset, length = struct.unpack_from(">4sLLL", data, 12 + 16 * index)
        tables[tag.decode("ascii")] = (offset, length)
    at = _unicode_cmap(data, tables["cmap"][0])
    segments = struct.unpack_from(">H", data, at + 6)[0] // 2
    ends = struct.unpack_from(f">{segments}H", data, at + 14)
    starts = struct.unpack_from(f">{segments}H", data, at + 16 + 2 * segments)
    deltas = struct.unpack_from(f">{segments}H", data, at + 16 + 4 * segments)
    ranges_at = at + 16 + 6 * segments
    ranges = struct.unpack_from(f">{segments}H", data, ranges_at)
    metrics = struct.unpack_from(">H", data, tables["hhea"][0] + 34)[0]
    units = struct.unpack_from(">H", data, tables["head"][0] + 18)[0]
    return Face(data, tables, units, metrics, ends, starts, deltas, ranges, ranges_at)


def _unicode_cmap(data: bytes, offset: int) -> int:
    """Where the format 4 subtable for Unicode begins."""
    count = struct.unpack_from(">H", data, offset + 2)[0]
    for index in range(count):
        platform, encoding, at = struct.unpack_from(">HHL", data, offset + 4 + 8 * index)
        form = struct.unpack_from(">H", data, offset + at)[0]
        if form == 4 and (platform == 0 or (platform, encoding) == (3, 1)):
            return int(offset + at)
    raise ValueError("the font has no format 4 cmap for Unicode")


def subset(face: Face, chars: Iterable[str]) -> bytes:
    """A font with only these characters (and glyph 0), of the same name and measures."""
    wanted = sorted({char for char in chars if face.glyph(char)})
    order = [0]
    seen = {0}
    for char in wanted:
        _reach(face, face.glyph(char), order, seen)
    place = {glyph: index for index, glyph in enumerate(order)}
    glyphs = [_renumbered(_outline(face, glyph), place) for glyph in order]
    hmtx = b"".join(
        struct.pack(">Hh", face.advance(glyph), _side_bearing(face, glyph)) for glyph in order
    )
    cmap = {ord(char): place[face.glyph(char)] for char in wanted}
    kept = {tag: face.table(tag) for tag in ("head", "hhea", "maxp", "OS/2", "name")}
    return assemble(kept, glyphs, hmtx, cmap)


def _reach(face: Face, glyph: int, order: list[int], seen: set[int]) -> None:
    """Add a glyph and the ones it is composed of."""
    if glyph in seen:
        return
    seen.add(glyph)
    order.append(glyph)
    for _, part in _components(_outline(face, glyph)):
        _reach(face, part, order, seen)


def _outline(face: Face, glyph: int) -> bytes:
    """The bytes of one glyph in `glyf`."""
    start, _ = face.tables["loca"]
    glyf, _ = face.tables["glyf"]
    if struct.unpack_from(">h", face.data, face.tables["head"][0] + 50)[0]:
        first, last = struct.unpack_from(">LL", face.data, start + 4 * glyph)
    else:
        first, last = (2 * n for n in struct.unpack_from(">HH", face.data, start + 2 * glyph))
    return face.data[glyf + first : glyf + last]


def _side_bearing(face: Face, glyph: int) -> int:
    """The least x of the outline: the left side bearing of an unhinted glyph."""
    outline = _outline(face, glyph)
    return int.from_bytes(outline[2:4], "big", signed=True) if outline else 0


def _components(outline: bytes) -> list[tuple[int, int]]:
    """(offset of its flags, glyph) of each part of a composite glyph; [] for a simple one."""
    if not outline or int.from_bytes(outline[:2], "big", signed=True) >= 0:
        return []
    found, at, more = [], 10, True
    while more:
        flags, glyph = struct.unpack_from(">HH", outline, at)
        found.append((at, glyph))
        at += 4 + (4 if flags & 1 else 2)
        at += 2 if flags & 8 else 4 if flags & 0x40 else 8 if flags & 0x80 else 0
        more = bool(flags & 0x20)
    return found


def _renumbered(outline: bytes, place: Mapping[int, int]) -> bytes:
    """A glyph without its instructions, its parts pointing to their new places."""
    if not outline:
        return b""
    contours = int.from_bytes(outline[:2], "big", signed=True)
    if contours >= 0:
        at = 10 + 2 * contours
        count = int.from_bytes(outline[at : at + 2], "big")
        return outline[:at] + b"\0\0" + outline[at + 2 + count :]
    changed = bytearray(outline)
    for at, glyph in _components(outline):
        flags = int.from_bytes(outline[at : at + 2], "big") & ~0x100
        struct.pack_into(">HH", changed, at, flags, place[glyph])
    return bytes(changed)
