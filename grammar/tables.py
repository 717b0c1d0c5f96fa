"""Parsers of our grammars, loaded from LALR tables that were computed beforehand.

Takes the text of a grammar, its start rule and the transformer that builds its values; gives the
parser. Lark takes longer to compute a grammar's tables than to read a tune, so a file for each
start rule holds a parser as `Lark.save` writes it, its transformer included, below a digest of its
sources. Where the grammar, its transformer or the version of lark differs, the tables are computed
as usual: they can be missing, never out of date. `tests/grammar/regenerate_tables.py` writes them.
"""

from __future__ import annotations

from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any

import lark
from lark import Lark, Transformer


def parser_of(grammar: str, start: str, transformer: Transformer[Any, Any]) -> Lark:
    """The LALR parser of a grammar, which hands what it reads to the transformer's methods."""
    path = tables_path(start)
    if path.exists():
        with path.open("rb") as file:
            if file.readline().strip() == digest(grammar, start, transformer):
                return Lark.load(file)
    return Lark(grammar, start=start, parser="lalr", transformer=transformer)


def tables_path(start: str) -> Path:
    """The file that holds the tables of a start rule."""
    return Path(__file__).with_name(f"{start}.tables")


def digest(grammar: str, start: str, transformer: Transformer[Any, Any]) -> bytes:
    """The digest of everything that a parser is made from."""
    builder = type(transformer)
    made_from = (lark.__version__, start, builder.__module__, builder.__qualname__, grammar)
    return sha256("\n".join(made_from).encode()).hexdigest().encode()


def tables_bytes(grammar: str, start: str, transformer: Transformer[Any, Any]) -> bytes:
    """The content of the file that holds the tables of a start rule."""
    file = BytesIO(digest(grammar, start, transformer) + b"\n")
    file.seek(0, 2)
    Lark(grammar, start=start, parser="lalr", transformer=transformer).save(file)
    return file.getvalue()
