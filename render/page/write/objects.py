"""Objects of our own in a PDF that ReportLab writes: they are bytes as they stand in the file."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas


class FileObjects:
    """The objects of a canvas's file, by name and by number."""

    def __init__(self, canvas: Canvas) -> None:
        # A canvas has no public way to its document.
        self.document: Any = canvas._doc

    def add(self, name: str, data: bytes) -> Any:
        """A reference to a new object with these bytes."""
        return self.document.Reference(_raw_class()(data), name)

    def number_of(self, name: str) -> int:
        """The number of the object with a name."""
        number: int = self.document.idToObjectNumberAndVersion[name][0]
        return number

    def reserve(self, name: str) -> int:
        """The number of a new object, to be filled later."""
        self.add(name, b"")
        return self.number_of(name)

    def fill(self, number: int, data: bytes) -> None:
        """Give a reserved object its bytes."""
        self.document.idToObject[self.document.numberToId[number]].data = data

    def reference(self, name: str) -> Any:
        """A reference to an object that is there."""
        return self.document.Reference(self.document.idToObject[name])


@cache
def _raw_class() -> type[Any]:
    """The class of an object that is written as its bytes; ReportLab is slow to import."""
    from reportlab.pdfbase.pdfdoc import PDFObject

    class Raw(PDFObject):  # type: ignore[misc]
        __RefOnly__ = 1

        def __init__(self, data: bytes) -> None:
            self.data = data

        def format(self, document: object) -> bytes:
            return self.data

    return Raw
