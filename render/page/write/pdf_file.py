"""The objects of a PDF file and its bytes (ISO 32000-1:2008, 7.3 and 7.5).

Objects are bytes, numbered from 1 in the order in which they are asked for. The same objects give
the same file: it holds no time, and its identifier is a digest of them.
"""

from __future__ import annotations

from hashlib import blake2b
from zlib import compress

from ....grammar.foreign_text import harmless

#: The version, and a comment whose bytes tell that the file is binary (7.5.2).
_HEAD = b"%PDF-1.7\n%\xb5\xb6\xb7\xb8\n"


class PdfFile:
    """The objects of a file while it grows."""

    def __init__(self) -> None:
        self._objects: list[bytes] = []

    def add(self, data: bytes) -> int:
        """The number of a new object with these bytes."""
        self._objects.append(data)
        return len(self._objects)

    def reserve(self) -> int:
        """The number of a new object, to be filled later."""
        return self.add(b"")

    def fill(self, number: int, data: bytes) -> None:
        """Give a reserved object its bytes."""
        self._objects[number - 1] = data

    def written(self, root: int, info: int) -> bytes:
        """The file, by the numbers of its catalogue and of the facts about it."""
        parts, offset = [_HEAD], len(_HEAD)
        rows = [b"0000000000 65535 f \n"]
        for number, data in enumerate(self._objects, 1):
            rows.append(b"%010d 00000 n \n" % offset)
            parts.append(b"%d 0 obj\n%s\nendobj\n" % (number, data))
            offset += len(parts[-1])
        count = len(rows)
        name = blake2b(b"".join(parts), digest_size=16).hexdigest().encode()
        trailer = b"trailer\n<</Size %d/Root %d 0 R/Info %d 0 R/ID[<%s><%s>]>>\n" % (
            count, root, info, name, name,
        )  # fmt: skip
        table = b"xref\n0 %d\n%s" % (count, b"".join(rows))
        return b"".join((*parts, table, trailer, b"startxref\n%d\n%%%%EOF\n" % offset))


def stream(data: bytes, entries: bytes = b"") -> bytes:
    """An object that holds data, compressed, with the entries of its dictionary."""
    code = compress(data)
    head = b"<<%s/Filter/FlateDecode/Length %d>>" % (entries, len(code))
    return b"%s\nstream\n%s\nendstream" % (head, code)


def references(numbers: list[int]) -> bytes:
    """References to objects, a blank between them."""
    return b" ".join([b"%d 0 R" % number for number in numbers])


def number(value: float) -> bytes:
    """A number with at most four decimals."""
    return f"{value:.4f}".rstrip("0").rstrip(".").encode()


def string(text: str) -> bytes:
    """A text as a string: ASCII as it is, any other in UTF-16 (7.9.2.2)."""
    text = harmless(text)
    data = text.encode() if text.isascii() else b"\xfe\xff" + text.encode("utf-16-be")
    for sign in (b"\\", b"(", b")"):
        data = data.replace(sign, b"\\" + sign)
    return b"(" + data.replace(b"\r", b"\\r") + b")"
