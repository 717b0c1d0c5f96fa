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
        database.execute("DELETE FROM words WHERE rowid NOT IN (SELECT id FROM tune)")


def tunes_with(database: sqlite3.Connection, text: str) -> set[object]:
    """The numbers of the tunes whose text has all words of a text.

    A word without letters or digits is in no tune.
    """
    words = [parts for word in text.split() if (parts := _parts(word))]
    if len(words) < len(text.split()):
        return set()
    if _is_indexed(database):
        # Parts of letters and digits need no other quotes than these.
        query = " AND ".join(f'"{" ".join(parts)}"*' for parts in words)
        rows = database.execute("SELECT rowid FROM words WHERE words MATCH ?", (query,))
        return {row for (row,) in rows}
    rows = database.execute("SELECT id, text FROM tune")
    return {row for row, told in rows if _has_words(told, words)}


def _is_indexed(database: sqlite3.Connection) -> bool:
    found = database.execute("SELECT 1 FROM sqlite_master WHERE name = 'words'").fetchone()
    return found is not None


def _parts(text: str) -> list[str]:
    """The words of a text without case and accents."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    return _PARTS.findall("".join(sign for sign in plain if not unicodedata.combining(sign)))


def _has_words(text: str, words: list[list[str]]) -> bool:
    """Whether a text has all of some words, each as its parts."""
    parts = _parts(text)
    return all(_has_row(parts, word) for word in words)


def _has_row(parts: list[str], row: list[str]) -> bool:
    """Whether parts hold others in a row, the last as a beginning."""
    *whole, begun = row
    return any(
        parts[at : at + len(whole)] == whole and parts[at + len(whole)].startswith(begun)
        for at in range(len(parts) - len(whole))
    )
