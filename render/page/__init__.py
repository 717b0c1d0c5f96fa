"""The page: from a finished comping chart to positioned items, and from these to files."""

from .items import Document
from .layout import lay_out
from .pdf import write_pdf
from .style import Heading, PageStyle

__all__ = ["Document", "Heading", "PageStyle", "lay_out", "write_pdf"]
