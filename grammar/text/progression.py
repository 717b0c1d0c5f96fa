"""A typed progression: numerals, or chords in one key, bar by bar.

Takes text such as `ii7 | V7 | I6`, `iiø7 V7b9 i6`, `| ii7 V7 | Imaj7 |`, `V7/ii`, `subV7`, or
`Dm7 G7 C6` with their key; gives a `Progression`. The tokens are those of `sheet.lark`. Conventions
(common practice, no source):

- Without bar lines each chord has a bar of its own; dashes, commas and spaces separate chords.
- Between bar lines chords share a bar as in a sheet; `%` repeats the bar before.
- Capitals have a major third, small numerals a minor one. The suffix is that of a chord symbol: ii7
  is a minor seventh, V7 a dominant, bare ii and V are triads.
- Degrees count from the major scale in both modes: the VI of C minor is A, its bVI is A flat.
- `minor:` or `major:` before all states the mode where the chords leave it open.

Columns count from 1 in the text as it was typed.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from ..beats import Share, misfit
from ..checks import check_text
from ..chord import Chord
from ..errors import Problem, SheetError, SourcePosition
from ..foreign_text import harmless
from ..key import Key, Tonality
from ..limits import MAX_PROGRESSION, MAX_PROGRESSION_CHORDS
from ..mistakes import mistake
from ..numeral import Numeral, numeral_of
from ..progression import Measure, Progression, ProgressionStep, bar_beats, played_bars, usual_mode
from ..sheet import COMMON_TIME, Meter
from .tokens import (
    BarLine,
    BarTokens,
    ChordTokens,
    LineTokens,
    NumeralParts,
    Token,
    names_chord,
    progression_tokens,
    read_chord,
    read_numeral,
)  # fmt: skip

#: The name of a progression in messages.
NAME: Final = "the progression"
#: The position of a problem of the whole text.
START: Final = SourcePosition(1, 1)

#: A bar as typed: each numeral, chord or simile, and how many tokens it and its slashes are.
_TypedBar = list[tuple[Token, int]]


def read_progression(text: str, key: Key | None = None, meter: Meter = COMMON_TIME) -> Progression:
    """The progression that a text names; `key` is needed where it is written in chords.

    `meter` is the meter that its slashes must fill. Raises SheetError.
    """
    check_text("a progression", text)
    if len(text) > MAX_PROGRESSION:
        raise SheetError((mistake("progression-too-long", START, most=MAX_PROGRESSION),), NAME)
    problems: list[Problem] = []
    flat = harmless(text.replace("\n", " "))
    tokens = progression_tokens(flat)
    mode = _stated_mode(tokens, problems)
    typed = _typed_bars(tokens, problems)
    symbols = _symbols(typed)
    _check_symbols(symbols, key, problems)
    bars = tuple(_measure(bar, key, meter, problems) for bar in typed)
    if not problems and not any(bars):
        problems.append(mistake("progression-empty", START))
    chords = sum(len(bar) for bar in played_bars(bars))
    if max(chords, len(bars)) > MAX_PROGRESSION_CHORDS:
        problems.append(mistake("progression-too-many", START, most=MAX_PROGRESSION_CHORDS))
    if problems:
        located = {replace(problem, source=flat) for problem in problems}
        ordered = sorted(located, key=lambda problem: (problem.column, problem.label))
        raise SheetError(tuple(ordered), NAME)
    if key is not None and any(symbol.kind == "chord" for symbol in symbols):
        mode = key.tonality
    numerals = tuple(step.numeral for bar in bars for step in bar)
    return Progression(bars, mode or usual_mode(numerals))


def parse_numeral(text: str) -> Numeral:
    """The numeral that a text names: `ii7`, `bVII7`, `V7/ii`, `subV7`. Raises SheetError."""
    problems: list[Problem] = []
    match progression_tokens(text[: MAX_PROGRESSION + 1]):
        case (BarTokens((ChordTokens(Token(numeral=NumeralParts()) as token, ()),)),):
            numeral = read_numeral(token, problems)
            if numeral is not None:
                return numeral
    problems = problems or [mistake("not-a-numeral", START, text)]
    raise SheetError(tuple(replace(problem, source=text) for problem in problems), "the numeral")


def is_music(text: str) -> bool:
    """Whether a text has a numeral, bar line or chord symbol; a name of a progression has none."""
    tokens = progression_tokens(text[:MAX_PROGRESSION])
    symbols = [symbol for bar in _typed_bars(tokens, []) for symbol, _ in bar]
    return any(isinstance(item, BarLine) for item in tokens) or any(
        symbol.kind != "chord" or names_chord(symbol.text) for symbol in symbols
    )


def chords_typed(text: str) -> tuple[Chord, ...]:
    """The chords of a progression typed in chords; none where it is in numerals, or unreadable."""
    symbols = _symbols(_typed_bars(progression_tokens(text[:MAX_PROGRESSION]), []))
    if any(symbol.kind == "numeral" for symbol in symbols):
        return ()
    chords = (_read_chord_alone(symbol, []) for symbol in symbols)
    return tuple(chord for chord in chords if chord is not None)


def _problem(label: str, token: Token | BarLine, suggestion: str = "") -> Problem:
    return mistake(label, SourcePosition(1, token.column), token.text, suggestion)


def _stated_mode(tokens: LineTokens, problems: list[Problem]) -> Tonality | None:
    """The mode stated before everything else, None where none is."""
    items = [item for bar in tokens if isinstance(bar, BarTokens) for item in bar.items]
    modes = [item for item in items if isinstance(item, Token) and item.kind == "mode"]
    stated = bool(modes) and isinstance(tokens[0], BarTokens) and modes[0] is items[0]
    problems += [_problem("mode-late", token) for token in modes[stated:]]
    if not stated:
        return None
    return "minor" if modes[0].text.lower().startswith("minor") else "major"


def _typed_bars(tokens: LineTokens, problems: list[Problem]) -> list[_TypedBar]:
    """The bars that the bar lines make; without bar lines each chord is a bar."""
    bars: list[_TypedBar] = []
    for item in tokens:
        if isinstance(item, BarTokens):
            bars.append(_typed_bar(item, problems))
        elif item.open or item.close or item.endings or item.times is not None:
            problems.append(_problem("progression-repeat", item))
    if not any(isinstance(item, BarLine) for item in tokens):
        bars = [[typed] for bar in bars for typed in bar]
    bars = [bar for bar in bars if bar]
    if bars and bars[0][0][0].kind == "simile":
        problems.append(_problem("simile-nothing", bars[0][0][0]))
    return bars


def _typed_bar(bar: BarTokens, problems: list[Problem]) -> _TypedBar:
    """A bar as typed; slashes that follow a separator belong to the chord before it."""
    steps: _TypedBar = []
    for item in bar.items:
        if isinstance(item, Token):
            if item.kind == "simile":
                steps.append((item, 1))
            elif item.kind == "unknown":
                problems.append(_problem("not-a-numeral", item))
            continue
        slashes = sum(token.count for token in item.extensions)
        if item.symbol is not None:
            steps.append((item.symbol, 1 + slashes))
        elif steps and steps[-1][0].kind != "simile":
            steps[-1] = (steps[-1][0], steps[-1][1] + slashes)
        else:
            problems.append(_problem("no-chord-before", item.extensions[0]))
    return steps


def _symbols(bars: list[_TypedBar]) -> list[Token]:
    """The numerals and chord symbols, in order."""
    return [symbol for bar in bars for symbol, _ in bar if symbol.kind != "simile"]


def _check_symbols(symbols: list[Token], key: Key | None, problems: list[Problem]) -> None:
    """Report numerals beside chords, and chords without a key."""
    others = [symbol for symbol in symbols if symbol.kind != symbols[0].kind]
    problems += [_problem("numerals-and-chords", symbol) for symbol in others]
    if symbols and symbols[0].kind == "chord" and key is None:
        problems.append(_problem("key-unknown", symbols[0]))


def _measure(bar: _TypedBar, key: Key | None, meter: Meter, problems: list[Problem]) -> Measure:
    """The steps of a bar; none for a `%`, and none where something in it is wrong."""
    similes = [symbol for symbol, _ in bar if symbol.kind == "simile"]
    if similes:
        if len(bar) > 1:
            problems.append(_problem("mixed-bar", similes[0]))
        return ()
    read = [(_read_symbol(symbol, key, problems), count) for symbol, count in bar]
    steps = tuple(ProgressionStep(numeral, count) for numeral, count in read if numeral is not None)
    if len(steps) == len(bar) and bar_beats(steps, meter) is None:
        first, shares = bar[0][0], [Share(step.tokens) for step in steps]
        problems.append(misfit([first.text], shares, meter, SourcePosition(1, first.column)))
    return steps


def _read_symbol(symbol: Token, key: Key | None, problems: list[Problem]) -> Numeral | None:
    """The numeral that a token names, of a chord by its key; None (and a problem) for none."""
    if symbol.numeral is not None:
        return read_numeral(symbol, problems)
    chord = _read_chord_alone(symbol, problems)
    return None if chord is None or key is None else numeral_of(chord, key)


def _read_chord_alone(symbol: Token, problems: list[Problem]) -> Chord | None:
    """The chord of a symbol, None (and a problem) for none or for one over a bass note."""
    chord = read_chord(symbol.text, SourcePosition(1, symbol.column), problems)
    if chord is not None and chord.bass is not None:
        alone = str(Chord(chord.root, chord.kind, chord.changes))
        problems.append(_problem("bass-note", symbol, alone))
        return None
    return chord
