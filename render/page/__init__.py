"""The page: from a finished comping chart to positioned items, and from these to files.

The public names are imported at their first use: who needs one module does not load the layout.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from .. import lazy_names

if TYPE_CHECKING:
    from .drawing.items import Document
    from .drawing.style import Heading, PageStyle
    from .drill.layout import lay_out_drill
    from .layout import lay_out
    from .write.pdf import write_pdf
    from .write.png import write_png
    from .write.svg import write_svg

__all__ = [
    "Document",
    "Heading",
    "PageStyle",
    "lay_out",
    "lay_out_drill",
    "write_pdf",
    "write_png",
    "write_svg",
]

#: The modules that hold the public names.
_MODULES: Final = {
    "Document": "drawing.items",
    "Heading": "drawing.style",
    "PageStyle": "drawing.style",
    "lay_out": "layout",
    "lay_out_drill": "drill.layout",
    "write_pdf": "write.pdf",
    "write_png": "write.png",
    "write_svg": "write.svg",
}

__getattr__ = lazy_names(__name__, _MODULES)
