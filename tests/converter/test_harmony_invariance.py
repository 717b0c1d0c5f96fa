"""What must not change the analysis: another key, another spelling, a chord written twice.

Over a thousand tunes: half strung from common phrases, half random chords that obey no grammar.
"""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from midneck.converter.harmony.analyse import key_of
from midneck.converter.harmony.analysis import Analysis
from midneck.converter.timeline import timeline_of
from midneck.grammar.pitch import PitchName
from midneck.grammar.sheet import Sheet, SheetChord
from midneck.grammar.text.reader import read_sheet
from support.harmony import INTERVALS, analysed, moved, up
from support.tunes import tune_text

pytestmark = pytest.mark.slow

SYMBOLS = ["maj7", "6", "7", "m7", "m6", "m7b5", "dim7", "7b9", "m"]
BATCH = 50


def phrase_tune(seed: int) -> Sheet:
    """An invented tune without its header key, so that the chords alone decide."""
    sheet = read_sheet(tune_text(seed))
    return replace(sheet, header=replace(sheet.header, key=None))


def random_tune(seed: int) -> Sheet:
    """Twelve bars of any chords at all, some bars of two."""
    chance = random.Random(seed)
    bars = []
    for _ in range(12):
        count = chance.choice((1, 1, 2))
        names = [chance.choice("CDEFGAB") + chance.choice(("", "b")) for _ in range(count)]
        bars.append(" ".join(name + chance.choice(SYMBOLS) for name in names))
    body = " | ".join(bars)
    return read_sheet(f"Title: Soup {seed}\n\nA:\n| {body} ||\n")


def tune(seed: int) -> Sheet:
    return phrase_tune(seed) if seed % 2 else random_tune(seed)


def told(analysis: Analysis, semitones: int = 0) -> object:
    """Everything that an analysis says but names, its keys so many semitones higher."""
    readings = [
        None if r is None else (
            up(r.key, semitones), r.roman, r.role, r.resolves_to, up(r.runner_up, semitones),
            r.margin
        )
        for r in analysis.readings
    ]  # fmt: skip
    areas = [(a.kind, up(a.key, semitones), a.chords, a.bars, a.resolved) for a in analysis.areas]
    return up(analysis.key, semitones), readings, areas


def respelled(sheet: Sheet, chance: random.Random) -> Sheet:
    """Some roots under their other name, at random."""
    bars = []
    for bar in sheet.bars:
        chords = []
        for written in bar.chords:
            chord = written.chord
            if chord is not None and chance.random() < 0.5:
                written = replace(written, chord=replace(chord, root=other_name(chord.root)))
            chords.append(written)
        bars.append(replace(bar, chords=tuple(chords)))
    return replace(sheet, bars=tuple(bars))


def other_name(name: PitchName) -> PitchName:
    names = [PitchName(letter, sign) for letter in "CDEFGAB" for sign in (-1, 0, 1)]
    same = [other for other in names if other.pitch_class == name.pitch_class and other != name]
    return same[0] if same else name


def doubled(sheet: Sheet) -> Sheet:
    """Every chord written twice, half as long."""
    bars = [
        replace(bar, chords=tuple(half for chord in bar.chords for half in halves(chord)))
        for bar in sheet.bars
    ]
    return replace(sheet, bars=tuple(bars))


def halves(chord: SheetChord) -> tuple[SheetChord, SheetChord]:
    half = chord.beats / 2
    first = replace(chord, beats=half)
    return first, replace(chord, start=chord.start + half, beats=half)


@pytest.mark.parametrize("first", range(0, 400, BATCH))
def test_transposing_moves_the_keys_and_changes_nothing_else(first: int) -> None:
    for seed in range(first, first + BATCH):
        interval = INTERVALS[1 + seed % 11]
        sheet = tune(seed)
        assert told(analysed(moved(sheet, interval))) == told(analysed(sheet), interval.semitones)


@pytest.mark.parametrize("first", range(0, 200, BATCH))
def test_the_key_alone_is_the_key_of_the_whole_analysis(first: int) -> None:
    for seed in range(first, first + BATCH):
        for sheet in (tune(seed), read_sheet(tune_text(seed))):
            assert key_of(timeline_of(sheet)) == analysed(sheet).key


@pytest.mark.parametrize("first", range(1000, 1400, BATCH))
def test_respelling_changes_names_only(first: int) -> None:
    for seed in range(first, first + BATCH):
        sheet = tune(seed)
        assert told(analysed(respelled(sheet, random.Random(seed)))) == told(analysed(sheet))


@pytest.mark.parametrize("first", range(2000, 2400, BATCH))
def test_writing_a_chord_twice_changes_no_reading(first: int) -> None:
    for seed in range(first, first + BATCH):
        sheet = tune(seed)
        once, twice = analysed(sheet), analysed(doubled(sheet))
        assert twice.key == once.key
        for at, reading in enumerate(once.readings):
            for copy in (twice.readings[2 * at], twice.readings[2 * at + 1]):
                assert reading is not None
                assert copy is not None
                assert (copy.key, copy.roman, copy.role) == (
                    reading.key,
                    reading.roman,
                    reading.role,
                )
