"""The file of a ReportLab canvas: objects of our own in it, and its bytes.

Most objects of a chart's file are ours and known as bytes, and ReportLab takes longer to format
them, the list of forms of a page and the widths of letters than to draw the page. `write_file`
gives the bytes that ReportLab would give. ReportLab is imported on first use, for it is slow to
import.
"""

from __future__ import annotations

from functools import cache
from io import BytesIO
from itertools import count
from typing import TYPE_CHECKING, Any
from zlib import compress

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas


class FileObjects:
    """The objects of a canvas's file, by name and by number."""

    def __init__(self, canvas: Canvas) -> None:
        self._canvas: Any = canvas
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

    def add_form(self, name: str, data: bytes) -> None:
        """Add a form, an object that pages place by its name."""
        self.add(f"FormXob.{name}", data)

    def use_form(self, name: str) -> str:
        """The name by which the page that is being drawn places a form; it lists it then."""
        used: list[str] = self._canvas._formsinuse
        if name not in used:
            used.append(name)
        # A page lists its forms under the name that ReportLab makes of theirs.
        return f"FormXob.{name}"

    def reference(self, name: str) -> Any:
        """A reference to an object that is there."""
        return self.document.Reference(self.document.idToObject[name])


def stream(data: bytes, entries: bytes = b"") -> bytes:
    """An object that holds data, compressed, with the entries of its dictionary."""
    code = compress(data)
    head = b"<<%s/Filter/FlateDecode/Length %d>>" % (entries, len(code))
    return b"%s\nstream\n%s\nendstream" % (head, code)


@cache
def _raw_class() -> type[Any]:
    """The class of an object that is written as its bytes."""
    from reportlab.pdfbase.pdfdoc import PDFObject

    class Raw(PDFObject):  # type: ignore[misc]
        __RefOnly__ = 1

        def __init__(self, data: bytes) -> None:
            self.data = data

        def format(self, document: object) -> bytes:
            return self.data

    return Raw


def write_file(canvas: Canvas) -> bytes:
    """The bytes of the file of a canvas whose pages are all shown; it can be written once."""
    document: Any = canvas._doc
    document.__class__ = _document_class()
    canvas.save()
    target: BytesIO = canvas._filename
    return target.getvalue()


@cache
def _document_class() -> type[Any]:
    """ReportLab's document, which formats what is ours by itself."""
    from reportlab.pdfbase.pdfdoc import PDFDocument, PDFTrailer

    class Document(PDFDocument):  # type: ignore[misc]
        def format(self) -> bytes:
            self.encrypt.prepare(self)
            parts = [b"%%PDF-%d.%d\n" % self._pdfVersion, _SECOND_LINE]
            offset, offsets = sum(map(len, parts)), list[int]()
            # Objects may be added while others are formatted.
            for number in count(1):
                if number not in self.numberToId:
                    break
                offsets.append(offset)
                data = _formatted(self.idToObject[self.numberToId[number]], self)
                end = b"" if data.endswith(b"\n") else b"\n"
                parts.append(b"%d 0 obj\n%s%sendobj\n" % (number, data, end))
                offset += len(parts[-1])
            rows = b"".join(b"%010d 00000 n \n" % place for place in offsets)
            head = b"xref\n0 %d\n0000000000 65535 f \n" % (len(offsets) + 1)
            trailer = PDFTrailer(
                startxref=offset,
                Size=len(offsets) + 1,
                Root=self.Reference(self.Catalog),
                Info=self.Reference(self.info),
                ID=self.ID(),
            )
            return b"".join((*parts, head, rows, trailer.format(self)))

    return Document


#: The comment behind the version, whose bytes tell that the file is binary.
_SECOND_LINE = b"%\223\214\213\236 ReportLab Generated PDF document (opensource)\n"


def _formatted(item: Any, document: Any) -> bytes:
    """The bytes of an object; ReportLab formats what is not ours."""
    if type(item) is _raw_class():
        data: bytes = item.data
        return data
    from reportlab.pdfbase.pdfdoc import PDFPage, PDFTrueTypeFont

    if isinstance(item, PDFPage) and item.XObjects:
        item.check_format(document)
        item.Resources = _resources(item.XObjects.dict, document)
    elif isinstance(item, PDFTrueTypeFont):
        item.Widths = _numbers(item.Widths)
    formatted: bytes = item.format(document)
    return formatted


def _resources(forms: dict[str, Any], document: Any) -> bytes:
    """The resources of a page: the fonts and its forms."""
    fonts, _ = document.idToObjectNumberAndVersion["BasicFonts"]
    names = [
        b"/%s %d %d R" % (name.encode(), *document.idToObjectNumberAndVersion[form.name])
        for name, form in sorted(forms.items())
    ]
    kinds = b"/PDF /Text /ImageB /ImageC /ImageI"
    listed = _broken(names, 6)
    return b"<<\n/Font %d 0 R /ProcSet [ %s ] /XObject <<\n%s\n>>\n>>" % (fonts, kinds, listed)


def _numbers(widths: Any) -> Any:
    """An array of whole numbers as bytes; any other array as it is."""
    numbers = widths.sequence
    if any(type(number) is not int for number in numbers):
        return widths
    return b"[ %s ]" % _broken([b"%d" % number for number in numbers], 10)


def _broken(parts: list[bytes], most: int) -> bytes:
    """Parts in lines of so many at most, a blank between."""
    lines = (b" ".join(parts[start : start + most]) for start in range(0, len(parts), most))
    return b" \n  ".join(lines)
