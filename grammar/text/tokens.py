"""The tokens of one line of music, grouped into bars, each with its column.

Takes a line of a sheet, or a typed progression; gives `BarLine`s and `BarTokens` in written order.
The grammar is `sheet.lark`: it groups each chord with the tokens that extend it and accepts any
text. A character that belongs nowhere becomes a `stray` token. Chord symbols, meters and repeats
are checked by the readers of these values. Columns count from 1.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from functools import cache, lru_cache
from pathlib import Path
from typing import Final, Literal

from lark import Lark, Transformer, v_args
from lark import Token as LarkToken

from ..chord import Chord
from ..chord_parser import ChordError, parse_chord
from ..errors import WHOLE_FILE, Problem, SourcePosition
from ..foreign_text import harmless
from ..frozen import frozen
from ..limits import MAX_MISTAKES
from ..mistakes import mistake
from ..numeral import ROMAN, Numeral
from ..pitch import Tone, alteration_of
from ..quality import KIND_TONES
from ..sheet import Fingers, Frets, Jump, JumpEnd, JumpTarget
from ..tables import parser_of

TokenKind = Literal[
    "chord", "slashes", "silence", "simile", "long_simile", "long_rest", "pickup", "push", "hold",
    "pin", "length", "segno", "coda", "to_coda", "fine", "jump", "optional_open", "open_pin",
    "stray",
    "numeral", "mode", "unknown",
]  # fmt: skip

#: Signs of music type that stand for a typed bar line (Unicode block Musical Symbols).
BAR_SIGNS: Final = {"‖": "||", "𝄁": "||", "𝄂": "||", "𝄆": "|:", "𝄇": ":|"}

#: A changed degree, or an accidental alone, at the head of a numeral's suffix.
_CHANGED: Final = re.compile("[b#♭♯𝄫𝄪]+(?P<degree>[0-9]*)")


@frozen
class NumeralParts:
    """The parts of a typed numeral: subV7/bii has a substitute, `V`, `7`, and the goal b, ii.

    `accidental` and `roman` name the degree, `suffix` the quality; `suffix_column` is where that
    begins. `goal` is the accidental and the roman of the degree that the numeral is applied to.
    """

    substitute: bool
    accidental: str
    roman: str
    suffix: str
    suffix_column: int
    goal: tuple[str, str] | None


@frozen
class Token:
    """A token inside a bar.

    `count`: the slashes of `slashes`, the bars of a `long_rest`. `amount`: the beats of a `length`.
    `frets` of a `pin`: None when it is not a grip; its `fingers`: None where none are named.
    `jump`: where a `jump` leads.
    """

    kind: TokenKind
    text: str
    column: int
    count: int = 0
    amount: Fraction | None = None
    frets: Frets | None = None
    fingers: Fingers | None = None
    jump: Jump | None = None
    numeral: NumeralParts | None = None


@frozen
class ChordTokens:
    """A chord symbol, silence or numeral, and what extends it: slashes, pin, length, push, hold.

    `symbol` is None where the extensions continue a chord that does not stand right before them.
    """

    symbol: Token | None
    extensions: tuple[Token, ...]

    @property
    def column(self) -> int:
        """Where it begins."""
        return (self.symbol or self.extensions[0]).column


@frozen
class BarTokens:
    """The tokens between two bar lines: chords with their extensions, and other signs."""

    items: tuple[Token | ChordTokens, ...]

    @property
    def column(self) -> int:
        """Where it begins."""
        return self.items[0].column


@frozen
class BarLine:
    """A bar line: whether it closes or opens a repeat, is double, or begins an ending.

    `times`: the number beside `:|`, None where none is written. `endings`: passes in written order.
    """

    text: str
    column: int
    close: bool = False
    open: bool = False
    double: bool = False
    times: int | None = None
    endings: tuple[int, ...] = ()


LineTokens = tuple[BarLine | BarTokens, ...]


def _of_kind(kind: TokenKind) -> Callable[[TokenBuilder, LarkToken], Token]:
    """The method for a rule whose token has nothing but its kind and text."""

    def token_of_kind(self: TokenBuilder, token: LarkToken) -> Token:
        return Token(kind, str(token), _column(token))

    return token_of_kind


def _column(token: LarkToken) -> int:
    return token.column or 1


def _numbers(token: str) -> list[int]:
    return [int(digits) for digits in re.findall(r"\d{1,6}", token)]


def _row(inside: str, mark: str) -> Frets | None:
    """Six numbers from string 6 to string 1 that match `mark`, None when they are not six."""
    marks = inside.replace(",", " ").split()
    if len(marks) != 6 or not all(re.fullmatch(mark + "|[xX-]", one) for one in marks):
        return None
    return tuple(int(one) if one.isdigit() else None for one in marks)


def _frets(inside: str) -> Frets | None:
    return _row(inside, r"\d{1,2}")


def _pin(text: str, column: int) -> Token:
    """The token of a pinned grip: six frets, and fingers behind a colon."""
    inside, colon, named = text[1:-1].partition(":")
    fingers = _row(named, "[1-4]")
    frets = None if colon and fingers is None else _frets(inside)
    return Token("pin", text, column, frets=frets, fingers=fingers)


@v_args(inline=True)
class TokenBuilder(Transformer[LarkToken, LineTokens]):
    """Builds the tokens while the parser reads: a method for each rule and alias of the grammar."""

    def line(self, endings: BarLine | None, *items: BarLine | BarTokens) -> LineTokens:
        return items if endings is None else (endings, *items)

    def progression(self, *items: BarLine | BarTokens) -> LineTokens:
        return items

    def bar(self, *items: Token | ChordTokens) -> BarTokens:
        return BarTokens(items)

    def chord(self, token: LarkToken, *extensions: Token) -> ChordTokens:
        return ChordTokens(Token("chord", str(token), _column(token)), extensions)

    def silence(self, token: LarkToken, *extensions: Token) -> ChordTokens:
        return ChordTokens(Token("silence", str(token), _column(token)), extensions)

    def numeral_step(self, numeral: Token, *extensions: Token) -> ChordTokens:
        return ChordTokens(numeral, extensions)

    def continued(self, *extensions: Token) -> ChordTokens:
        return ChordTokens(None, extensions)

    def bar_line(self, token: LarkToken, *extras: int | tuple[int, ...]) -> BarLine:
        text = BAR_SIGNS.get(token, str(token))
        close, opened = text.startswith(":"), text.endswith(":")
        double = text.count("|") > 1 and not close and not opened
        times = next((extra for extra in extras if isinstance(extra, int)), None)
        endings = next((extra for extra in extras if isinstance(extra, tuple)), ())
        return BarLine(str(token), _column(token), close, opened, double, times, endings)

    def repeat_count(self, token: LarkToken) -> int:
        return _numbers(token)[0]

    def opening_endings(self, token: LarkToken) -> BarLine:
        return BarLine(str(token), _column(token), endings=self.endings(token))

    def endings(self, token: LarkToken) -> tuple[int, ...]:
        passes: list[int] = []
        for first, _, last in re.findall(r"(\d{1,6})(\s*-\s*(\d{1,6}))?", token):
            stop = min(int(last or first), int(first) + 999)
            passes.extend(range(int(first), stop + 1))
        return tuple(passes)

    def slashes(self, token: LarkToken) -> Token:
        return Token("slashes", str(token), _column(token), count=len(token))

    def long_rest(self, token: LarkToken) -> Token:
        return Token("long_rest", str(token), _column(token), count=_numbers(token)[0])

    def length(self, token: LarkToken) -> Token:
        whole, _, parts = token[1:].strip().partition("/")
        amount = Fraction(whole)
        if parts:
            amount = Fraction(int(whole), int(parts)) if int(parts) else Fraction(0)
        return Token("length", str(token), _column(token), amount=amount)

    def pin(self, token: LarkToken) -> Token:
        return _pin(str(token), _column(token))

    def jump(self, token: LarkToken, end: LarkToken | None) -> Token:
        to: JumpTarget = "segno" if "s" in token.lower() else "capo"
        until: JumpEnd = "end"
        if end is not None:
            until = "fine" if end.lower().endswith("fine") else "coda"
        text = f"{token} {end}" if end is not None else str(token)
        return Token("jump", text, _column(token), jump=Jump(to, until))

    def numeral(
        self,
        substitute: LarkToken | None,
        accidental: LarkToken | None,
        degree: LarkToken,
        suffix: LarkToken | None,
        goal: tuple[str, str] | None,
    ) -> Token:
        over = "" if goal is None else f"/{goal[0]}{goal[1]}"
        text = f"{substitute or ''}{accidental or ''}{degree}{suffix or ''}{over}"
        parts = NumeralParts(
            substitute=substitute is not None,
            accidental=str(accidental or ""),
            roman=str(degree),
            suffix=str(suffix or ""),
            suffix_column=_column(degree if suffix is None else suffix),
            goal=goal,
        )
        column = _column(substitute or accidental or degree)
        return Token("numeral", text, column, numeral=parts)

    def goal(self, accidental: LarkToken | None, degree: LarkToken) -> tuple[str, str]:
        return str(accidental or ""), str(degree)

    simile = _of_kind("simile")
    long_simile = _of_kind("long_simile")
    pickup = _of_kind("pickup")
    push = _of_kind("push")
    hold = _of_kind("hold")
    segno = _of_kind("segno")
    coda = _of_kind("coda")
    to_coda = _of_kind("to_coda")
    fine = _of_kind("fine")
    optional_open = _of_kind("optional_open")
    open_pin = _of_kind("open_pin")
    stray = _of_kind("stray")
    mode = _of_kind("mode")
    unknown = _of_kind("unknown")


@lru_cache(maxsize=512)
def line_tokens(line: str) -> LineTokens:
    """The bars and bar lines of a line of music; accepts any text.

    The last lines are kept: an edit changes one line of a sheet.
    """
    return _parser("line").parse(line)  # type: ignore[return-value]


def progression_tokens(text: str) -> LineTokens:
    """The bars and bar lines of a typed progression; accepts any text, of one line or several."""
    return _parser("progression").parse(harmless(text.replace("\n", " ")))  # type: ignore[return-value]


def grammar_text() -> str:
    """The grammar of a line and of a progression."""
    return Path(__file__).with_name("sheet.lark").read_text(encoding="utf-8")


@cache
def _parser(start: Literal["line", "progression"]) -> Lark:
    return parser_of(grammar_text(), start, TokenBuilder())


def read_chord(text: str, position: SourcePosition, problems: list[Problem]) -> Chord | None:
    """The chord that a symbol names, None (and a problem) when it names none.

    After more than `MAX_MISTAKES` problems nothing is read, because one line can hold many more.
    """
    if len(problems) > MAX_MISTAKES:
        return None
    try:
        return parse_chord(text)
    except ChordError as error:
        problems.append(error.problem(position))
        return None


def names_chord(text: str) -> bool:
    """Whether a text is a chord symbol."""
    return read_chord(text, WHOLE_FILE, []) is not None


def read_numeral(token: Token, problems: list[Problem]) -> Numeral | None:
    """The numeral of a token that has the parts of one, None (and a problem) for none.

    Its quality is read as that of a chord on C.
    """
    parts = token.numeral
    assert parts is not None
    goal = parts.goal
    degrees = all(_is_roman(roman) for roman in (parts.roman, *(goal or ())[1:]))
    if not degrees or (parts.substitute and parts.roman not in ("V", "v")):
        problems.append(mistake("bad-numeral", SourcePosition(1, token.column), token.text))
        return None
    quality = _quality(token, parts, problems)
    if quality is None:
        return None
    if parts.substitute and Tone(7, -1) not in KIND_TONES[quality.kind]:
        problems.append(
            mistake("substitute-not-dominant", SourcePosition(1, token.column), token.text, "subV7")
        )
        return None
    return Numeral(
        degree=ROMAN.index(parts.roman.upper()) + 1,
        alteration=alteration_of(parts.accidental),
        kind=quality.kind,
        changes=quality.changes,
        of=None if goal is None else Tone(ROMAN.index(goal[1].upper()) + 1, alteration_of(goal[0])),
        small=goal is not None and goal[1].islower(),
        substitute=parts.substitute,
    )


def _is_roman(text: str) -> bool:
    return text in ROMAN or (text.upper() in ROMAN and text.islower())


def _quality(token: Token, parts: NumeralParts, problems: list[Problem]) -> Chord | None:
    """The quality of a numeral as a chord on C; a small one is minor unless it states more."""
    small = parts.roman.islower()
    suffix_position = SourcePosition(1, parts.suffix_column)
    refused = mistake("bad-quality", suffix_position, parts.suffix)
    between, suffix = _after_root(parts.suffix)
    heads = ("C", "Cm") if small else ("C",)
    # iv7sus4 stays minor: of both readings, which lack a third, that of Cm7sus4.
    heads = heads[::-1] if "sus" in suffix.lower() else heads
    for head in (each + between for each in heads):
        try:
            chord = parse_chord(head + suffix)
        except ChordError as error:
            refused = error.problem(SourcePosition(1, parts.suffix_column - len(head)))
            continue
        if not small or Tone(3) not in chord.tones:
            return chord
    numeral = token.text[: parts.suffix_column - token.column]
    near = refused.suggestion and numeral + refused.suggestion.removeprefix("C")
    problems.append(replace(refused, suggestion=near))
    return None


def _after_root(suffix: str) -> tuple[str, str]:
    """What stands between the root C and a suffix, and the suffix, so that `#9` is no C#.

    `#9` is `7#9`, as 9 is a seventh chord; other changed degrees are bracketed: `#5` is `(#5)`. An
    accidental without a degree follows `7`, where it is no part of a chord.
    """
    changed = _CHANGED.match(suffix)
    if changed is None:
        return "", suffix
    if changed["degree"] in ("9", "11", "13", ""):
        return "7", suffix
    return "(", f"{changed[0]}){suffix[changed.end() :]}"
