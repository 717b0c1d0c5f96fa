"""The page: from a finished comping chart to positioned items, and from these to files."""

from .drawing.items import Document
from .drawing.style import Heading, PageStyle
from .layout import lay_out
from .write.pdf import write_pdf

__all__ = ["Document", "Heading", "PageStyle", "lay_out", "write_pdf"]
