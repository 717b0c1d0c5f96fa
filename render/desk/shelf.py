"""The tunes of a folder as the shelf lists them, and how they are searched.

A tune is found by words of its title, composer, key or file name, or by a passage: "ii-V in Gb"
finds the tunes in which the analysis names a ii–V (alone, resolved or in a chain) in that key.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

from ...converter.harmony.analyse import analyse
from ...converter.timeline import timeline_of
from ...grammar.errors import MidneckError, SheetError
from ...grammar.frozen import frozen
from ...grammar.key import parse_key
from ...grammar.sheet import Sheet
from ...grammar.text.writer import write_sheet
from ..sources import SCORES, Source, load
from .folder import ENDING, FolderError, TuneFolder, version_of

#: The text of a new tune.
NEW_TUNE: Final = "Title: New tune\nKey: C\nTime: 4/4\n\nA:\n| C6 | Am7 | Dm7 | G7 ||\n"


@frozen
class Entry:
    """A tune on the shelf: the name of its file, its title, and its key, bars and mistakes.

    `mistakes` is the number of places to mend, `key` and `bars` are "" and 0 while there are any.
    `score`: it is in a notation that is imported, not edited.
    """

    name: str
    title: str
    by: str = ""
    key: str = ""
    bars: int = 0
    mistakes: int = 0
    score: bool = False

    @property
    def words(self) -> str:
        """What the tune is found by."""
        return _plain(f"{self.title} {self.by} {self.key} {self.name}")


def entries(folder: TuneFolder) -> tuple[Entry, ...]:
    """The tunes of the folder by title. Raises FolderError when it cannot be read."""
    found = []
    for name in folder.names():
        try:
            data = folder.data(name)
        except FolderError:
            found.append(Entry(name, name, mistakes=1, score=not name.endswith(ENDING)))
            continue
        found.append(_entry(name, version_of(data), data))
    return tuple(sorted(found, key=lambda entry: (entry.title.casefold(), entry.name)))


def search(folder: TuneFolder, listed: tuple[Entry, ...], query: str) -> tuple[Entry, ...]:
    """The entries that a query finds, all for a query without words."""
    passage, joined, key = _plain(query).rpartition(" in ")
    if joined and passage.strip():
        try:
            wanted = parse_key(key.strip().capitalize()).tonic.pitch_class
        except ValueError:
            return ()
        return tuple(
            entry
            for entry in listed
            if any(
                kind.startswith(passage.strip()) and pitch == wanted
                for kind, pitch in _passages_of(folder, entry)
            )
        )
    words = _plain(query).split()
    return tuple(entry for entry in listed if all(word in entry.words for word in words))


def imported(name: str, data: bytes) -> str:
    """The text of a file to import: a text as it is, a score as a sheet.

    Raises MidneckError when it is neither.
    """
    try:
        sheet = load(Source(data, name))
    except SheetError as error:
        problem = error.problems[0]
        if name.lower().endswith(ENDING) and problem.line:
            return data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
        raise
    if name.lower().endswith(ENDING):
        return data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    return write_sheet(sheet)


@lru_cache(maxsize=2048)
def _entry(name: str, version: str, data: bytes) -> Entry:
    score = name.lower().endswith(SCORES)
    stem = name.rpartition(".")[0].replace("_", " ")
    try:
        sheet = load(Source(data, name))
    except SheetError as error:
        return Entry(name, _typed_title(data) or stem, mistakes=len(error.problems), score=score)
    except MidneckError:
        return Entry(name, stem, mistakes=1, score=score)
    head = sheet.header
    key = head.key.short if head.key is not None else ""
    return Entry(name, head.title or stem, head.by, key, len(sheet.bars), 0, score)


def _typed_title(data: bytes) -> str:
    """The title of a text that is not read well."""
    for line in data.decode("utf-8", "replace").splitlines()[:40]:
        name, _, value = line.partition(":")
        if name.strip().lower() == "title":
            return value.strip()
    return ""


def _passages_of(folder: TuneFolder, entry: Entry) -> tuple[tuple[str, int], ...]:
    if entry.mistakes:
        return ()
    try:
        return _passages(load(Source(folder.data(entry.name), entry.name)))
    except MidneckError:
        return ()


@lru_cache(maxsize=2048)
def _passages(sheet: Sheet) -> tuple[tuple[str, int], ...]:
    """The kinds of a tune's areas and the pitch classes of their keys."""
    areas = analyse(timeline_of(sheet)).areas
    return tuple((_plain(area.kind), area.key.tonic.pitch_class) for area in areas)


_SIGNS: Final = str.maketrans({"–": "-", "—": "-", "♭": "b", "♯": "#"})


def _plain(text: str) -> str:
    """A text to compare: small letters, plain hyphens and accidentals."""
    return text.translate(_SIGNS).casefold()
