"""The text of a sheet's bytes: which encoding they are in, and what is no text at all.

`decode` takes bytes and gives their text, with a remark where the encoding is not UTF-8. Files of
another kind are named by their first bytes.
"""

from __future__ import annotations

from typing import Final

from ..errors import WHOLE_FILE, Problem, SheetError, SourcePosition
from ..frozen import frozen
from ..limits import MAX_TEXT_BYTES
from ..mistakes import mistake
from .source import source_lines

READ_KINDS: Final = "a sheet as UTF-8 text (.txt), ABC (.abc), or MusicXML (.musicxml, .xml, .mxl)"

#: First bytes of files of another kind (PDF ISO 32000-1 7.5.2, ZIP APPNOTE 4.3.7, Standard MIDI
#: File 1.0, PNG, JPEG, GIF, RIFF, gzip RFC 1952, OLE compound file MS-CFB).
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
)
_MARKUP: Final = ((b"<!doctype html", "a web page"), (b"<html", "a web page"), (b"<?xml", "XML"))


@frozen
class DecodedText:
    """The text of bytes; `remark` tells of an encoding that is not UTF-8, "" for UTF-8."""

    text: str
    remark: str = ""


def decode(data: bytes, name: str = "") -> DecodedText:
    """The text of bytes: UTF-8, UTF-16, or Windows-1252 where every byte is a printed character.

    Raises SheetError with the reason when they are no text; `name` stands in the message.
    """
    wide = _utf_16(data)
    if wide is not None:
        return wide
    problem = _refusal(data)
    if problem is None:
        try:
            return DecodedText(data.decode("utf-8"))
        except UnicodeDecodeError as error:
            problem = _bad_byte(data, error.start)
        western = _windows_1252(data)
        if western is not None:
            return western
    raise SheetError((problem,), name)


_SAVE: Final = "save it as UTF-8 if a sign is wrong"


def _utf_16(data: bytes) -> DecodedText | None:
    """The text of UTF-16 with its byte order mark, or whose first characters are ASCII.

    None for other bytes. Byte order mark: Unicode Standard, 23.8.
    """
    start = data[:64]
    evens, odds = start[::2].count(0), start[1::2].count(0)
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        codec = "utf-16"
    elif not evens and odds > len(start) // 3:
        codec = "utf-16-le"
    elif not odds and evens > len(start) // 3:
        codec = "utf-16-be"
    else:
        return None
    if len(data) > MAX_TEXT_BYTES:
        return None
    try:
        return DecodedText(data.decode(codec), f"the file is UTF-16 and is read as that; {_SAVE}")
    except UnicodeDecodeError:
        return None


def _windows_1252(data: bytes) -> DecodedText | None:
    """The text of Windows-1252 (the code page of Western Windows), None where it can be none."""
    if data.startswith(b"\xef\xbb\xbf"):
        return None
    try:
        text = data.decode("cp1252")
    except UnicodeDecodeError:
        return None
    printed = text.translate(dict.fromkeys(map(ord, "\t\r\n\f\xa0\xad")))
    remark = f"the file is not UTF-8; it is read as Windows-1252; {_SAVE}"
    return DecodedText(text, remark) if printed.isprintable() else None


def _refusal(data: bytes) -> Problem | None:
    if len(data) > MAX_TEXT_BYTES:
        return mistake("too-large", WHOLE_FILE, most=MAX_TEXT_BYTES)
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
    position = SourcePosition(len(before), len(before[-1]) + 1)
    return mistake("not-utf-8", position, offset=offset, byte=f"0x{data[offset]:02X}")
