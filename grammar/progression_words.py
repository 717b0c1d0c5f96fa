"""The words of a typed progression, each with its column; `progression.lark` is the grammar.

Takes the text, gives `Mark`s in written order. Nothing here judges: a word that belongs nowhere
comes out as `stray`, and what a numeral or a chord names is read later.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final, Literal

from lark import Lark, Token, Transformer, v_args

from .tables import parser_of

MarkKind = Literal["numeral", "chord", "bar_line", "beats", "simile", "mode", "stray"]
_SIGNS: Final = str.maketrans("♭♯", "b#")


@dataclass(frozen=True, slots=True)
class Mark:
    """A word: its `text` as typed and its `column` from 1; of a numeral the parts.

    `sign` and `roman` name the degree, `suffix` the quality, `suffix_column` stands where that
    begins; `goal` is the sign and the roman of what it is applied to.
    """

    kind: MarkKind
    text: str
    column: int
    substitute: bool = False
    sign: str = ""
    roman: str = ""
    suffix: str = ""
    suffix_column: int = 0
    goal: tuple[str, str] | None = None


def _text(token: Token | None) -> str:
    return "" if token is None else str(token)


@v_args(inline=True)
class _Marks(Transformer[Token, list[Mark]]):
    """Turns each rule of the grammar into its positioned value."""

    def progression(self, *marks: Mark) -> list[Mark]:
        return list(marks)

    def numeral(
        self,
        sub: Token | None,
        sign: Token | None,
        degree: Token,
        suffix: Token | None,
        goal: tuple[str, Token | None, Token] | None,
    ) -> Mark:
        first = sub or sign or degree
        over = "" if goal is None else f"/{_text(goal[1])}{goal[2]}"
        return Mark(
            kind="numeral",
            text=f"{_text(sub)}{_text(sign)}{degree}{_text(suffix)}{over}",
            column=first.column or 1,
            substitute=sub is not None,
            sign=_text(sign).translate(_SIGNS),
            roman=str(degree),
            suffix=_text(suffix),
            suffix_column=(suffix and suffix.column) or 0,
            goal=None if goal is None else (_text(goal[1]).translate(_SIGNS), str(goal[2])),
        )

    def goal(self, sign: Token | None, degree: Token) -> tuple[str, Token | None, Token]:
        return "/", sign, degree

    def chord(self, token: Token) -> Mark:
        return _mark("chord", token)

    def bar_line(self, token: Token) -> Mark:
        return _mark("bar_line", token)

    def beats(self, token: Token) -> Mark:
        return _mark("beats", token)

    def simile(self, token: Token) -> Mark:
        return _mark("simile", token)

    def mode(self, token: Token) -> Mark:
        return _mark("mode", token)

    def stray(self, token: Token) -> Mark:
        return _mark("stray", token)


def _mark(kind: MarkKind, token: Token) -> Mark:
    return Mark(kind, str(token), token.column or 1)


def progression_marks(text: str) -> list[Mark]:
    """The words of a progression; never fails on what is typed."""
    return _parser().parse(text)  # type: ignore[return-value]


def grammar_text() -> str:
    """The grammar of a progression."""
    return Path(__file__).with_name("progression.lark").read_text(encoding="utf-8")


@cache
def _parser() -> Lark:
    return parser_of(grammar_text(), "progression", _Marks())
