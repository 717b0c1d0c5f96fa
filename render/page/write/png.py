"""Write a page as PNG (ISO/IEC 15948), through the PDF.

PDFium draws the page in greys, Pillow writes the file; the same page gives the same bytes. Both are
imported on first use, for they are slow to import.
"""

from __future__ import annotations

from io import BytesIO
from threading import Lock
from typing import TYPE_CHECKING

from ...stamps import MARK
from ..drawing.items import Document
from ..drawing.style import USUAL_DPI
from .pdf import write_pdf

if TYPE_CHECKING:
    from PIL.Image import Image

#: PDFium serves one thread at a time.
_PDFIUM = Lock()


def write_png(document: Document, page: int = 0, dpi: float = USUAL_DPI) -> bytes:
    """One page (from 0) of a document as a greyscale PNG of `dpi` dots an inch.

    The program and the document's stamp stand in the text chunks `Software` and `Comment`. Raises
    IndexError when there is no such page.
    """
    from PIL.PngImagePlugin import PngInfo

    if page >= len(document.pages):
        raise IndexError(f"the document has {len(document.pages)} pages, none is page {page}")
    info = PngInfo()
    info.add_text("Software", MARK)
    if document.stamp:
        info.add_text("Comment", document.stamp)
    target = BytesIO()
    data = write_pdf(document)
    with _PDFIUM:
        image = _drawn(data, page, dpi)
    image.save(target, "PNG", dpi=(dpi, dpi), pnginfo=info)
    return target.getvalue()


def _drawn(data: bytes, page: int, dpi: float) -> Image:
    """A page of a PDF file as a greyscale image with pixels of its own."""
    import pypdfium2

    file = pypdfium2.PdfDocument(data)
    try:
        image: Image = file[page].render(scale=dpi / 72.0, grayscale=True).to_pil().copy()
    finally:
        file.close()
    return image
