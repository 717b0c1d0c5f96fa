"""The tunes of a folder as the shelf lists them, and how they are searched.

A tune is found by words of its title, composer, key or file name, or by a passage: "ii-V in Gb"
finds the tunes in which the analysis names a ii–V (alone, resolved or in a chain) in that key, "in
Gb" those that pass through the key. Passages are asked of the index that `midneck find` asks.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Final

from ...converter.harmony.analysis import AREA_KINDS
from ...converter.prose.facts import bars_played
from ...grammar.errors import MidneckError, SheetError
from ...grammar.form.unfold import unfold
from ...grammar.frozen import frozen
from ...grammar.key import parse_key
from ...grammar.text.encoding import decode
from ...grammar.text.writer import write_sheet
from ..shelf.index import open_shelf
from ..shelf.query import FoundPlace, Query, find
from ..sources import SCORES, Source, load
from .folder import ENDING, FolderError, TuneFolder, version_of

#: The text of a new tune.
NEW_TUNE: Final = "Title: New tune\nKey: C\nTime: 4/4\n\nA:\n| C6 | Am7 | Dm7 | G7 ||\n"
#: The stem of the name that its file has until it is named after its title, and such names.
NEW_STEM: Final = "new_tune"
_NEW_NAME: Final = re.compile(rf"{NEW_STEM}(-\d+)?{re.escape(ENDING)}")


@frozen
class Entry:
    """A tune on the shelf: the name of its file, its title, key, bars as played, and mistakes.

    `mistakes` is the number of places to mend, `key` and `bars` are "" and 0 while there are any.
    `score`: it is in a notation that is imported, not edited. `found` are the places of the
    passage that it was found by.
    """

    name: str
    title: str
    by: str = ""
    key: str = ""
    bars: int = 0
    mistakes: int = 0
    score: bool = False
    found: tuple[FoundPlace, ...] = ()

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
    """The entries that a query finds, all for a query without words.

    Raises OSError when the folder cannot be read.
    """
    passages = queries_of(query)
    if passages:
        return _with_passages(folder, listed, passages)
    words = _plain(query).split()
    return tuple(entry for entry in listed if all(word in entry.words for word in words))


def queries_of(text: str) -> tuple[Query, ...]:
    """What a text asks for by passage or key, none for words; one of them is enough.

    A key without its mode is major or minor.
    """
    passage, joined, key = f" {_plain(text).strip()}".rpartition(" in ")
    keys = _keys(key.strip()) if joined else ()
    if not passage.strip():
        return tuple(Query(visits=name) for name in keys)
    kinds = [kind for kind in AREA_KINDS if _plain(kind).startswith(passage.strip())]
    return tuple(Query(area=kind, within=name) for kind in kinds for name in keys)


def _keys(text: str) -> tuple[str, ...]:
    """The keys of a text, "" for none."""
    name = text.capitalize()
    try:
        key = parse_key(name)
    except ValueError:
        return ()
    return (name, f"{name}m") if name == str(key.tonic) else (name,)


def _with_passages(
    folder: TuneFolder, listed: tuple[Entry, ...], queries: Iterable[Query]
) -> tuple[Entry, ...]:
    """The entries that answer one of some queries, with the bars of the passages."""
    bars: dict[Path, set[FoundPlace]] = {}
    with open_shelf([folder.path]) as shelf:
        for query in queries:
            for found in find(shelf, query):
                places = (place for _, where in found.places for place in where)
                bars.setdefault(Path(found.path), set()).update(places)
    root = folder.path.resolve()
    return tuple(
        replace(entry, found=tuple(sorted(bars[root / entry.name])))
        for entry in listed
        if root / entry.name in bars
    )


def imported(name: str, data: bytes) -> str:
    """The text of a file to import: a text as it is, a score as a sheet.

    Raises MidneckError when it is neither.
    """
    is_text = name.lower().endswith(ENDING)
    try:
        sheet = load(Source(data, name))
    except SheetError as error:
        if is_text and error.problems[0].line:
            return _typed(name, data)
        raise
    return _typed(name, data) if is_text else write_sheet(sheet)


def _typed(name: str, data: bytes) -> str:
    """The text of a file in any encoding that is read, its lines as the editor ends them."""
    text = decode(data, name).text.removeprefix("\ufeff")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def stem_after_title(name: str, text: str) -> str:
    """A stem for the file `name` of a new tune after the title of its text.

    "" where the file has a name of its own already, or the tune no title yet.
    """
    if not _NEW_NAME.fullmatch(name):
        return ""
    stem = title_stem(_typed_title(text.encode("utf-8", "replace")))
    return "" if _NEW_NAME.fullmatch(stem + ENDING) else stem


def title_stem(title: str) -> str:
    """A title in small letters, digits, hyphens and underscores: `study_in_f-sharp`."""
    plain = unicodedata.normalize("NFC", title).lower().replace("♭", "b")
    plain = re.sub(r"['’ʼ]", "", re.sub(r"(?<=\b[a-g])[#♯]", "-sharp", plain))
    return "_".join(re.findall(r"\w+(?:-\w+)*", plain))[:60].rstrip("_-")


@lru_cache(maxsize=2048)
def _entry(name: str, version: str, data: bytes) -> Entry:
    score = name.lower().endswith(SCORES)
    stem = name.rpartition(".")[0].replace("_", " ")
    try:
        sheet = load(Source(data, name))
        bars = bars_played(sheet, unfold(sheet))
    except SheetError as error:
        return Entry(name, _typed_title(data) or stem, mistakes=len(error.problems), score=score)
    except MidneckError:
        return Entry(name, stem, mistakes=1, score=score)
    head = sheet.header
    key = head.key.short if head.key is not None else ""
    return Entry(name, head.title or stem, head.by, key, bars, 0, score)


def _typed_title(data: bytes) -> str:
    """The title of a text that is not read well."""
    for line in data.decode("utf-8", "replace").splitlines()[:40]:
        name, _, value = line.partition(":")
        if name.strip().lower() == "title":
            return value.strip()
    return ""


_SIGNS: Final = str.maketrans({"–": "-", "—": "-", "♭": "b", "♯": "#"})


def _plain(text: str) -> str:
    """A text to compare: small letters, plain hyphens and accidentals."""
    return text.translate(_SIGNS).casefold()
