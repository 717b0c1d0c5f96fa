"""The items of a line of ABC music, as `abc.lark` finds them.

Takes a line without its comment; gives its `Item`s in order. Accepts any text. Lengths are factors
of the unit note length (ABC 2.1, section 4.3); columns count from 1.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Final, Literal

from lark import Lark, Transformer, v_args
from lark import Token as LarkToken

from ..frozen import frozen
from ..limits import MAX_TIMES
from ..tables import parser_of

ItemKind = Literal[
    "bar_line", "bar_rest", "broken", "decoration", "ending", "field", "note", "overlay", "rest",
    "shorthand", "stack", "symbol", "tuplet", "unknown",
]  # fmt: skip


@frozen
class Item:
    """One item of a line; `length` is 1 where none is written, `numbers` those of an ending."""

    kind: ItemKind
    text: str
    column: int
    length: Fraction = Fraction(1)
    numbers: str = ""


#: The first note of a stack of notes sounding together, with its length (4.17).
_FIRST_NOTE: Final = re.compile(r'(?:"[^"]*"|![^!]*!|[^A-Ga-g"!])*[A-Ga-g][,\']*([\d/]*)')
_LENGTH: Final = re.compile(r"(\d*)(/*)(\d*)")


def length_of(text: str) -> Fraction:
    """A length as a factor: `2`, `3/2`, `/4`, `/` and `//` for a half and a quarter, "" for 1."""
    found = _LENGTH.fullmatch(text)
    if found is None:
        return Fraction(1)
    above, slashes, below = found.groups()
    divisor = int(below) if below else 2 ** len(slashes)
    return Fraction(int(above or 1), divisor or 1)


def _timed(kind: ItemKind) -> Callable[[ItemBuilder, LarkToken, LarkToken | None], Item]:
    def build(_builder: ItemBuilder, token: LarkToken, length: LarkToken | None = None) -> Item:
        factor = length_of(length or "")
        if kind == "stack":
            first = _FIRST_NOTE.match(token, 1)
            factor *= length_of(first[1]) if first is not None else 0
        return Item(kind, str(token), _column(token), factor)

    return build


def _plain(kind: ItemKind) -> Callable[[ItemBuilder, LarkToken], Item]:
    def build(_builder: ItemBuilder, token: LarkToken) -> Item:
        return Item(kind, str(token), _column(token))

    return build


def _column(token: LarkToken) -> int:
    return 1 if token.column is None else token.column


@v_args(inline=True)
class ItemBuilder(Transformer[LarkToken, tuple[Item, ...]]):
    """Builds the items while the parser reads: a method for each rule of the grammar."""

    def music(self, *items: Item) -> tuple[Item, ...]:
        return items

    def bar_line(self, token: LarkToken, numbers: LarkToken | None = None) -> Item:
        return Item("bar_line", str(token), _column(token), numbers=str(numbers or ""))

    def ending(self, token: LarkToken) -> Item:
        text = str(token)
        return Item("ending", text, _column(token), numbers=text[1:].strip())

    note = _timed("note")
    stack = _timed("stack")
    rest = _timed("rest")
    bar_rest = _timed("bar_rest")
    symbol = _plain("symbol")
    tuplet = _plain("tuplet")
    broken = _plain("broken")
    overlay = _plain("overlay")
    decoration = _plain("decoration")
    shorthand = _plain("shorthand")
    field = _plain("field")
    unknown = _plain("unknown")


def read_bar_line(text: str) -> tuple[int, bool, bool]:
    """How often the repeat that closes is played (0 for none), whether one opens, a double line.

    Each dot before the line is one repetition more (4.8); `::` closes and opens.
    """
    shape = text.lstrip(".").replace("[|]", "|")
    if set(shape) == {":"}:
        return 1 + len(shape) // 2, True, False
    before = len(shape.lstrip("[")) - len(shape.lstrip("[").lstrip(":"))
    after = len(shape) - len(shape.rstrip(":"))
    closes = min(before + 1, MAX_TIMES) if before else 0
    thick = any(line in shape for line in ("||", "|]", "[|"))
    return closes, bool(after), thick and not before and not after


def passes_of(numbers: str) -> tuple[int, ...]:
    """The passes of an ending: `1`, `1,3`, `1-3`; (0,) where it has words instead."""
    passes: set[int] = set()
    for first, last in re.findall(r"(\d{1,2})(?:\s*-\s*(\d{1,2}))?", numbers):
        passes.update(range(int(first), int(last or first) + 1))
    passes.discard(0)
    return tuple(sorted(passes)) or (0,)


def music_items(line: str) -> tuple[Item, ...]:
    """The items of a line of music."""
    return _parser().parse(line)  # type: ignore[return-value]


def grammar_text() -> str:
    """The grammar of a line of music."""
    return Path(__file__).with_name("abc.lark").read_text(encoding="utf-8")


@cache
def _parser() -> Lark:
    return parser_of(grammar_text(), "music", ItemBuilder())
