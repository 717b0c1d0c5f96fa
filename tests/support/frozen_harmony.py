"""What the analysis says about invented chord changes, whole: a block for each tune.

The changes are drawn by chance from motions and sounds of every kind, likely and unlikely ones, and
from the phrases of `tunes.py`; half of them state a key. Nothing here claims to be the one right
reading: it shows every reading that a change of the analysis alters.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from typing import Final

from midneck.converter.harmony.analysis import Area, Reading
from midneck.converter.prose.areas import area_sentence, key_sentence
from midneck.grammar.sheet import Sheet
from midneck.grammar.text.reader import read_sheet

from support.harmony import analysed
from support.roots import ROOTS
from support.tunes import tune_text

#: Motions of roots in semitones, and how often each comes.
MOTIONS: Final = {5: 10, 7: 3, 2: 4, 10: 3, 1: 4, 11: 5, 0: 8, 3: 2, 9: 3, 8: 1, 4: 1, 6: 1}
QUALITIES: Final = {
    "7": 9, "m7": 8, "maj7": 5, "6": 4, "m7b5": 3, "7b9": 2, "dim7": 3, "m6": 2, "7sus4": 2, "": 2,
    "m": 2, "m(maj7)": 1, "+": 1, "7#5": 1, "maj7#5": 1, "9": 1, "m9": 1,
}  # fmt: skip
TUNES, STUDIES = 60, 12


def _changes(seed: int) -> str:
    """A sheet of sixteen bars of one to four chords, in 4/4 or 3/4, sections of four bars."""
    chance = random.Random(seed)
    meter, counts = ("3/4", (1, 1, 3)) if seed % 5 == 0 else ("4/4", (1, 1, 1, 2, 2, 4))
    root, lines = chance.randrange(12), []
    for section in range(4):
        bars = []
        for _ in range(4):
            chords = []
            for _ in range(chance.choice(counts)):
                root = (root + chance.choices(list(MOTIONS), list(MOTIONS.values()))[0]) % 12
                quality = chance.choices(list(QUALITIES), list(QUALITIES.values()))[0]
                bass = f"/{ROOTS[chance.randrange(12)]}" if chance.random() < 0.06 else ""
                chords.append(f"{ROOTS[root]}{quality}{bass}")
            bars.append(" ".join(chords))
        lines.append(f"{'ABCD'[section]}:\n| {' | '.join(bars)} ||")
    key = f"Key: {ROOTS[chance.randrange(12)]}{chance.choice(('', 'm'))}\n" if seed % 2 else ""
    return f"Title: Study\nTime: {meter}\n{key}\n" + "\n".join(lines)


def harmony_text() -> str:
    """The readings of all tunes."""
    sheets = [_changes(seed) for seed in range(TUNES)]
    sheets += [tune_text(seed).replace("Key:", "Heard:") for seed in range(STUDIES)]
    return "\n".join("\n".join(_lines(read_sheet(text))) + "\n" for text in sheets)


def _lines(sheet: Sheet) -> Iterator[str]:
    analysis = analysed(sheet)
    yield key_sentence(analysis, sheet)
    yield f"  confidence {analysis.confidence:.2f}, rival {analysis.rival}"
    places = zip(sheet.bar_numbers, sheet.chords, analysis.readings, strict=True)
    for bar, written, reading in places:
        yield f"  {bar:2} {written.text:12} {_reading(reading)}".rstrip()
    for area in analysis.areas:
        yield f"  {_area(area)}: {area_sentence(sheet, area)}"


def _reading(reading: Reading | None) -> str:
    if reading is None:
        return "silent"
    goal = "" if reading.resolves_to is None else f" to {reading.resolves_to}"
    rival = "" if reading.runner_up is None else f", or {reading.runner_up} {reading.margin:.2f}"
    return f"{reading.roman} in {reading.key}, {reading.role}{goal}{rival}"


def _area(area: Area) -> str:
    first, last = area.bars
    chords = " ".join(map(str, area.chords))
    end = f"to {area.goal}" if area.resolved else "open"
    late = "" if area.immediate else " later"
    return f"{area.level} {area.kind} in {area.key}, bars {first}-{last}, {chords}, {end}{late}"
