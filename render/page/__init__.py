"""The page: from a finished comping chart to positioned items, and from these to files.

The names of `__all__` are imported when they are first asked for: the modules of the page read one
another without loading the whole layout.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .drawing import Document, Heading, PageStyle
    from .layout import lay_out
    from .write.pdf import write_pdf

__all__ = ["Document", "Heading", "PageStyle", "lay_out", "write_pdf"]

_MODULES = {"lay_out": "layout", "write_pdf": "write.pdf"}


def __getattr__(name: str) -> object:
    """A name of `__all__`, from its module. Raises AttributeError for any other name."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_MODULES.get(name, 'drawing')}"), name)
