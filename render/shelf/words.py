"""Search for words in the texts of an index: by FTS5 where SQLite has it, else by a scan.

A word is found where words of a text begin with it, in any case and without accents; a word with
signs inside is found as its parts in a row. Both ways give the same tunes: FTS5 is given the parts,
since its own tokenizer takes accents from Latin letters alone.

Source: SQLite FTS5 Extension, sections 3 (query syntax) and 4.3.1 (`unicode61`).
"""

from __future__ import annotations

import re
import sqlite3
import unicodedata
from typing import Final

#: The table of FTS5: a row for each row of `tune`, by the same number.
WORDS: Final = "CREATE VIRTUAL TABLE IF NOT EXISTS words USING fts5(text, tokenize='unicode61')"
_PARTS: Final = re.compile(r"[^\W_]+")
#: The name under which the scan is known to SQL.
_SCAN: Final = "has_words"


def has_fts5(database: sqlite3.Connection) -> bool:
    """Whether SQLite has FTS5."""
    options = database.execute("PRAGMA compile_options")
    return ("ENABLE_FTS5",) in options.fetchall()


def add_words(database: sqlite3.Connection, row: int, text: str) -> None:
    """Make the words of a text found under the number of its row."""
    if _is_indexed(database):
        parts = " ".join(_parts(text))
        database.execute("INSERT OR REPLACE INTO words (rowid, text) VALUES (?, ?)", (row, parts))


def forget_words(database: sqlite3.Connection) -> None:
    """Take out the words of rows of `tune` that are gone."""
    if _is_indexed(database):
        database.execute("DELETE FROM words WHERE rowid NOT IN (SELECT rowid FROM tune)")


def words_condition(database: sqlite3.Connection, text: str) -> tuple[str, list[str]]:
    """The condition on `tune` that its text has all words of a text, as SQL with its values.

    A text without letters or digits is in no tune.
    """
    words = [parts for word in text.split() if (parts := _parts(word))]
    if len(words) < len(text.split()):
        return "0", []
    if not _is_indexed(database):
        database.create_function(_SCAN, 2, _has_words, deterministic=True)
        return f"{_SCAN}(text, ?)", [text]
    # Parts of letters and digits need no other quotes than these.
    query = " AND ".join(f'"{" ".join(parts)}"*' for parts in words)
    return "tune.rowid IN (SELECT rowid FROM words WHERE words MATCH ?)", [query]


def _is_indexed(database: sqlite3.Connection) -> bool:
    found = database.execute("SELECT 1 FROM sqlite_master WHERE name = 'words'").fetchone()
    return found is not None


def _parts(text: str) -> list[str]:
    """The words of a text without case and accents."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    return _PARTS.findall("".join(sign for sign in plain if not unicodedata.combining(sign)))


def _has_words(text: str, wanted: str) -> bool:
    """Whether a text has all of some words."""
    parts = _parts(text)
    return all(_has_row(parts, _parts(word)) for word in wanted.split())


def _has_row(parts: list[str], row: list[str]) -> bool:
    """Whether parts hold others in a row, the last as a beginning."""
    *whole, begun = row
    return any(
        parts[at : at + len(whole)] == whole and parts[at + len(whole)].startswith(begun)
        for at in range(len(parts) - len(whole))
    )
