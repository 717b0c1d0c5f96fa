"""The index of a shelf in SQLite: filled for what has changed, rebuilt when damaged.

Lies in the user's cache folder (platformdirs). A tune is stored by the digest of its bytes and of
the program that read it, so that an unchanged tune costs no reading and a new version reads all
again. `SCHEMA` documents the tables, `words.py` that of words. Two processes may use the index at
once: each transaction is whole, and a killed process leaves the last one. Where the index cannot be
written, a copy of it lives in memory.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Final

from ...grammar.files import open_file
from ...grammar.frozen import frozen
from ..cache_folder import cache_folder
from ..options import OptionError
from ..sources import SUFFIXES, without_exports
from ..version import __version__
from .words import WORDS, add_words, forget_words, has_fts5

if TYPE_CHECKING:
    from .entry import Entry

#: Changes with every change of the tables.
LAYOUT: Final = 3
#: The tables. `file`: the sheets of folders as last seen. `tune`: the facts of a sheet's content;
#: `place.tune` is its `id`.
#: `place`: what is found in it (see `entry.Place`), with the first and last written bar, and the
#: bars between them that are played.
SCHEMA: Final = """
CREATE TABLE IF NOT EXISTS file (
    path TEXT PRIMARY KEY, changed INTEGER NOT NULL, size INTEGER NOT NULL, digest TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS tune (
    id INTEGER PRIMARY KEY, digest TEXT NOT NULL UNIQUE, title TEXT NOT NULL,
    by TEXT NOT NULL, key TEXT NOT NULL,
    key_sound TEXT NOT NULL, meter TEXT NOT NULL, tempo INTEGER NOT NULL, bars INTEGER NOT NULL,
    difficulty REAL NOT NULL, text TEXT NOT NULL, problem TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS place (
    tune INTEGER NOT NULL, kind TEXT NOT NULL, what TEXT NOT NULL, key TEXT NOT NULL,
    first INTEGER NOT NULL, last INTEGER NOT NULL, bars TEXT NOT NULL);
CREATE INDEX IF NOT EXISTS place_of ON place (tune);
CREATE INDEX IF NOT EXISTS place_by ON place (kind, key, what);
"""
#: How long a process waits for another one that writes, in seconds.
WAIT_S: Final = 10.0
#: The files of one transaction.
BATCH: Final = 25
#: What SQLite says of a file that is no index, or no more (its result codes; others tell of a place
#: that cannot be written, or of another process that writes for long).
_DAMAGED: Final = frozenset(
    {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_FORMAT, sqlite3.SQLITE_ERROR}
)
#: SQLite's limit of parameters in older versions (999), with room to spare.
_CHUNK: Final = 500


@frozen
class Shelf:
    """An open index, and the files of the folders that are asked."""

    database: sqlite3.Connection
    paths: tuple[str, ...]


@contextmanager
def open_shelf(folders: Sequence[Path], place: Path | None = None) -> Iterator[Shelf]:
    """The index of the sheets in some folders, brought up to date.

    `place` is the file of the index, None for the usual one. Raises OSError for a folder that
    cannot be read.
    """
    paths = _files(folders)
    place = index_path() if place is None else place
    database = _opened(place)
    try:
        try:
            _update(database, folders, paths)
        except sqlite3.DatabaseError as error:
            database.close()
            if _is_damaged(error):
                _remove(place)
            database = _opened(place) if _is_damaged(error) else _in_memory(place)
            _update(database, folders, paths)
        yield Shelf(database, tuple(paths))
    finally:
        database.close()


def index_path() -> Path:
    """The file of the index in the user's cache folder."""
    return cache_folder() / "shelf.sqlite"


def _files(folders: Sequence[Path]) -> dict[str, os.stat_result]:
    """The sheets directly in the folders, and in folders inside them, with their states."""
    found: dict[str, os.stat_result] = {}
    for folder in folders:
        if not folder.is_dir():
            found[str(folder.resolve())] = folder.stat()
            continue
        for root, inner, names in os.walk(folder.resolve()):
            inner[:] = sorted(name for name in inner if not name.startswith("."))
            sheets = [Path(root, name) for name in sorted(names) if name.lower().endswith(SUFFIXES)]
            for path in without_exports(sheets):
                with suppress(OSError):
                    found[str(path)] = path.stat()
    return found


def _opened(place: Path) -> sqlite3.Connection:
    """The index in a file; one that is damaged or of another layout is made anew."""
    for _ in range(2):
        try:
            place.parent.mkdir(parents=True, exist_ok=True)
            database = sqlite3.connect(place, timeout=WAIT_S)
        except (sqlite3.DatabaseError, OSError):
            break
        try:
            database.execute("PRAGMA journal_mode=WAL")
            if _has_layout(database):
                return database
        except sqlite3.DatabaseError as error:
            if not _is_damaged(error):
                database.close()
                break
        database.close()
        with suppress(OSError):
            _remove(place)
    return _in_memory(place)


def _is_damaged(error: sqlite3.DatabaseError) -> bool:
    """Whether an error tells of a damaged or foreign file."""
    code: int = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR)
    return code & 0xFF in _DAMAGED


def _has_layout(database: sqlite3.Connection) -> bool:
    """Whether an index has the tables of this program; an empty file gets them.

    An index with FTS5 has another number than one without it.
    """
    wanted = 2 * LAYOUT + has_fts5(database)
    database.execute("BEGIN IMMEDIATE")
    with database:
        layout: int = database.execute("PRAGMA user_version").fetchone()[0]
        is_empty = not database.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchone()
        if layout == 0 and is_empty:
            _make_tables(database, wanted)
            return True
    return layout == wanted


def _make_tables(database: sqlite3.Connection, layout: int) -> None:
    for statement in SCHEMA.split(";"):
        database.execute(statement)
    if has_fts5(database):
        database.execute(WORDS)
    database.execute(f"PRAGMA user_version={layout}")


def _remove(place: Path) -> None:
    for name in (place, place.with_name(f"{place.name}-wal"), place.with_name(f"{place.name}-shm")):
        name.unlink(missing_ok=True)


def _in_memory(place: Path) -> sqlite3.Connection:
    """An index in memory: a copy of one that can only be read, or an empty one."""
    database = sqlite3.connect(":memory:")
    with suppress(sqlite3.DatabaseError):
        # An immutable file is read without the files for locks, which cannot be made here.
        source = sqlite3.connect(f"{place.resolve().as_uri()}?immutable=1", uri=True)
        with closing(source):
            source.backup(database)
        if _has_layout(database):
            return database
    database.close()
    database = sqlite3.connect(":memory:")
    _has_layout(database)
    return database


def _update(
    database: sqlite3.Connection, folders: Sequence[Path], paths: dict[str, os.stat_result]
) -> None:
    """Read what is new or changed; forget files of these folders that are gone."""
    known = {
        path: (changed, size)
        for path, changed, size in database.execute("SELECT path, changed, size FROM file")
    }
    stale = [
        path
        for path, state in paths.items()
        if known.get(path) != (state.st_mtime_ns, state.st_size)
    ]
    roots = tuple(f"{folder.resolve()}{os.sep}" for folder in folders)
    gone = [path for path in known if path.startswith(roots) and path not in paths]
    _read_all(database, stale, paths)
    _read_all(database, _lost(database, paths), paths)
    if stale or gone:
        _forget(database, gone)


def _forget(database: sqlite3.Connection, gone: Sequence[str]) -> None:
    """Take files out that are gone, and the tunes that no file holds any more."""
    with database:
        database.executemany("DELETE FROM file WHERE path = ?", [(path,) for path in gone])
        database.execute("DELETE FROM tune WHERE digest NOT IN (SELECT digest FROM file)")
        database.execute("DELETE FROM place WHERE tune NOT IN (SELECT id FROM tune)")
        forget_words(database)


def _read_all(
    database: sqlite3.Connection, names: Sequence[str], paths: dict[str, os.stat_result]
) -> None:
    """Read some files, a few in each transaction, so that another process need not wait long."""
    for start in range(0, len(names), BATCH):
        with database:
            for path in names[start : start + BATCH]:
                _read(database, path, paths[path])


def _lost(database: sqlite3.Connection, paths: dict[str, os.stat_result]) -> list[str]:
    """Files whose content was stored by another version of the program."""
    rows = database.execute(
        "SELECT path FROM file WHERE digest NOT LIKE ? OR digest NOT IN (SELECT digest FROM tune)",
        (f"{version_mark()}%",),
    )
    return [path for (path,) in rows if path in paths]


@cache
def version_mark() -> str:
    """What every digest of this program begins with: its version and when its code last changed."""
    root = Path(__file__).parents[2]
    code = (path for part in ("grammar", "converter") for path in (root / part).rglob("*.py"))
    newest = max((path.stat().st_mtime_ns for path in code), default=0)
    return sha256(f"{__version__} {LAYOUT} {newest}".encode()).hexdigest()[:12]


def ask(shelf: Shelf, sql: str) -> Iterator[tuple[object, ...]]:
    """The rows of a SELECT on the index. Raises OptionError for anything else, or wrong SQL."""
    allowed = (sqlite3.SQLITE_SELECT, sqlite3.SQLITE_READ, sqlite3.SQLITE_FUNCTION)

    def judge(action: int, *_: object) -> int:
        return sqlite3.SQLITE_OK if action in allowed else sqlite3.SQLITE_DENY

    shelf.database.set_authorizer(judge)
    try:
        yield from shelf.database.execute(sql)
    except (sqlite3.Error, sqlite3.Warning) as error:
        raise OptionError(f"the index answers: {error}") from error
    finally:
        shelf.database.set_authorizer(None)


def _read(database: sqlite3.Connection, path: str, state: os.stat_result) -> None:
    from .entry import entry_of

    try:
        with open_file(path) as file:
            data = file.read()
    except OSError:
        return
    name = Path(path).name
    # A name is one of the words that are searched.
    digest = version_mark() + sha256(f"{name}\n".encode("utf-8", "replace") + data).hexdigest()
    known = database.execute("SELECT 1 FROM tune WHERE digest = ?", (digest,)).fetchone()
    if known is None:
        _store(database, digest, entry_of(data, name))
    database.execute(
        "INSERT OR REPLACE INTO file VALUES (?, ?, ?, ?)",
        (path, state.st_mtime_ns, state.st_size, digest),
    )


def _store(database: sqlite3.Connection, digest: str, entry: Entry) -> None:
    """Store what is known of a tune, unless another process has stored it meanwhile."""
    facts = (
        digest, entry.title, entry.by, entry.key, entry.key_sound, entry.meter, entry.tempo,
        entry.bars, entry.difficulty, entry.text, entry.problem,
    )  # fmt: skip
    added = database.execute(
        "INSERT OR IGNORE INTO tune VALUES (NULL, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        [_storable(fact) for fact in facts],
    )
    if not added.rowcount or added.lastrowid is None:
        return
    database.executemany(
        "INSERT INTO place VALUES (?, ?, ?, ?, ?, ?, ?)",
        [(added.lastrowid, p.kind, p.what, p.key, p.first, p.last, p.bars) for p in entry.places],
    )
    add_words(database, added.lastrowid, str(_storable(entry.text)))


def _storable(fact: object) -> object:
    """A fact as SQLite stores it: text without halves of characters."""
    return fact.encode("utf-8", "replace").decode() if isinstance(fact, str) else fact


def rows_in(
    shelf: Shelf, columns: str, condition: str, values: Sequence[object]
) -> Iterator[tuple[object, ...]]:
    """The rows of `file` joined with `tune` for the shelf's files that fulfil a condition."""
    for start in range(0, len(shelf.paths), _CHUNK):
        chunk = shelf.paths[start : start + _CHUNK]
        marks = ", ".join("?" * len(chunk))
        yield from shelf.database.execute(
            f"SELECT {columns} FROM file JOIN tune USING (digest)"
            f" WHERE path IN ({marks}) AND {condition} ORDER BY path",
            (*chunk, *values),
        )
