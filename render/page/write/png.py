"""Write a page as PNG (ISO/IEC 15948), through the PDF.

PDFium draws the page in greys; the same page gives the same bytes. PDFium is imported on first use.
"""

from __future__ import annotations

import struct
import zlib

from ...output import MARK
from ..drawing.items import Document
from .pdf import write_pdf


def write_png(document: Document, page: int = 0, dpi: float = 150.0) -> bytes:
    """One page of a document as a greyscale PNG of `dpi` dots an inch.

    Raises IndexError when there is no such page.
    """
    import pypdfium2

    drawn = pypdfium2.PdfDocument(write_pdf(document))
    try:
        if page >= len(document.pages):
            raise IndexError(f"the document has {len(document.pages)} pages, none is page {page}")
        bitmap = drawn[page].render(scale=dpi / 72.0, grayscale=True)
        rows = bytes(bitmap.buffer)
        lines = [
            b"\0" + rows[at : at + bitmap.width]
            for at in range(0, bitmap.stride * bitmap.height, bitmap.stride)
        ]
        return _png((bitmap.width, bitmap.height), b"".join(lines), dpi, document.stamp)
    finally:
        drawn.close()


def _png(size: tuple[int, int], raw: bytes, dpi: float, stamp: str) -> bytes:
    """Greyscale rows, each led by its filter byte, as a PNG file."""
    dots = round(dpi / 0.0254)
    said = {"Software": MARK, "Comment": stamp} if stamp else {"Software": MARK}
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        (
            _chunk(b"IHDR", struct.pack(">LLBBBBB", *size, 8, 0, 0, 0, 0)),
            _chunk(b"pHYs", struct.pack(">LLB", dots, dots, 1)),
            *(_chunk(b"tEXt", f"{name}\0{text}".encode("latin-1")) for name, text in said.items()),
            _chunk(b"IDAT", zlib.compress(raw, 9)),
            _chunk(b"IEND", b""),
        )
    )


def _chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">L", len(data)) + name + data + struct.pack(">L", zlib.crc32(name + data))
