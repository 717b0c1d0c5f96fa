"""Write a page as PNG (ISO/IEC 15948), through the PDF.

PDFium draws the page in greys, Pillow writes the file; the same page gives the same bytes. Both are
imported on first use, for they are slow to import.
"""

from __future__ import annotations

from io import BytesIO

from ...stamps import MARK
from ..drawing.items import Document
from ..drawing.style import USUAL_DPI
from .pdf import write_pdf


def write_png(document: Document, page: int = 0, dpi: float = USUAL_DPI) -> bytes:
    """One page (from 0) of a document as a greyscale PNG of `dpi` dots an inch.

    The program and the document's stamp stand in the text chunks `Software` and `Comment`. Raises
    IndexError when there is no such page.
    """
    import pypdfium2
    from PIL.PngImagePlugin import PngInfo

    if page >= len(document.pages):
        raise IndexError(f"the document has {len(document.pages)} pages, none is page {page}")
    info = PngInfo()
    info.add_text("Software", MARK)
    if document.stamp:
        info.add_text("Comment", document.stamp)
    target = BytesIO()
    drawn = pypdfium2.PdfDocument(write_pdf(document))
    try:
        image = drawn[page].render(scale=dpi / 72.0, grayscale=True).to_pil()
        image.save(target, "PNG", dpi=(dpi, dpi), pnginfo=info)
    finally:
        drawn.close()
    return target.getvalue()
