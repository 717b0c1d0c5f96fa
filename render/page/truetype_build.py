"""Build the file of a TrueType font from glyphs and tables, and simple glyphs from outlines.

Takes contours, glyphs, metrics and tables (OpenType 1.9 / ISO/IEC 14496-22), gives bytes.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable, Mapping
from itertools import accumulate

#: A contour: (x, y, on the curve) in font units, y upwards.
Contour = tuple[tuple[int, int, bool], ...]


def simple_glyph(contours: Iterable[Contour]) -> bytes:
    """The `glyf` bytes of an outline of quadratic contours."""
    loops = list(contours)
    points = [point for loop in loops for point in loop]
    if not points:
        return b""
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    ends = [end - 1 for end in accumulate(map(len, loops))]
    flags = bytes(int(on) for _, _, on in points)
    head = struct.pack(">hhhhh", len(loops), min(xs), min(ys), max(xs), max(ys))
    steps = [b - a for a, b in zip([0, *xs], xs, strict=False)]
    climbs = [b - a for a, b in zip([0, *ys], ys, strict=False)]
    body = struct.pack(f">{len(points)}h{len(points)}h", *steps, *climbs)
    return head + struct.pack(f">{len(ends)}HH", *ends, 0) + flags + body


def assemble(
    kept: Mapping[str, bytes], glyphs: list[bytes], hmtx: bytes, cmap: Mapping[int, int]
) -> bytes:
    """A font file from the tables to keep and the new glyphs, their metrics and characters."""
    padded = [glyph + b"\0" * (-len(glyph) % 4) for glyph in glyphs]
    offsets = [0]
    for glyph in padded:
        offsets.append(offsets[-1] + len(glyph))
    tables = dict(kept)
    tables["head"] = kept["head"][:8] + b"\0\0\0\0" + kept["head"][12:50] + b"\0\1\0\0"
    tables["hhea"] = kept["hhea"][:34] + struct.pack(">H", len(glyphs))
    tables["maxp"] = kept["maxp"][:4] + struct.pack(">H", len(glyphs)) + kept["maxp"][6:]
    tables["post"] = struct.pack(">LLhhLLLLL", 0x30000, 0, -100, 50, 0, 0, 0, 0, 0)
    tables["glyf"] = b"".join(padded)
    tables["loca"] = struct.pack(f">{len(offsets)}L", *offsets)
    tables["hmtx"] = hmtx
    tables["cmap"] = _cmap_bytes(cmap)
    return _file(tables)


def _cmap_bytes(cmap: Mapping[int, int]) -> bytes:
    """A format 4 cmap with one segment a character."""
    codes = [*sorted(cmap), 0xFFFF]
    count = len(codes)
    # The last segment, which must be there, maps 0xFFFF to glyph 0.
    deltas = [*((cmap[code] - code) & 0xFFFF for code in codes[:-1]), 1]
    head = struct.pack(">HHHHHHH", 4, 16 + 8 * count, 0, 2 * count, *_search(count, 2))
    row = f">{count}H"
    ends = struct.pack(row, *codes)
    body = ends + b"\0\0" + ends + struct.pack(row, *deltas) + b"\0\0" * count
    return struct.pack(">HHHHL", 0, 1, 3, 1, 12) + head + body


def _file(tables: Mapping[str, bytes]) -> bytes:
    """The tables in the order of their tags behind a table directory with checksums."""
    count = len(tables)
    directory = struct.pack(">LHHHH", 0x10000, count, *_search(count, 16))
    at = 12 + 16 * count
    body = b""
    for tag in sorted(tables):
        table = tables[tag]
        padded = table + b"\0" * (-len(table) % 4)
        total = sum(struct.unpack(f">{len(padded) // 4}L", padded)) & 0xFFFFFFFF
        directory += struct.pack(">4sLLL", tag.encode("ascii"), total, at + len(body), len(table))
        body += padded
    return directory + body


def _search(count: int, size: int) -> tuple[int, int, int]:
    """What a binary search of `count` entries of `size` bytes begins with: `searchRange`,
    `entrySelector`, `rangeShift`."""
    power = 1 << (count.bit_length() - 1)
    return size * power, power.bit_length() - 1, size * (count - power)
