"""Where sheets come from: files, folders and standard input, read in the key that is asked for.

Takes names as a user types them, gives `Sheet` values. The kind of a file is told by what it holds,
not by its name.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Final

from ..converter.harmony import key_of
from ..grammar.form.unfold import unfold
from ..grammar.key import Key, parse_key
from ..grammar.sheet import Sheet
from ..grammar.text.reader import read_sheet
from ..grammar.text.source import MAX_BYTES, decoded
from ..grammar.transpose import instrument_interval, interval_for, interval_to_key, transpose_sheet

STDIN: Final = "-"
#: The endings by which scores are found in a folder, and all sheets.
SCORES: Final = (".musicxml", ".xml", ".mxl")
SUFFIXES: Final = (".txt", *SCORES)


@dataclass(frozen=True, slots=True)
class KeyChoice:
    """The key to read a sheet in: a named key, semitones up or down, an instrument's part."""

    key: str | None = None
    up: int = 0
    down: int = 0
    instrument: str | None = None


def files_in(names: Iterable[str]) -> list[str]:
    """The sheets that names stand for: files as they are, folders by what they hold, sorted."""
    found: list[str] = []
    for name in names:
        path = Path(name)
        if name != STDIN and path.is_dir():
            inside = sorted(one for one in path.iterdir() if one.suffix.lower() in SUFFIXES)
            found += [str(one) for one in inside]
        else:
            found.append(name)
    return found


@dataclass(frozen=True, slots=True)
class Source:
    """What a file or standard input holds, and the name that mistakes in it are told with."""

    data: bytes
    name: str


def load(name: str, choice: KeyChoice | None = None) -> Sheet:
    """The sheet of a name, moved to the chosen key. Raises SheetError or OSError."""
    return read(fetch(name), choice)


def fetch(name: str) -> Source:
    """What a file or standard input holds, to just past the limit of its kind. Raises OSError."""
    if name == STDIN:
        if sys.stdin is None:
            raise OSError("standard input is closed")
        return Source(_limited(sys.stdin.buffer), "standard input")
    with Path(name).open("rb") as file:
        return Source(_limited(file), Path(name).name)


def read(source: Source, choice: KeyChoice | None = None) -> Sheet:
    """The sheet in a source, moved to the chosen key. Raises SheetError."""
    return in_key(_read(source), choice or KeyChoice())


def is_score(source: Source) -> bool:
    """Whether a source holds MusicXML, whatever it is called."""
    if not _may_be_score(source.data):
        return False
    from ..grammar.musicxml import looks_like_musicxml

    return looks_like_musicxml(source.data)


def in_key(sheet: Sheet, choice: KeyChoice) -> Sheet:
    """The sheet in the key that is asked for. Raises ValueError when the key has no such name."""
    if choice == KeyChoice():
        return sheet
    home = sheet.header.key or key_of(sheet, unfold(sheet))
    if choice.key is not None:
        sheet, home = _moved_to(sheet, home, parse_key(choice.key))
    if choice.up != choice.down:
        interval = interval_for(home, choice.up - choice.down)
        sheet = transpose_sheet(sheet, interval, home)
        home = Key(home.tonic.up(interval), home.mode)
    if choice.instrument is not None:
        sheet = transpose_sheet(sheet, instrument_interval(home, choice.instrument), home)
    return sheet


def _moved_to(sheet: Sheet, home: Key, target: Key) -> tuple[Sheet, Key]:
    interval = interval_to_key(home, target)
    return transpose_sheet(sheet, interval, home), Key(home.tonic.up(interval), home.mode)


def _limited(file: BinaryIO) -> bytes:
    data = file.read(MAX_BYTES + 1)
    if len(data) > MAX_BYTES and _may_be_score(data):
        from ..grammar.musicxml import MAX_BYTES as MAX_SCORE_BYTES

        data += file.read(MAX_SCORE_BYTES + 1 - len(data))
    return data


def _may_be_score(data: bytes) -> bool:
    """Markup or an archive: a first look, so that the reader of scores loads only for scores."""
    return data.startswith(b"PK") or b"<" in data[:64]


def _read(source: Source) -> Sheet:
    if is_score(source):
        from ..grammar.musicxml import read_musicxml

        return read_musicxml(source.data, source.name)
    return read_sheet(decoded(source.data, source.name), source.name)
