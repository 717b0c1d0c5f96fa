"""The page: from a finished comping chart to positioned items, and from these to files."""

from .drawing import (
    Document,
    Heading,
    PageStyle,
)
from .layout import lay_out
from .write.pdf import write_pdf

__all__ = ["Document", "Heading", "PageStyle", "lay_out", "write_pdf"]
