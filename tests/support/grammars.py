"""Our grammars by their start rules: their texts, and what builds their values."""

from __future__ import annotations

from typing import Any, Final

from lark import Transformer
from midneck.grammar import chord_parser
from midneck.grammar.abc import tokens as abc_tokens
from midneck.grammar.text import tokens

GRAMMARS: Final[dict[str, str]] = {
    "line": tokens.grammar_text(),
    "progression": tokens.grammar_text(),
    "chord": chord_parser.grammar_text(),
    "music": abc_tokens.grammar_text(),
}
BUILDERS: Final[dict[str, Transformer[Any, Any]]] = {
    "line": tokens.TokenBuilder(),
    "progression": tokens.TokenBuilder(),
    "chord": chord_parser.ChordBuilder(),
    "music": abc_tokens.ItemBuilder(),
}
