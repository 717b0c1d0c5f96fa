"""From the bytes of a file to pieces of its XML, nothing unpacked to disk and nothing trusted.

Takes the bytes of a `.musicxml`, `.xml` or `.mxl` file, gives the XML of its score in pieces of
bounded size. An `.mxl` file is a ZIP archive whose `META-INF/container.xml` names the score
(MusicXML 4.0, "Compressed .mxl files"). Only members that are asked for by name are read,
straight from memory, so a member's name can never become a path; a name that tries is refused all
the same. Sizes in the archive's directory are not believed: what comes out is counted while it
comes.
"""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from collections.abc import Iterator
from typing import IO, Final

from .container import score_member
from .faults import fault

#: The largest file, and the largest XML inside an archive, that is read (bytes).
MAX_BYTES: Final = 32 * 1024 * 1024
#: The largest archive (bytes): a lead sheet packs into a few thousand.
MAX_ARCHIVE_BYTES: Final = 8 * 1024 * 1024
#: The largest list of members of an archive (bytes).
MAX_DIRECTORY_BYTES: Final = 64 * 1024
#: The largest `container.xml` (bytes).
MAX_CONTAINER_BYTES: Final = 64 * 1024
_PIECE: Final = 1024 * 1024

_ZIP_MAGIC: Final = b"PK\x03\x04"
_CONTAINER: Final = "META-INF/container.xml"
#: Signature, disk numbers, member counts, directory size and offset, comment length (APPNOTE
#: 4.3.16).
_END_RECORD: Final = struct.Struct("<4s4H2LH")


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
    """The XML of the score in `data`, in pieces; at most `MAX_BYTES` in all.

    Raises ScoreError when the file is too large or its archive is not what the standard describes.
    """
    if data.startswith(_ZIP_MAGIC):
        yield from _unpacked(data)
    elif len(data) > MAX_BYTES:
        raise _too_large("the file")
    else:
        yield data


def _too_large(what: str) -> Exception:
    return fault(f"{what} is larger than {MAX_BYTES // 1024 // 1024} MB; no lead sheet is")


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
        NotImplementedError,
        struct.error,
    ) as error:
        raise fault(f"the .mxl archive is damaged: {error}") from error


def _check_directory(data: bytes) -> None:
    """Refuses an archive whose list of members is huge, before the list is built."""
    at = data.rfind(b"PK\x05\x06")
    if at < 0 or len(data) < at + _END_RECORD.size:
        raise fault("the .mxl archive is damaged: it has no end record")
    size = _END_RECORD.unpack_from(data, at)[5]
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
            if total > MAX_BYTES:
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
