"""Time of reading one chord symbol and spelling its tones, against music21's ChordSymbol.

A broad mix of symbols: every form of `chord_forms` that music21 reads too, on every root, in mixed
order, the whole mix by each side in turns. music21 spells the pitches of a symbol as it reads it;
ours are spelled in the time that is taken. "Caches empty": every cache of ours is emptied before
each symbol; "new": the symbol was never seen, its parts may have been, as in a session.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from statistics import median

from benchmarks.rows import Extent, Row, at_least, forget, milliseconds
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.pitch import PitchName
from music21 import harmony
from music21.exceptions21 import Music21Exception
from support.chord_forms import chord_forms
from support.roots import ROOTS

forget_symbols = forget("midneck.grammar")
MUSIC21 = "music21 `ChordSymbol`"


def rows(extent: Extent) -> list[Row]:
    """The median symbol with all caches empty, and new."""
    symbols = _symbols(extent.tunes)
    _spelled("C")
    empty, new, theirs = [], [], []
    for _ in range(max(1, extent.rounds // 5)):
        empty += [_from_nothing(symbol) for symbol in symbols]
        forget_symbols()
        new += [milliseconds(lambda s=symbol: _spelled(s)) for symbol in symbols]
        theirs += [milliseconds(lambda s=symbol: _by_music21(s)) for symbol in symbols]
    figure = 1000 * median(theirs)

    def row(work: str, taken: Sequence[float]) -> Row:
        return Row(work, 1000 * median(taken), "µs", MUSIC21, figure, at_least(60))

    return [
        row("read a chord symbol, caches empty, tones spelled", empty),
        row("read a chord symbol, new, tones spelled", new),
    ]


def _from_nothing(symbol: str) -> float:
    forget_symbols()
    return milliseconds(lambda: _spelled(symbol))


def _by_music21(symbol: str) -> object:
    return harmony.ChordSymbol(_in_music21(symbol)).pitches


def _spelled(symbol: str) -> list[PitchName]:
    chord = parse_chord(symbol)
    return [chord.spelled(tone) for tone in chord.tones]


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
