"""Time of reading one chord symbol, new and seen before, against music21's ChordSymbol.

Run `python tests/benchmarks/bench_chords.py`. A broad mix of symbols: every form of `chord_forms`
that music21 reads too, on every root, in mixed order. "New symbol": its text was never seen, as in
a session; "all new": every cache is emptied before each symbol. Times drift: compare the ratios.
"""

from __future__ import annotations

import random
import sys
import time
import warnings
from collections.abc import Callable
from pathlib import Path
from statistics import mean, median

sys.path.insert(0, str(Path(__file__).parents[1]))

from midneck.grammar import chord_items, chord_reader, quality_name
from midneck.grammar.chord_reader import parse_chord
from music21 import harmony
from music21.exceptions21 import Music21Exception
from support.chord_forms import chord_forms

ROOTS = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]
CACHES = [
    cached
    for module in (chord_reader, chord_items, quality_name)
    for name, cached in vars(module).items()
    if hasattr(cached, "cache_clear") and name != "_parser"
]


def main() -> None:
    warnings.simplefilter("ignore")
    start = time.perf_counter()
    parse_chord("C")
    print(f"first symbol, parser built: {1000 * (time.perf_counter() - start):9.1f} ms")
    symbols = [root + form for form in _shared() for root in ROOTS]
    random.Random(7).shuffle(symbols)
    symbols = symbols[:1000]
    theirs = [_seconds(lambda s=symbol: harmony.ChordSymbol(_flat(s))) for symbol in symbols]
    report(f"music21, {len(symbols)} symbols", theirs, theirs)
    _clear()
    report("new symbol", [_seconds(lambda s=symbol: parse_chord(s)) for symbol in symbols], theirs)
    report("all new", [_cleared(symbol) for symbol in symbols], theirs)
    for symbol in symbols:
        parse_chord(symbol)
    seen = [
        _seconds(lambda s=symbol: [parse_chord(s) for _ in range(1000)]) / 1000
        for symbol in symbols
    ]
    report("seen before", seen, theirs)


def report(name: str, ours: list[float], theirs: list[float]) -> None:
    times = f"median {1e6 * median(ours):9.3f} µs, mean {1e6 * mean(ours):9.3f} µs"
    print(f"{name:<24} {times}; music21 / this: {median(theirs) / median(ours):10.1f} by medians")


def _shared() -> list[str]:
    shared = []
    for form, _ in chord_forms():
        try:
            harmony.ChordSymbol("C" + form)
        except (ValueError, Music21Exception):
            continue
        if not form.startswith("-"):
            shared.append(form)
    return shared


def _flat(symbol: str) -> str:
    return symbol[:2].replace("b", "-") + symbol[2:]


def _clear() -> None:
    for cached in CACHES:
        cached.cache_clear()


def _cleared(symbol: str) -> float:
    _clear()
    return _seconds(lambda: parse_chord(symbol))


def _seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


if __name__ == "__main__":
    main()
