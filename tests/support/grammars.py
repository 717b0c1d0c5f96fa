"""Our grammars by their start rules: their texts, and what builds their values."""

from __future__ import annotations

from typing import Any, Final

from lark import Transformer
from midneck.grammar import chord_parser as chord_reader
from midneck.grammar.text import progression as progression_words
from midneck.grammar.text import tokens as words

GRAMMARS: Final[dict[str, str]] = {
    "line": words.grammar_text(),
    "progression": progression_words.grammar_text(),
    "start": chord_reader.grammar_text(),
}
BUILDERS: Final[dict[str, Transformer[Any, Any]]] = {
    "line": words._Positioned(),
    "progression": progression_words._Marks(),
    "start": chord_reader.ChordBuilder(),
}
