"""The text of a sheet: its bytes, its lines and the kind of each line.

Sheets are UTF-8. `read_text` takes a file and gives its text; `read_lines` gives a `SourceLine` for
each line that is not blank. Kinds of lines:

- `comment`: `#` first; kept as written.
- `text`: text for the player, in quotes.
- `field`: `Name: value`.
- `label`: a section's label and a colon (`A:`), or the label in brackets (`[A]`).
- `again`: `A: again`, the section of that name played again.
- `music`: anything with bar lines, or signs alone (`D.C. al Fine`).

Full-width signs, odd spaces, curly quotes and the like are read as the signs of the format
(`plain`); each character is replaced by one character, so that columns stay the same.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

from ..errors import WHOLE_FILE, Problem, SheetError, SourcePosition
from ..mistakes import mistake
from .tokens import names_chord

LineKind = Literal["comment", "text", "field", "label", "again", "music"]

KNOWN_NAMES: Final = ("Title", "By", "Key", "Time", "Tempo", "Feel")
QUOTES: Final = '"“”„«»‟＂'
#: Look-alikes that Unicode's compatibility forms (UAX #15, NFKC) do not fold.
LOOK_ALIKES: Final = str.maketrans(
    {
        **dict.fromkeys("│┃∣❘❙❚ǀ¦￨", "|"),
        **dict.fromkeys("‐‑‒–—−", "-"),
        **dict.fromkeys("⁄∕╱", "/"),
        **dict.fromkeys("\u200b\u200c\u200d\u2060\ufeff\u00ad\ufe0e\ufe0f", " "),
        "∶": ":",
        "‹": "<",
        "›": ">",
        "⟨": "<",
        "⟩": ">",
    }
)


@dataclass(frozen=True, slots=True)
class SourceLine:
    """One line: its kind, its number from 1, and the parts of it that matter.

    `name` is the header's name or the section's label, `value` the rest, `column` where the value
    begins. `music` also carries the name of a label that stands before its bars on the same line.
    """

    kind: LineKind
    number: int
    value: str
    column: int = 1
    name: str = ""
    name_column: int = 1

    @property
    def position(self) -> SourcePosition:
        """Where its value begins."""
        return SourcePosition(self.number, self.column)

    @property
    def name_position(self) -> SourcePosition:
        """Where its name begins."""
        return SourcePosition(self.number, self.name_column)


_SIGNS = r"segno|coda|to\s+coda|fine|d\.?\s?[cs]\.?|da\s+capo|dal\s+segno|al\s+fine|al\s+coda|[𝄋𝄌⊕]"
_ONLY_SIGNS: Final = re.compile(rf"\s*(?>(?:{_SIGNS})[\s.]*)+$", re.IGNORECASE)
#: A name or a label, at most 59 characters (longer ones would make matching quadratic): no sign of
#: the format in it, no quote or remark sign first.
_NAME: Final = r"[^\s|:<>\[\]\"#/%“”„«»][^|:<>\[\]\"%]{0,58}?"
_NAMED: Final = re.compile(rf"(\s*)({_NAME})\s*:(?!\|)\s*")
_BRACKETED: Final = re.compile(rf"(\s*\[\s*)({_NAME})\s*\]\s*:?\s*$")
_BARS: Final = re.compile(r"[|‖𝄁𝄂𝄆𝄇]")


def known_name(name: str) -> str:
    """The header's name as it is spelled here, "" when it is not known."""
    return next((known for known in KNOWN_NAMES if known.lower() == name.lower()), "")


def plain(text: str) -> str:
    """The text with look-alike signs made the ones of the format, character by character."""
    if text.isascii():
        return text
    return "".join(_folded(char) for char in text).translate(LOOK_ALIKES)


def _folded(char: str) -> str:
    if char.isascii():
        return char
    folded = unicodedata.normalize("NFKC", char)
    return folded if len(folded) == 1 else char


def source_lines(text: str) -> list[str]:
    """The lines of a file for any line ends, without a byte order mark."""
    return re.split(r"\r\n|\r|\n", text.removeprefix("\ufeff"))


def read_lines(sources: list[str]) -> list[SourceLine]:
    """Every line that is not blank, in order; a line of no other kind is `music`."""
    return [
        _line(number, source, typed)
        for number, source in enumerate(sources, start=1)
        if (typed := plain(source)).strip()
    ]


def _line(number: int, source: str, typed: str) -> SourceLine:
    start = len(typed) - len(typed.lstrip())
    first = typed[start]
    if first == "#":
        return SourceLine("comment", number, source[start:].strip(), start + 1)
    if first in QUOTES:
        return SourceLine("text", number, _unquoted(source[start:].strip()), start + 1)
    bracketed = _BRACKETED.match(typed)
    if bracketed is not None:
        return SourceLine("label", number, "", 1, bracketed[2], len(bracketed[1]) + 1)
    named = _NAMED.match(typed)
    if named is not None:
        return _named_line(number, source, typed, named)
    return SourceLine("music", number, typed)


def _named_line(number: int, source: str, typed: str, named: re.Match[str]) -> SourceLine:
    """A line with a name and a colon first: a header, a label, a recall, or a label before bars."""
    name, name_column = named[2], len(named[1]) + 1
    end = named.end()
    value = typed[end:].strip()
    if not value:
        return SourceLine("label", number, "", end + 1, name, name_column)
    if not known_name(name):
        if value.lower() == "again":
            return SourceLine("again", number, value, end + 1, name, name_column)
        if _begins_music(value):
            return SourceLine("music", number, " " * end + typed[end:], end + 1, name, name_column)
    return SourceLine("field", number, " ".join(source[end:].split()), end + 1, name, name_column)


def _begins_music(value: str) -> bool:
    """Whether the text after a label is bars, with or without the first bar line."""
    return value.startswith(("|", "‖", "𝄆")) or ("|" in value and names_chord(value.split()[0]))


def is_music(text: str) -> bool:
    """Whether a line holds bar lines, or nothing but signs such as D.C. al Fine."""
    return bool(_BARS.search(text)) or bool(_ONLY_SIGNS.match(text))


def _unquoted(text: str) -> str:
    inside = text[1:]
    return " ".join((inside[:-1] if inside and inside[-1] in QUOTES else inside).split())


MAX_BYTES: Final = 4_000_000
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
    """The text of bytes. Raises SheetError with the reason when they are no UTF-8 text."""
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
    position = SourcePosition(len(before), len(before[-1]) + 1)
    return mistake("not-utf-8", position, offset=offset, byte=f"0x{data[offset]:02X}")
