"""The typefaces of a PDF file, cut down to the letters that it shows.

A letter's code is the number of its glyph in the cut-down font, two bytes (Identity-H; ISO
32000-1:2008, 9.7), given in the order in which letters are first shown. A table beside it tells
readers the characters (9.10.3).
"""

from __future__ import annotations

import struct
from dataclasses import field
from functools import cache
from typing import Final

from ....grammar.frozen import frozen, mutable
from ..drawing.fonts import numbered_font, typeface
from .pdf_file import PdfFile, stream

#: Flags of a font (9.8.2): with characters beyond the standard Latin set, and bold at any size.
_SYMBOLIC, _FORCE_BOLD = 1 << 2, 1 << 18
#: The most rows of a table of characters in one piece.
_ROWS: Final = 100


@mutable
class _Face:
    """A typeface in a file: its name there, and the codes of its letters so far."""

    resource: str
    codes: dict[str, int] = field(default_factory=dict)

    def coded(self, text: str) -> str:
        """The codes of a text in hexadecimal."""
        codes = self.codes
        return "".join([f"{codes.setdefault(char, len(codes) + 1):04x}" for char in text])


class PdfFonts:
    """The typefaces of a file while its pages are drawn; `number` is that of their dictionary."""

    def __init__(self, file: PdfFile) -> None:
        self._file = file
        self._faces: dict[str, _Face] = {}
        self._known: dict[tuple[str, str], tuple[str, str]] = {}
        self.number = file.reserve()

    def shown(self, face: str, text: str) -> tuple[str, str]:
        """The name of a typeface in the file, and the codes of a text in hexadecimal."""
        key = (face, text)
        known = self._known.get(key)
        if known is None:
            if face not in self._faces:
                self._faces[face] = _Face(f"F{len(self._faces) + 1}")
            used = self._faces[face]
            known = self._known[key] = used.resource, used.coded(text)
        return known

    def write(self) -> None:
        """Put the typefaces into the file, now that all their letters are known."""
        rows = [
            b"/%s %d 0 R" % (face.resource.encode(), self._font(name, list(face.codes)))
            for name, face in self._faces.items()
        ]
        self._file.fill(self.number, b"<<%s>>" % b"".join(rows))

    def _font(self, name: str, letters: list[str]) -> int:
        """The number of a font with some letters, the first of them glyph 1."""
        face, facts, add = typeface(name), _facts(name), self._file.add
        glyphs = [face.glyph(char) for char in letters]
        data = numbered_font(name, glyphs)
        embedded = add(stream(data, b"/Length1 %d" % len(data)))
        called = b"AAAAAA+" + name.encode()
        descriptor = add(
            b"<</Type/FontDescriptor/FontName/%s%s/FontFile2 %d 0 R>>"
            % (called, facts.described, embedded)
        )
        widths = [b"%g" % round(facts.scale * face.advance(glyph), 2) for glyph in (0, *glyphs)]
        descendant = add(
            b"<</Type/Font/Subtype/CIDFontType2/BaseFont/%s"
            b"/CIDSystemInfo<</Registry(Adobe)/Ordering(Identity)/Supplement 0>>"
            b"/FontDescriptor %d 0 R/W[0[%s]]/CIDToGIDMap/Identity>>"
            % (called, descriptor, b" ".join(widths))
        )
        characters = add(stream(_characters(letters)))
        return add(
            b"<</Type/Font/Subtype/Type0/BaseFont/%s/Encoding/Identity-H"
            b"/DescendantFonts[%d 0 R]/ToUnicode %d 0 R>>" % (called, descendant, characters)
        )


@frozen
class _Facts:
    """What a file says of a typeface: entries of its descriptor, and 1000 units to the em over its
    own."""

    described: bytes
    scale: float


@cache
def _facts(name: str) -> _Facts:
    """The facts of a typeface by its tables `head`, `hhea` and `OS/2` (OpenType 1.9)."""
    face = typeface(name)
    scale = 1000 / face.units
    head, hhea, os2 = face.table("head"), face.table("hhea"), face.table("OS/2")
    box = [round(scale * edge) for edge in struct.unpack_from(">hhhh", head, 36)]
    ascent, descent = (round(scale * edge) for edge in struct.unpack_from(">hh", hhea, 4))
    version, weight = (struct.unpack_from(">H", os2, at)[0] for at in (0, 4))
    capital = round(scale * struct.unpack_from(">h", os2, 88)[0]) if version > 1 else ascent
    flags = _SYMBOLIC | (_FORCE_BOLD if weight > 600 else 0)
    # The thickness of stems is not in the tables: it follows from the weight, roughly.
    stem = 50 + int((weight / 65) ** 2)
    described = (
        b"/Flags %d/FontBBox[%d %d %d %d]/ItalicAngle 0/Ascent %d/Descent %d/CapHeight %d/StemV %d"
        % (flags, *box, ascent, descent, capital, stem)
    )
    return _Facts(described, scale)


def _characters(letters: list[str]) -> bytes:
    """The characters of the glyphs from 1 on."""
    rows = [
        f"<{code:04x}> <{letter.encode('utf-16-be').hex()}>"
        for code, letter in enumerate(letters, 1)
    ]
    pieces = [rows[start : start + _ROWS] for start in range(0, len(rows), _ROWS)]
    listed = "\n".join(
        f"{len(piece)} beginbfchar\n{chr(10).join(piece)}\nendbfchar" for piece in pieces
    )
    return (
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
        "/CIDSystemInfo <</Registry (Adobe) /Ordering (UCS) /Supplement 0>> def\n"
        "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"
        f"1 begincodespacerange\n<0000> <ffff>\nendcodespacerange\n{listed}\n"
        "endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n"
    ).encode()
