"""XML of a score from the bytes of a file that is not trusted.

`xml_pieces` takes the bytes of a `.musicxml`, `.xml` or `.mxl` file and gives the XML of its score
in pieces of bounded size; `make_parser` and `feed` parse them; a `Node` is one element.

A document type may be named, as MusicXML files do, but is never fetched. One that the file declares
itself (an internal subset) is refused before it is read, so that no entity can be expanded and no
list of attributes grow. Nesting, the number of elements and the length of a text are bounded.

An `.mxl` file is a ZIP archive whose `META-INF/container.xml` names the score: its first
`rootfile`, whatever its media type (MusicXML 4.0, "Compressed .mxl files" and "container.xsd").
Members are read in memory and by name, so a member's name never becomes a path; a name that leads
out of the archive is refused too. The sizes in the archive's directory are not trusted: output is
counted as it is unpacked.

Raises ScoreError, with its position in the file; `read_musicxml` raises it on as SheetError.
"""

from __future__ import annotations

import io
import re
import struct
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import lru_cache
from typing import IO, Final
from xml.parsers import expat

from ..errors import WHOLE_FILE, MidneckError, Problem, SourcePosition
from ..frozen import frozen
from ..limits import (
    MAX_ARCHIVE_BYTES,
    MAX_CONTAINER_BYTES,
    MAX_DIRECTORY_BYTES,
    MAX_SCORE_BYTES,
)


class ScoreError(MidneckError):
    """Reading cannot go on; `problem` has position and reason. It never leaves this package."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.message)
        self.problem = problem


def fault(message: str, position: SourcePosition = WHOLE_FILE, text: str = "") -> ScoreError:
    """An error at `position` about the offending `text`, of which 80 characters are kept."""
    return ScoreError(Problem(position, message, text=text[:80]))


def position_of(parser: expat.XMLParserType) -> SourcePosition:
    """The position of the parser in the file."""
    return SourcePosition(parser.CurrentLineNumber, parser.CurrentColumnNumber + 1)


def make_parser() -> expat.XMLParserType:
    """A parser that refuses a document type with declarations; the caller sets other handlers."""
    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)

    def refuse_subset(name: str, system: str | None, public: str | None, subset: bool) -> None:
        if subset:
            raise fault(
                "the file declares XML entities or a document type of its own; a score needs none, "
                "so it is not read",
                position_of(parser),
                name,
            )

    def refuse_external(context: str | None, *_: object) -> int:
        raise fault("the file asks for another file; that is not followed", text=context or "")

    parser.StartDoctypeDeclHandler = refuse_subset
    parser.ExternalEntityRefHandler = refuse_external
    return parser


def feed(parser: expat.XMLParserType, pieces: Iterable[bytes]) -> None:
    """Parse all `pieces`. Raises ScoreError where they are not well-formed XML."""
    try:
        for piece in pieces:
            parser.Parse(piece, False)
        parser.Parse(b"", True)
    except expat.ExpatError as error:
        reason = expat.ErrorString(error.code)
        position = SourcePosition(error.lineno, error.offset + 1)
        raise fault(f"the file is not well-formed XML: {reason}", position) from error
    except (LookupError, ValueError) as error:
        raise fault(f"the file's text encoding cannot be read: {error}") from error


#: Numbers of up to nine digits: enough for any score, and quick to convert.
_DECIMAL: Final = re.compile(r"[+-]?(?:\d{1,9}(?:\.\d{0,9})?|\.\d{1,9})\Z", re.ASCII)


@frozen
class Node:
    """An XML element: `text` is its own, spaces folded; `children` are those that are kept."""

    name: str
    attributes: dict[str, str]
    text: str
    children: tuple[Node, ...]
    position: SourcePosition

    def find(self, name: str) -> Node | None:
        """The first child of that name."""
        return next(self.all(name), None)

    def all(self, name: str) -> Iterator[Node]:
        """The children of that name, in order."""
        return (child for child in self.children if child.name == name)

    def text_of(self, name: str) -> str:
        """The text of the first child of that name, "" when there is none."""
        child = self.find(name)
        return "" if child is None else child.text

    def number(self) -> Fraction:
        """Its text as an exact number. Raises ScoreError when it is none."""
        return number(self.text, self)

    def number_of(self, name: str, default: int = 0) -> Fraction:
        """The number in the first child of that name, `default` when there is none."""
        child = self.find(name)
        return Fraction(default) if child is None else child.number()

    def fault(self, message: str) -> ScoreError:
        """An error at the position of this element."""
        return fault(message, self.position, self.text or self.name)


def number(text: str, at: Node) -> Fraction:
    """A decimal number of up to nine digits on each side of its point, exact."""
    found = _decimal(text)
    if found is None:
        raise at.fault(f"<{at.name}> should hold a number")
    return found


@lru_cache(maxsize=1024)
def _decimal(text: str) -> Fraction | None:
    return Fraction(text) if _DECIMAL.match(text) else None


def score_member(container: bytes) -> str:
    """The name of the archive's score by its `container.xml`. Raises ScoreError for none."""
    paths: list[str] = []
    parser = make_parser()

    def start(name: str, attributes: dict[str, str]) -> None:
        if name.rpartition(":")[2] == "rootfile" and "full-path" in attributes:
            paths.append(attributes["full-path"])

    parser.StartElementHandler = start
    feed(parser, [container])
    if not paths:
        raise fault("META-INF/container.xml in the .mxl archive names no score")
    return paths[0]


_PIECE: Final = 1024 * 1024

_ZIP_MAGIC: Final = b"PK\x03\x04"
_CONTAINER: Final = "META-INF/container.xml"
#: Signature, disk numbers, member counts, directory size and offset, comment length (APPNOTE
#: 4.3.16).
_END_RECORD: Final = struct.Struct("<4s4H2LH")
#: What stands before the end record of an archive whose sizes are in another record (APPNOTE
#: 4.3.15), which overrides the sizes of the end record.
_LOCATOR: Final = b"PK\x06\x07"
_LOCATOR_SIZE: Final = 20


def looks_like_musicxml(data: bytes) -> bool:
    """Whether `data` seems to be MusicXML: a ZIP archive, or XML whose root is a score."""
    if data.startswith(_ZIP_MAGIC):
        return True
    head = data[:8192]
    if head.startswith((b"\xff\xfe", b"\xfe\xff")) or head[:4] in (b"<\0?\0", b"\0<\0?"):
        head = head.replace(b"\0", b"")
    text = head.removeprefix(b"\xef\xbb\xbf").lstrip(b"\xff\xfe \t\r\n")
    return text.startswith(b"<") and (
        b"<score-partwise" in head or b"<score-timewise" in head or text.startswith(b"<?xml")
    )


def xml_pieces(data: bytes) -> Iterator[bytes]:
    """The XML of the score in `data`, in pieces; at most `MAX_SCORE_BYTES` in all.

    Raises ScoreError when the file is too large or its archive is not what the standard describes.
    """
    if data.startswith(_ZIP_MAGIC):
        yield from _unpacked(data)
    elif len(data) > MAX_SCORE_BYTES:
        raise _too_large("the file")
    else:
        yield data


def _too_large(what: str) -> Exception:
    return fault(f"{what} is larger than {MAX_SCORE_BYTES // 1024 // 1024} MB; no lead sheet is")


def _unpacked(data: bytes) -> Iterator[bytes]:
    if len(data) > MAX_ARCHIVE_BYTES:
        limit = MAX_ARCHIVE_BYTES // 1024 // 1024
        raise fault(f"the .mxl archive is larger than {limit} MB; no lead sheet is")
    _check_directory(data)
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            yield from _score_pieces(archive)
    except (
        zipfile.BadZipFile,
        zlib.error,
        EOFError,
        OSError,
        ValueError,
        RuntimeError,
        struct.error,
    ) as error:
        raise fault(f"the .mxl archive is damaged: {error}") from error


def _check_directory(data: bytes) -> None:
    """Refuse an archive whose list of members is huge, before the list is built."""
    at = data.rfind(b"PK\x05\x06")
    if at < 0 or len(data) < at + _END_RECORD.size:
        raise fault("the .mxl archive is damaged: it has no end record")
    size = _END_RECORD.unpack_from(data, at)[5]
    if data[max(0, at - _LOCATOR_SIZE) : at].startswith(_LOCATOR):
        raise fault("the .mxl archive is of the kind for more than 4 GB (ZIP64); no lead sheet is")
    if size > MAX_DIRECTORY_BYTES:
        raise fault("the .mxl archive lists too many members; a score has a handful")


def _score_pieces(archive: zipfile.ZipFile) -> Iterator[bytes]:
    names = archive.namelist()
    name = _score_name(archive, names)
    if name not in names:
        raise fault("the .mxl archive does not hold the score that it names", text=name)
    with _opened(archive, name) as member:
        total = 0
        while piece := member.read(_PIECE):
            total += len(piece)
            if total > MAX_SCORE_BYTES:
                raise _too_large("the score in the .mxl archive")
            yield piece


def _score_name(archive: zipfile.ZipFile, names: list[str]) -> str:
    if _CONTAINER not in names:
        scores = sorted(name for name in names if name.lower().endswith((".xml", ".musicxml")))
        if len(scores) == 1:
            return _safe(scores[0])
        raise fault(f"the .mxl archive has no {_CONTAINER} that names its score")
    with _opened(archive, _CONTAINER) as member:
        container = member.read(MAX_CONTAINER_BYTES + 1)
    if len(container) > MAX_CONTAINER_BYTES:
        raise fault(f"{_CONTAINER} in the .mxl archive is too large")
    return _safe(score_member(container))


def _safe(name: str) -> str:
    parts = name.replace("\\", "/").split("/")
    if ".." in parts or name.startswith(("/", "\\")) or ":" in parts[0] or "\0" in name:
        raise fault("the .mxl archive names a score outside itself", text=name)
    return name


def _opened(archive: zipfile.ZipFile, name: str) -> IO[bytes]:
    info = archive.getinfo(name)
    if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise fault("the .mxl archive is packed with a method other than deflate", text=name)
    if info.flag_bits & 0x1:
        raise fault("the .mxl archive is locked with a password", text=name)
    return archive.open(info)
