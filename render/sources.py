"""Reads tunes from files, folders, standard input and text as sheets in a chosen key.

Takes names, paths or text, gives `Sheet` values. The kind of a file is determined by its content,
not by its name.
"""

from __future__ import annotations

import os
import sys
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import BinaryIO, Final

from ..grammar.errors import MidneckError
from ..grammar.files import open_file
from ..grammar.frozen import frozen
from ..grammar.key import Key, parse_key
from ..grammar.limits import MAX_SCORE_BYTES, MAX_TEXT_BYTES
from ..grammar.sheet import Sheet, Transposition
from ..grammar.transpose import (
    INSTRUMENTS,
    instrument_interval,
    interval_for,
    interval_to_key,
    transpose_sheet,
)
from .options import OptionError, one_of, typed
from .stamps import is_whole, stems_of

STDIN: Final = "-"
#: The endings of scores, and of all sheets, in a folder.
SCORES: Final = (".musicxml", ".xml", ".mxl", ".abc")
SUFFIXES: Final = (".txt", *SCORES)


#: The instruments that transpose, by the key they are in and by their names, in small letters.
INSTRUMENT_NAMES: Final = {
    "bb": "Bb", "b♭": "Bb", "trumpet": "Bb", "clarinet": "Bb", "soprano": "Bb", "tenor": "Bb",
    "eb": "Eb", "e♭": "Eb", "alto": "Eb", "baritone": "Eb", "f": "F", "horn": "F",
}  # fmt: skip
#: The maximum number of semitones of a transposition up or down.
MOST_SEMITONES: Final = 11


class InputError(MidneckError, OSError):
    """A tune cannot be read; the message names it and says what to give instead."""


@frozen
class KeyChoice:
    """The transposition of a sheet: to a named key, by semitones, or for an instrument.

    Raises OptionError when it goes up and down at once.
    """

    key: str | None = None
    up: int = 0
    down: int = 0
    instrument: str | None = None

    def __post_init__(self) -> None:
        if self.up and self.down:
            way = self.up - self.down
            one = f"{'up' if way > 0 else 'down'} {abs(way)}" if way else "neither"
            raise OptionError(
                f"up {self.up} and down {self.down} semitones are two moves: give one ({one})"
            )


@frozen
class Source:
    """The bytes of a file or of standard input, and the name that messages give it."""

    data: bytes
    name: str


#: The kinds of input for a tune: a sheet, a source, text with a newline in it, a path.
Tune = Sheet | Source | str | os.PathLike[str]


def read(
    tune: Tune,
    *,
    key: str | Key | None = None,
    up: int = 0,
    down: int = 0,
    instrument: str | None = None,
) -> Sheet:
    """The sheet of a tune: a file (text, ABC, MusicXML), text with a newline in it, or a sheet.

    `key` moves it to a key, `up` and `down` by semitones (0 to 11), `instrument` writes it for one
    in "Bb", "Eb" or "F". Raises SheetError with every mistake of the tune, MidneckError for a key
    or an instrument that does not exist and for a file that cannot be read (an OSError too).

    >>> sheet = midneck.read("Title: Short\\nKey: C\\n\\n| Dm7 G7 | Cmaj7 |\\n", key="Eb")
    >>> [str(written.chord) for written in sheet.chords]
    ['Fm7', 'Bb7', 'Ebmaj7']
    """
    return load(tune, key_choice(key, up, down, instrument))


def key_choice(
    key: str | Key | None = None, up: int = 0, down: int = 0, instrument: str | None = None
) -> KeyChoice:
    """The choice of a key, checked. Raises OptionError or TypeError."""
    if key is not None:
        try:
            parse_key(str(typed("key", key, str, Key)))
        except ValueError as error:
            raise OptionError(str(error)) from error
    for name, semitones in (("up", up), ("down", down)):
        if not 0 <= typed(name, semitones, int) <= MOST_SEMITONES:
            raise OptionError(f"{name} is 0 to {MOST_SEMITONES} semitones, not {semitones}")
    if instrument is not None:
        one_of("instrument", instrument, INSTRUMENTS)
    return KeyChoice(None if key is None else str(key), up, down, instrument)


def load(tune: Tune, choice: KeyChoice | None = None) -> Sheet:
    """The sheet of a tune in the chosen key. Raises SheetError or OSError."""
    if isinstance(tune, Sheet):
        return in_key(tune, choice or KeyChoice())
    if isinstance(tune, str) and "\n" in tune:
        tune = Source(tune.encode("utf-8", "surrogatepass"), "")
    if not isinstance(tune, Source):
        tune = _named_file(os.fspath(typed("tune", tune, str, os.PathLike, Sheet)))
    return in_key(_sheet_in(tune), choice or KeyChoice())


def files_in(names: Iterable[str]) -> list[str]:
    """The paths of sheets: files as given, and for each folder its sheets in sorted order.

    Files that Midneck wrote beside their sheet are not among those of a folder.
    """
    paths: list[str] = []
    for name in names:
        path = Path(name)
        if name != STDIN and path.is_dir():
            inside = sorted(child for child in path.iterdir() if child.suffix.lower() in SUFFIXES)
            paths += [str(child) for child in without_exports(inside)]
        else:
            paths.append(name)
    return paths


def without_exports(paths: Sequence[Path]) -> list[Path]:
    """The sheets of one folder without whole files of ours that lie beside their own sheet.

    Such a file is named after the sheet: by its stem, and words for choices. One that has been
    changed since Midneck wrote it stays, as does one whose sheet is elsewhere.
    """
    stems = Counter(path.stem for path in paths)
    exports = {
        path
        for path in paths
        if sum(stems[stem] for stem in stems_of(path.stem)) > 1 and _is_export(path)
    }
    sources = {path.stem for path in paths if path not in exports}
    return [
        path for path in paths if path not in exports or sources.isdisjoint(stems_of(path.stem))
    ]


def _is_export(path: Path) -> bool:
    try:
        return path.is_file() and is_whole(path)
    except OSError:  # the reader tells it
        return False


def fetch(name: str) -> Source:
    """The content of a file or of standard input, up to one byte more than the limit of its kind.

    Raises OSError.
    """
    if name != STDIN:
        return _file(Path(name))
    if sys.stdin is None:
        raise OSError("standard input is closed")
    return Source(_limited(sys.stdin.buffer), "standard input")


def _named_file(name: str) -> Source:
    """The content of a file that a caller names. Raises InputError."""
    try:
        return _file(Path(name))
    except FileNotFoundError as error:
        raise InputError(
            f"there is no file {name!r}: give the path of a sheet, or its text with a newline in it"
        ) from error
    except IsADirectoryError as error:
        what = "is a folder" if name else "is empty"
        raise InputError(f"{name!r} {what}: give the path of one sheet") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(f"{name!r} cannot be read: {reason.lower()}") from error


def _file(path: Path) -> Source:
    with open_file(path) as file:
        return Source(_limited(file), str(path))


def is_score(source: Source) -> bool:
    """Whether a source holds MusicXML or ABC, by its content and not its name."""
    return _is_musicxml(source.data) or _is_abc(source.data.decode("utf-8", "replace"))


def _is_musicxml(data: bytes) -> bool:
    if not _may_be_musicxml(data):
        return False
    from ..grammar.musicxml import looks_like_musicxml

    return looks_like_musicxml(data)


def _is_abc(text: str) -> bool:
    """Whether a text is ABC; its reader is loaded where a line begins like a key of ABC."""
    if not ("\nK:" in text or "\rK:" in text):
        return False
    from ..grammar.abc import looks_like_abc

    return looks_like_abc(text)


def in_key(sheet: Sheet, choice: KeyChoice) -> Sheet:
    """The sheet moved to the chosen key."""
    if choice == KeyChoice():
        return sheet
    home = sheet.header.key or _heard_key(sheet)
    before = home, sheet.transposition
    if choice.key is not None:
        sheet, home = _moved_to(sheet, home, parse_key(choice.key))
    if choice.up != choice.down:
        interval = interval_for(home, choice.up - choice.down)
        sheet = transpose_sheet(sheet, interval, home)
        home = Key(home.tonic.up(interval), home.mode)
    sounding = home
    if choice.instrument is not None:
        sheet = transpose_sheet(sheet, instrument_interval(home, choice.instrument), home)
    return replace(sheet, transposition=_transposition(before, sounding, choice))


def _heard_key(sheet: Sheet) -> Key:
    """The key that the analysis finds."""
    # It needs numpy, which a sheet that stays in its key is read without.
    from ..converter.harmony.analyse import key_of
    from ..converter.timeline import timeline_of

    return key_of(timeline_of(sheet))


def _transposition(
    before: tuple[Key, Transposition | None], sounding: Key, choice: KeyChoice
) -> Transposition | None:
    """The total transposition of a sheet; `before` are its key and its earlier transposition."""
    home = before[0] if before[1] is None else before[1].home
    instrument = (choice.instrument or "").replace("♭", "b")
    if sounding == home and not instrument:
        return None
    return Transposition(home, sounding, instrument)


def _moved_to(sheet: Sheet, home: Key, target: Key) -> tuple[Sheet, Key]:
    if target.mode != "major" and target.tonality != home.tonality:
        found = "is in" if sheet.header.key else "sounds in"
        raise InputError(
            f"the tune {found} {home}, a {home.tonality} key: it can move to another tonic, as "
            f"with the key {target.tonic}, but not become {target}"
        )
    interval = interval_to_key(home, target)
    return transpose_sheet(sheet, interval, home), Key(home.tonic.up(interval), home.mode)


def _limited(file: BinaryIO) -> bytes:
    data = file.read(MAX_TEXT_BYTES + 1)
    if len(data) > MAX_TEXT_BYTES and _may_be_musicxml(data):
        data += file.read(MAX_SCORE_BYTES + 1 - len(data))
    return data


def _may_be_musicxml(data: bytes) -> bool:
    """Whether data begins like markup or an archive; only then the reader of scores is loaded."""
    return data.startswith(b"PK") or b"<" in data[:64]


def _sheet_in(source: Source) -> Sheet:
    if _is_musicxml(source.data):
        from ..grammar.musicxml import read_musicxml

        return read_musicxml(source.data, source.name)
    # Their parser takes longer to import than a result that is up to date takes to be found.
    from ..grammar.text.encoding import decode
    from ..grammar.text.reader import read_sheet, with_remark

    decoded = decode(source.data, source.name)
    if _is_abc(decoded.text):
        from ..grammar.abc import read_abc

        return with_remark(read_abc(decoded.text, source.name), decoded.remark)
    return with_remark(read_sheet(decoded.text, source.name), decoded.remark)
