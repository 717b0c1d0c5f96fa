"""The bytes of the faces that text is set in.

FiraGO (Open Font License) comes from the data package pymupdf-fonts, where it is compressed.
To unpack it is a good part of the work of a first page, but leaves the interpreter free for other
work meanwhile.
"""

from __future__ import annotations

from functools import cache
from importlib import import_module
from threading import Thread
from typing import Final

REGULAR: Final = "FiraGO-Regular"
BOLD: Final = "FiraGO-Bold"
_MODULES: Final = {REGULAR: "pymupdf_fonts.FiraGO_Regular", BOLD: "pymupdf_fonts.FiraGO_Bold"}


def unpack_ahead() -> None:
    """Begin to unpack the faces, so that they are there when a first page is laid out."""
    _unpacking()


@cache
def face_data(name: str) -> bytes:
    """The bytes of a face as TrueType. Raises KeyError for a name that is neither of the two."""
    for thread in _unpacking():
        thread.join()
    data: bytes = import_module(_MODULES[name]).fontbuffer
    return data


@cache
def _unpacking() -> tuple[Thread, ...]:
    threads = tuple(Thread(target=import_module, args=(module,)) for module in _MODULES.values())
    for thread in threads:
        thread.start()
    return threads
