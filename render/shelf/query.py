"""What a shelf can be asked: a query as a value, its answers with bars, and what to learn next.

Every text of a user is a parameter of the SQL, never a part of it.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator, Sequence
from typing import Any, Final

from ...grammar.chord_parser import ChordError, parse_chord
from ...grammar.frozen import frozen
from ...grammar.key import parse_key
from ...grammar.sheet import parse_meter
from ..options import OptionError
from .index import Shelf, rows_in
from .sounds import chord_sound, key_sound
from .words import tunes_with

_GRIP: Final = re.compile(r"(x|\d{1,2})( (x|\d{1,2})){3,11}")


@frozen
class Query:
    """What is asked for; what is None or "" is not asked. All parts must hold.

    `area` is a kind of area and `within` its key; `visits` a key that the tune passes through;
    `change` two chord symbols that are a hard change. `tempo` is a least and a greatest tempo.
    `text` holds words with which words of the tune begin.
    """

    area: str = ""
    within: str = ""
    key: str = ""
    visits: str = ""
    chord: str = ""
    grip: str = ""
    meter: str = ""
    tempo: tuple[int, int] | None = None
    max_difficulty: float | None = None
    change: str = ""
    text: str = ""


#: First and last written bar of a place, and the bars that are played.
FoundPlace = tuple[int, int, str]


@frozen
class Found:
    """A tune that answers a query, with the places of each part of it that has places.

    A place is its first and last bar, and the bars between them that are played, as text.
    """

    path: str
    title: str
    by: str
    key: str
    meter: str
    tempo: int
    bars: int
    difficulty: float
    places: tuple[tuple[str, tuple[FoundPlace, ...]], ...] = ()


_COLUMNS: Final = "path, title, by, key, meter, tempo, bars, difficulty, tune.id"


def find(shelf: Shelf, query: Query) -> Iterator[Found]:
    """The tunes of a shelf that answer a query, by path. Raises OptionError for a wrong value."""
    condition, values = _facts(query)
    with_words = tunes_with(shelf.database, query.text) if query.text.strip() else None
    wanted = [(said, _bars(shelf.database, *at)) for said, at in _places(query)]
    for row in rows_in(shelf, _COLUMNS, condition, values):
        *facts, tune = row
        places = tuple((said, tuple(held.get(tune, ()))) for said, held in wanted)
        if all(bars for _, bars in places) and (with_words is None or tune in with_words):
            yield _found(facts, places)


def _found(facts: Sequence[Any], places: tuple[Any, ...]) -> Found:
    path, title, by, key, meter, tempo, bars, difficulty = facts
    return Found(path, title, by, key, meter, tempo, bars, difficulty, places)


def broken(shelf: Shelf) -> list[tuple[str, str]]:
    """The files of a shelf that cannot be charted, with the reason."""
    rows = rows_in(shelf, "path, problem", "problem != ''", ())
    return [(str(path), str(problem)) for path, problem in rows]


def _facts(query: Query) -> tuple[str, list[Any]]:
    """The condition on a tune's facts as SQL with its values."""
    parts, values = ["problem = ''"], list[Any]()
    if query.key:
        parts.append("key_sound = ?")
        values.append(_key(query.key))
    if query.meter:
        parts.append("meter = ?")
        values.append(_meter(query.meter))
    if query.tempo is not None:
        parts.append("tempo BETWEEN ? AND ?")
        values += query.tempo
    if query.max_difficulty is not None:
        parts.append("difficulty <= ?")
        values.append(query.max_difficulty)
    return " AND ".join(parts), values


def _places(query: Query) -> Iterator[tuple[str, tuple[str, tuple[str, ...], str | None]]]:
    """What is asked for in places: how it is said, and its kind, names and key in the index.

    No names are any name.
    """
    if query.area or query.within:
        key = _key(query.within) if query.within else None
        said = " in ".join(part for part in (query.area or "areas", query.within) if part)
        yield said, ("area", _area_kinds(query.area), key)
    if query.visits:
        yield f"in {query.visits}", ("visit", (), _key(query.visits))
    if query.chord:
        yield query.chord, ("chord", (_chord(query.chord),), None)
    if query.grip:
        yield query.grip, ("grip", (_frets(query.grip),), None)
    if query.change:
        yield query.change, ("hard", (_change(query.change),), None)


def _area_kinds(asked: str) -> tuple[str, ...]:
    """The kinds of area that are an area of the kind asked for: a ii–V–I has its ii–V."""
    if not asked:
        return ()
    return ("ii-V", "ii-V-I") if asked == "ii-V" else (asked,)


def _bars(
    database: sqlite3.Connection, kind: str, names: tuple[str, ...], key: str | None
) -> dict[object, list[FoundPlace]]:
    """The places of a kind in every tune of the index, by the tune's number."""
    parts, values = ["kind = ?"], [kind]
    if names:
        parts.append(f"what IN ({', '.join('?' * len(names))})")
        values += names
    if key is not None:
        parts.append("key = ?")
        values.append(key)
    rows = database.execute(
        f"SELECT DISTINCT tune, first, last, bars FROM place WHERE {' AND '.join(parts)}"
        " ORDER BY tune, first, last",
        values,
    )
    found: dict[object, list[FoundPlace]] = {}
    for tune, first, last, bars in rows:
        found.setdefault(tune, []).append((first, last, bars))
    return found


def _key(text: str) -> str:
    try:
        return key_sound(parse_key(text))
    except ValueError as error:
        raise OptionError(str(error)) from error


def _meter(text: str) -> str:
    try:
        return str(parse_meter(text))
    except ValueError as error:
        raise OptionError(str(error)) from error


def _chord(text: str) -> str:
    try:
        return chord_sound(parse_chord(text))
    except ChordError as error:
        raise OptionError(f"{text!r} is no chord symbol: {error}") from error


def _frets(text: str) -> str:
    """The frets of a grip, which may stand as in a sheet: `Eb7<x 6 5 6 x x>`."""
    pinned = re.fullmatch(r"[^<>]*<([^<>:]*)(?::[^<>]*)?>", text.strip())
    frets = " ".join((pinned[1] if pinned else text).lower().replace("-", " ").split())
    if " " not in frets and len(frets) == 6:
        frets = " ".join(frets)
    if _GRIP.fullmatch(frets) is None:
        raise OptionError(f"{text!r} is no grip: six frets from string 6, as in 'x 5 4 5 x x'")
    return frets


def _change(text: str) -> str:
    symbols = text.replace(">", " ").split()
    if len(symbols) != 2:
        raise OptionError(f"{text!r} is no change: two chord symbols, as in 'Gmaj7 Bbm7'")
    return " > ".join(_chord(symbol) for symbol in symbols)


@frozen
class Next:
    """A tune to learn next: what part of it is known, from 0 to 1, and what is new in it.

    New are its grips by their frets, its changes by two of these, its keys by their names.
    """

    found: Found
    known: float
    new_grips: tuple[str, ...]
    new_changes: tuple[str, ...]
    new_keys: tuple[str, ...]


#: The parts of what there is to know in a tune, and how much each counts.
_PARTS: Final = {"grip": 0.5, "change": 0.35, "visit": 0.15}


def what_next(shelf: Shelf, known_paths: Sequence[str]) -> list[Next]:
    """The other tunes of a shelf, the one first of which most is known; then by difficulty.

    Half of what counts are grips, a third changes between grips, the rest keys: a setting, no
    source. A tune counts by its different grips, changes and keys, not by how often they occur.
    """
    tunes = {str(path): tune for path, tune in rows_in(shelf, "path, tune.id", "problem = ''", ())}
    missing = [path for path in known_paths if path not in tunes]
    if missing:
        raise OptionError(
            "known tunes must be among those of the folders, without mistakes; these are not: "
            f"{', '.join(missing)}"
        )
    known: dict[str, set[str]] = {kind: set() for kind in _PARTS}
    for path in known_paths:
        for kind, things in _things(shelf.database, tunes[path]).items():
            known[kind] |= things.keys()
    others = [tune for tune in find(shelf, Query()) if tune.path not in set(known_paths)]
    ranked = [_next(tune, _things(shelf.database, tunes[tune.path]), known) for tune in others]
    return sorted(ranked, key=lambda each: (-round(each.known, 4), each.found.difficulty))


def _things(database: sqlite3.Connection, tune: object) -> dict[str, dict[str, str]]:
    """What is to know in a tune, by kind: what makes two things one, and the name of each.

    Keys are one by their sound.
    """
    things: dict[str, dict[str, str]] = {kind: {} for kind in _PARTS}
    rows = database.execute(
        "SELECT DISTINCT kind, what, key FROM place WHERE tune = ? ORDER BY first, what",
        (tune,),
    )
    for kind, what, key in rows:
        if kind in things:
            things[kind].setdefault(key if kind == "visit" else what, what)
    return things


def _next(tune: Found, things: dict[str, dict[str, str]], known: dict[str, set[str]]) -> Next:
    share = 0.0
    for kind, weight in _PARTS.items():
        there = things[kind].keys()
        share += weight * (len(there & known[kind]) / len(there) if there else 1.0)
    new = {
        kind: tuple(name for thing, name in things[kind].items() if thing not in known[kind])
        for kind in _PARTS
    }
    return Next(tune, share, new["grip"], new["change"], new["visit"])
