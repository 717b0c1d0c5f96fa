"""Time of reading one chord symbol, new and seen before, against music21's ChordSymbol.

A broad mix of symbols: every form of `chord_forms` that music21 reads too, on every root, in mixed
order. "New": the symbol was never seen, its parts may have been, as in a session; "all new": every
cache is emptied before each symbol.
"""

from __future__ import annotations

import random
from statistics import median

from benchmarks.rows import Extent, Row, Target, at_least, forget, milliseconds
from midneck.grammar.chord_parser import parse_chord
from music21 import harmony
from music21.exceptions21 import Music21Exception
from support.chord_forms import chord_forms
from support.roots import ROOTS

forget_symbols = forget("midneck.grammar")
MUSIC21 = "music21 `ChordSymbol`"
#: Reading a seen symbol is too short to be timed alone.
REPEATS = 1000


def rows(extent: Extent) -> list[Row]:
    """The median symbol, all new, new and seen before."""
    symbols = _symbols(extent.tunes)
    parse_chord("C")
    theirs = 1000 * median(
        milliseconds(lambda s=s: harmony.ChordSymbol(_in_music21(s))) for s in symbols
    )

    def row(work: str, ours: float, target: Target) -> Row:
        return Row(work, ours, "µs", MUSIC21, theirs, target)

    return [
        row("read a chord symbol, all caches empty", _all_new(symbols), at_least(20)),
        row("read a chord symbol, new", _new(symbols), at_least(20)),
        row("read a chord symbol, seen before", _seen(symbols), at_least(1000)),
    ]


def _symbols(count: int) -> list[str]:
    symbols = [root + form for form in _shared() for root in ROOTS]
    random.Random(7).shuffle(symbols)
    return symbols[:count]


def _shared() -> list[str]:
    """The forms that music21 reads too."""
    shared = []
    for form, _ in chord_forms():
        try:
            harmony.ChordSymbol("C" + form)
        except (ValueError, Music21Exception):
            continue
        if not form.startswith("-"):
            shared.append(form)
    return shared


def _in_music21(symbol: str) -> str:
    """A flat root as music21 writes it."""
    return symbol[:2].replace("b", "-") + symbol[2:]


def _all_new(symbols: list[str]) -> float:
    taken = []
    for symbol in symbols:
        forget_symbols()
        taken.append(milliseconds(lambda s=symbol: parse_chord(s)))
    return 1000 * median(taken)


def _new(symbols: list[str]) -> float:
    forget_symbols()
    return 1000 * median(milliseconds(lambda s=s: parse_chord(s)) for s in symbols)


def _seen(symbols: list[str]) -> float:
    taken = []
    for symbol in symbols:
        parse_chord(symbol)
        taken.append(milliseconds(lambda s=symbol: [parse_chord(s) for _ in range(REPEATS)]))
    return 1000 * median(taken) / REPEATS
