"""A book as a TOML file that can be kept: its title, its tunes in order, its options.

    title = "Autumn term"
    by = "Ilse Brandvold"
    note = "Bring a pencil."
    order = "key"
    drills = false
    indexes = true
    tunes = ["ledger_blues.txt", "slate_roofs.txt"]

Only `tunes` is required. Names of tunes are relative to the file's folder.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import fields
from pathlib import Path
from typing import Any

from ...grammar.frozen import frozen
from ...grammar.limits import MAX_BOOK_BYTES, MAX_TUNES
from ...grammar.toml_text import TomlError, load_toml
from ..options import OptionError, toml_text
from .book import ORDERS, BookOptions


@frozen
class BookFile:
    """What a book file says: options, and the paths of the tunes."""

    options: BookOptions
    tunes: tuple[str, ...]


def read_book_file(path: str | os.PathLike[str]) -> BookFile:
    """The book of a TOML file. Raises OptionError with every mistake, OSError."""
    place = Path(path)
    try:
        content = load_toml(toml_text(str(place), MAX_BOOK_BYTES), MAX_BOOK_BYTES)
    except TomlError as error:
        raise OptionError(f"{place} is not a TOML file: {error}") from error
    mistakes = list(_mistakes(content))
    if mistakes:
        raise OptionError("\n".join(f"{place}: {mistake}" for mistake in mistakes))
    known = {field.name for field in fields(BookOptions)}
    options = BookOptions(**{name: value for name, value in content.items() if name in known})
    return BookFile(options, tuple(str(place.parent / name) for name in content["tunes"]))


def _mistakes(content: dict[str, Any]) -> list[str]:
    """What is wrong with the content of a book file."""
    mistakes = []
    types: dict[str, type] = {field.name: str for field in fields(BookOptions)}
    types |= {"drills": bool, "indexes": bool}
    for name, value in content.items():
        if name == "tunes":
            continue
        if name not in types:
            names = ", ".join([*types, "tunes"])
            mistakes.append(f"{name[:40]!r} is not known; a book file has: {names}")
        elif not isinstance(value, types[name]):
            mistakes.append(f"{name} is {'true or false' if types[name] is bool else 'a text'}")
        elif name == "order" and value not in ORDERS:
            mistakes.append(f"order cannot be {str(value)[:40]!r}; there are: {', '.join(ORDERS)}")
    tunes = content.get("tunes")
    if not (isinstance(tunes, list) and tunes and all(isinstance(name, str) for name in tunes)):
        mistakes.append('tunes is a list of file names, as in tunes = ["ledger_blues.txt"]')
    elif len(tunes) > MAX_TUNES:
        mistakes.append(f"a book holds at most {MAX_TUNES:,} tunes")
    return mistakes


def book_file_bytes(options: BookOptions, tunes: Sequence[str], folder: Path) -> bytes:
    """The content of a book file in a folder, which `read_book_file` reads back."""
    import tomli_w

    content: dict[str, Any] = {
        field.name: getattr(options, field.name)
        for field in fields(options)
        if getattr(options, field.name) != ""
    }
    content["tunes"] = [_relative(name, folder) for name in tunes]
    text: str = tomli_w.dumps(content)
    return text.encode()


def _relative(name: str, folder: Path) -> str:
    try:
        return Path(os.path.relpath(name, folder)).as_posix()
    except ValueError:  # on another drive
        return str(Path(name).resolve())
