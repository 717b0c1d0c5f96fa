"""Parsers of our grammars, from LALR tables that were worked out beforehand.

Takes the text of a grammar, its start rule and what builds its values, gives the parser. To work a
grammar out takes lark longer than to read a tune, so `tables.json` holds what lark writes down of
its parsers (`memo_serialize`), each under a digest of its grammar and start rule. Where the grammar
or lark is another, it is worked out as usual: tables can be missing, never out of date.
`tests/grammar/regenerate_tables.py` makes them.
"""

from __future__ import annotations

import json
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any, Final

import lark
from lark import Lark, Transformer
from lark.grammar import Rule
from lark.lexer import TerminalDef

TABLES: Final = Path(__file__).with_name("tables.json")


def parser_of(grammar: str, start: str, transformer: Transformer[Any, Any]) -> Lark:
    """The LALR parser of a grammar, which hands what it reads to the transformer's methods."""
    tables = _stored().get(digest(grammar, start))
    if tables is None:
        return Lark(grammar, start=start, parser="lalr", transformer=transformer)
    # The way in of lark's own stand-alone parsers; there is no public one that takes a transformer.
    parser: Lark = Lark._load_from_dict(*tables, transformer=transformer)  # type: ignore[no-untyped-call]
    return parser


def digest(grammar: str, start: str) -> str:
    """What a grammar's tables are stored under."""
    return sha256(f"{start}\n{grammar}".encode()).hexdigest()


def tables_text(grammars: dict[str, str]) -> str:
    """The tables of grammars, from start rule to text, as `tables.json` holds them."""
    tables = {}
    for start, grammar in grammars.items():
        parser = Lark(grammar, start=start, parser="lalr")
        tables[digest(grammar, start)] = parser.memo_serialize([TerminalDef, Rule])
    whole = {"lark": lark.__version__, "tables": tables}
    return json.dumps(whole, ensure_ascii=False, separators=(",", ":"), sort_keys=True) + "\n"


@cache
def _stored() -> dict[str, Any]:
    """The tables by digest; none when another lark made them."""
    whole = json.loads(TABLES.read_text(encoding="utf-8"), object_pairs_hook=_numbered)
    tables: dict[str, Any] = whole["tables"] if whole["lark"] == lark.__version__ else {}
    return tables


def _numbered(pairs: list[tuple[str, Any]]) -> dict[str | int, Any]:
    """An object of JSON, whose keys are always texts, with the numbers that they stand for."""
    return {int(key) if key.isdigit() else key: value for key, value in pairs}
