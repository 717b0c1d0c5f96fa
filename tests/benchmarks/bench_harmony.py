"""Time of the analysis, beside music21's key analysis and roman numerals, as ratios in one run.

Run `python tests/benchmarks/bench_harmony.py`. Invented tunes; every figure is a median. From the
symbols, ours reads the text, plays the form and analyses it whole (keys, numerals, goals, areas);
music21 makes `ChordSymbol`s and calls `analyze("key")` (Krumhansl–Schmuckler), the key alone.
"""

from __future__ import annotations

import gc
import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).parents[1]))

from midneck.converter.form import unfold
from midneck.converter.harmony import analyse, numeral_in
from midneck.grammar.key import Key
from midneck.grammar.pitch import PitchName
from midneck.grammar.reader import read_sheet
from midneck.grammar.sheet import Sheet
from music21 import chord, harmony, key, roman, stream
from support.heard import sheet_of
from support.tunes import tune_text

TUNES = 12
SUFFIX = {
    "major": "", "major-sixth": "6", "major-seventh": "maj7", "minor": "m", "minor-seventh": "m7",
    "minor-sixth": "m6", "half-diminished": "m7b5", "diminished-seventh": "dim7",
}  # fmt: skip
PHRASE = "F6 D7 | Gm7 C7 | Am7 D7 | Gm7 C7 | F6 F7 | Bb6 Bbm6 | Am7 D7 | Gm7 C7"


def milliseconds(work: Callable[[], object], times: int) -> float:
    """The median time of one call."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(1000 * (time.perf_counter() - start))
    return median(taken)


def as_stream(symbols: list[str]) -> stream.Stream:
    """Chord symbols as music21 reads them, two beats each."""
    score = stream.Stream()
    for symbol in symbols:
        read = harmony.ChordSymbol(symbol)
        read.quarterLength = 2.0
        score.append(read)
    return score


def symbols_of(sheet: Sheet) -> list[str]:
    """The chords of a sheet in music21's spelling: root, minus for flat, and kind."""
    return [
        str(written.chord.root).replace("b", "-") + SUFFIX.get(written.chord.kind, "7")
        for written in sheet.chords
        if written.chord is not None
    ]


def main() -> None:
    gc.freeze()  # music21's own objects are not to be searched while either side is timed
    texts = [tune_text(seed) for seed in range(TUNES)]
    sheets = [read_sheet(text) for text in texts]
    forms = [unfold(sheet) for sheet in sheets]
    chords = median(len(sheet.chords) for sheet in sheets)
    print(f"{TUNES} tunes, median {chords:.0f} written chords")
    pairs = list(zip(sheets, forms, strict=True))
    analysing = median(milliseconds(lambda s=s, f=f: analyse(s, f), 7) for s, f in pairs)
    reading = median(milliseconds(lambda t=t: whole(t), 7) for t in texts)
    scores = [as_stream(symbols_of(sheet)) for sheet in sheets]
    key_alone = median(milliseconds(lambda s=s: s.analyze("key"), 1) for s in scores)
    symbols = median(
        milliseconds(lambda s=s: as_stream(symbols_of(s)).analyze("key"), 1) for s in sheets
    )
    print(f"key, numerals, goals, areas: {analysing:.2f} ms a tune")
    print(f"music21, key alone: {key_alone:.1f} ms, {key_alone / analysing:.1f} times ours")
    print(f"from the symbols: ours {reading:.2f} ms")
    print(f"music21 from the symbols: {symbols:.1f} ms, {symbols / reading:.0f} times ours")
    compare_numerals(sheets[0])
    for count in (1, 2, 4, 8):
        sheet = sheet_of(" | ".join([PHRASE] * 4 * count))
        form = unfold(sheet)
        taken = milliseconds(lambda s=sheet, f=form: analyse(s, f), 7)
        print(f"{32 * count:4d} bars, two chords a bar: {taken:.2f} ms")


def whole(text: str) -> object:
    """From text to analysis."""
    sheet = read_sheet(text)
    return analyse(sheet, unfold(sheet))


def compare_numerals(sheet: Sheet) -> None:
    """One numeral in a known key."""
    ours, home = sheet.chords[1].chord, Key(PitchName("C"))
    assert ours is not None
    one, known = chord.Chord(["D4", "F4", "A4", "C5"]), key.Key("C")
    theirs = milliseconds(lambda: roman.romanNumeralFromChord(one, known), 30)
    mine = milliseconds(lambda: [numeral_in(ours, home) for _ in range(100)], 30) / 100
    print(f"one numeral: ours {1000 * mine:.1f} µs, music21 {1000 * theirs:.0f} µs, "
          f"{theirs / mine:.0f} times ours")  # fmt: skip


if __name__ == "__main__":
    main()
