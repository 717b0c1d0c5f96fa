"""From the bytes of a file to its text, or to the reason why it holds none.

Sheets are UTF-8. Files of another kind are told by their first bytes (signatures as the formats'
own specifications give them: PDF ISO 32000-1 7.5.2, ZIP APPNOTE 4.3.7, Standard MIDI File 1.0, PNG,
JPEG, GIF, RIFF, gzip RFC 1952, OLE compound file MS-CFB).
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

from .errors import Problem, SheetError
from .lines import source_lines
from .mistakes import mistake
from .sheet import WHOLE_FILE, Place

MAX_BYTES: Final = 4_000_000
READ_KINDS: Final = "a sheet as UTF-8 text (.txt), or MusicXML (.musicxml, .xml, .mxl)"

_SIGNATURES: Final = (
    (b"%PDF", "a PDF file"),
    (b"PK\x03\x04", "a ZIP archive"),
    (b"MThd", "a MIDI file"),
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"RIFF", "a sound or video file"),
    (b"ID3", "a sound file"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"\xd0\xcf\x11\xe0", "an office document"),
    (b"{\\rtf", "a rich text document"),
    (b"\xff\xfe", "UTF-16 text"),
    (b"\xfe\xff", "UTF-16 text"),
)
_MARKUP: Final = ((b"<!doctype html", "a web page"), (b"<html", "a web page"), (b"<?xml", "XML"))


def read_text(path: Path) -> str:
    """The text of a file. Raises SheetError when it holds none, OSError when it cannot be read."""
    with path.open("rb") as file:
        data = file.read(MAX_BYTES + 1)
    return decoded(data, path.name)


def decoded(data: bytes, name: str = "") -> str:
    """The text that bytes hold. Raises SheetError with the reason when they hold none."""
    problem = _refusal(data)
    if problem is None:
        try:
            return data.decode("utf-8")
        except UnicodeDecodeError as error:
            problem = _bad_byte(data, error.start)
    raise SheetError((problem,), name)


def _refusal(data: bytes) -> Problem | None:
    if len(data) > MAX_BYTES:
        return mistake("too-large", WHOLE_FILE, most=MAX_BYTES)
    start = data[:64].removeprefix(b"\xef\xbb\xbf").lstrip().lower()
    for signature, kind in _SIGNATURES:
        # A section may be called RIFF.
        if data.startswith(signature) and not data.startswith(signature + b":"):
            return mistake("other-kind", WHOLE_FILE, kind=kind, read=READ_KINDS)
    for signature, kind in _MARKUP:
        if start.startswith(signature):
            return mistake("other-kind", WHOLE_FILE, kind=kind, read=READ_KINDS)
    if b"\0" in data:
        return mistake("binary-file", WHOLE_FILE, offset=data.index(b"\0"), read=READ_KINDS)
    return None


def _bad_byte(data: bytes, offset: int) -> Problem:
    """Where the bytes stop being UTF-8: the offset in the file, and the line and column there."""
    before = source_lines(data[:offset].decode("utf-8"))
    place = Place(len(before), len(before[-1]) + 1)
    return mistake("not-utf-8", place, offset=offset, byte=f"0x{data[offset]:02X}")
