"""The tokens of a line of music, each with its column."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Final, Literal

from lark import Lark, Transformer, v_args
from lark import Token as LarkToken

from ..chord import Chord
from ..chord_parser import ChordError, parse_chord
from ..errors import WHOLE_FILE, Problem, SourcePosition
from ..mistakes import MAX_MISTAKES, mistake
from ..sheet import Frets, Jump, JumpEnd, JumpTarget
from ..tables import parser_of

# A chord symbol in its place: read, or reported as a problem of the sheet.


def read_chord(text: str, position: SourcePosition, problems: list[Problem]) -> Chord | None:
    """The chord that a symbol names, None (and a problem) when it names none.

    After more than `MAX_MISTAKES` nothing is read: one line can hold many times as many.
    """
    if len(problems) > MAX_MISTAKES:
        return None
    try:
        return parse_chord(text)
    except ChordError as error:
        problems.append(mistake("bad-chord", position, text, error.suggestion))
        return None


def names_chord(text: str) -> bool:
    """Whether a word is a chord symbol."""
    return read_chord(text, WHOLE_FILE, []) is not None


# The words of one line of music: chords, slashes, bar lines, signs, each with its column.
#
# Takes a line, gives `Token`s and `BarLine`s in written order. Nothing here judges: a word that
# belongs nowhere comes out as `stray`, a chord's text is read later. The grammar is `sheet.lark`.

TokenKind = Literal[
    "chord", "beats", "silence", "simile", "long_simile", "long_rest", "pickup", "push", "hold",
    "pin", "length", "segno", "coda", "to_coda", "fine", "jump", "open_pin", "stray",
]  # fmt: skip

#: Signs of music type that stand for a typed bar line (Unicode block Musical Symbols).
BAR_SIGNS: Final = {"‖": "||", "𝄁": "||", "𝄂": "||", "𝄆": "|:", "𝄇": ":|"}


@dataclass(frozen=True, slots=True)
class Token:
    """A word inside a bar. `column` counts from 1.

    `count`: slashes of `beats`, bars of `long_rest`. `amount`: beats of `length`. `frets` of a
    `pin`, None when they are not six frets. `jump`: where a `jump` leads.
    """

    kind: TokenKind
    text: str
    column: int
    count: int = 0
    amount: Fraction | None = None
    frets: Frets | None = None
    jump: Jump | None = None


@dataclass(frozen=True, slots=True)
class BarLine:
    """A bar line: does it close a repeat, open one, is it double, does an ending begin.

    `times`: the number beside `:|`, None where none is written. `endings`: passes in written order.
    """

    text: str
    column: int
    close: bool = False
    open: bool = False
    double: bool = False
    times: int | None = None
    endings: tuple[int, ...] = ()


def _plain(kind: TokenKind) -> Callable[[_Positioned, LarkToken], Token]:
    """The method for a rule whose word says everything by its kind."""

    def word(self: _Positioned, token: LarkToken) -> Token:
        return Token(kind, str(token), _column(token))

    return word


def _column(token: LarkToken) -> int:
    return token.column or 1


def _numbers(token: str) -> list[int]:
    return [int(digits) for digits in re.findall(r"\d{1,6}", token)]


def _frets(inside: str) -> Frets | None:
    """The frets of a pinned grip from string 6 to string 1, None when they are not six."""
    marks = inside.replace(",", " ").split()
    if len(marks) != 6 or not all(re.fullmatch(r"\d{1,2}|[xX-]", mark) for mark in marks):
        return None
    return tuple(int(mark) if mark.isdigit() else None for mark in marks)


@v_args(inline=True)
class _Positioned(Transformer[LarkToken, list[Token | BarLine]]):
    """Turns each rule of the grammar into its positioned value."""

    def line(self, *items: Token | BarLine) -> list[Token | BarLine]:
        return list(items)

    def bar_line(self, token: LarkToken, *extras: int | tuple[int, ...]) -> BarLine:
        text = BAR_SIGNS.get(token, str(token))
        close, opened = text.startswith(":"), text.endswith(":")
        double = text.count("|") > 1 and not close and not opened
        times = next((extra for extra in extras if isinstance(extra, int)), None)
        endings = next((extra for extra in extras if isinstance(extra, tuple)), ())
        return BarLine(str(token), _column(token), close, opened, double, times, endings)

    def repeat_count(self, token: LarkToken) -> int:
        return _numbers(token)[0]

    def endings(self, token: LarkToken) -> tuple[int, ...]:
        passes: list[int] = []
        for first, _, last in re.findall(r"(\d{1,6})(\s*-\s*(\d{1,6}))?", token):
            stop = min(int(last or first), int(first) + 999)
            passes.extend(range(int(first), stop + 1))
        return tuple(passes)

    def beats(self, token: LarkToken) -> Token:
        return Token("beats", str(token), _column(token), count=len(token))

    def long_rest(self, token: LarkToken) -> Token:
        return Token("long_rest", str(token), _column(token), count=_numbers(token)[0])

    def length(self, token: LarkToken) -> Token:
        amount = token[1:].strip()
        whole, _, parts = amount.partition("/")
        if parts and int(parts) == 0:
            return Token("stray", str(token), _column(token))
        share = Fraction(int(whole), int(parts)) if parts else Fraction(amount)
        return Token("length", str(token), _column(token), amount=share)

    def pin(self, token: LarkToken) -> Token:
        return Token("pin", str(token), _column(token), frets=_frets(token[1:-1]))

    def jump(self, token: LarkToken, end: LarkToken | None) -> Token:
        to: JumpTarget = "segno" if "s" in token.lower() else "capo"
        until: JumpEnd = "end"
        if end is not None:
            until = "fine" if end.lower().endswith("fine") else "coda"
        text = f"{token} {end}" if end is not None else str(token)
        return Token("jump", text, _column(token), jump=Jump(to, until))

    chord = _plain("chord")
    silence = _plain("silence")
    simile = _plain("simile")
    long_simile = _plain("long_simile")
    pickup = _plain("pickup")
    push = _plain("push")
    hold = _plain("hold")
    segno = _plain("segno")
    coda = _plain("coda")
    to_coda = _plain("to_coda")
    fine = _plain("fine")
    open_pin = _plain("open_pin")
    stray = _plain("stray")


def music_tokens(line: str) -> list[Token | BarLine]:
    """The words and bar lines of one line; never fails on what is typed."""
    return _parser().parse(line)  # type: ignore[return-value]


def grammar_text() -> str:
    """The grammar of a line."""
    return Path(__file__).with_name("sheet.lark").read_text(encoding="utf-8")


@cache
def _parser() -> Lark:
    return parser_of(grammar_text(), "line", _Positioned())
