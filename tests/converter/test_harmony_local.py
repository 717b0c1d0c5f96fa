"""Local keys: regions of bridges, modulations near and far, and no border inside a ii–V.

The expected keys are common practice, no source. Each progression is read in all twelve keys.
"""

from __future__ import annotations

import pytest
from midneck.converter.harmony.analyse import analyse
from midneck.converter.harmony.analysis import Analysis
from midneck.converter.timeline import timeline_of
from midneck.grammar.text.reader import read_sheet
from support.harmony import INTERVALS, analysed, moved, sheet_of
from support.tunes import tune_text

A = "F6 | Dm7 | Gm7 | C7 | F6 | Dm7 | Gm7 C7 | F6"

#: A bridge between two A sections in F → its local keys in order, as semitones above F and mode.
BRIDGES = {
    "Cm7 F7 | Bbmaj7 | Cm7 F7 | Bbmaj7 | Dm7 G7 | Cmaj7 | Gm7 | C7": "5 7 0",
    "Cm7 | F7 | Bbmaj7 | % | Dm7 | G7 | Gm7 | C7": "5 0",
    "Bm7 | E7 | Amaj7 | F#m7 | Bm7 E7 | Amaj7 | Gm7 | C7": "4 0",
    "Bm7 E7 | Amaj7 | Bm7 E7 | Amaj7 | Am7 D7 | Gmaj7 | Gm7 | C7": "4 2 0",
    "Cm7 F7 | Bbmaj7 | Bbm7 Eb7 | Abmaj7 | Abm7 Db7 | Gbmaj7 | Gm7 | C7": "5 3 1 0",
    "F#m7 B7 | Emaj7 | F#m7 B7 | Emaj7 | Em7 A7 | Dmaj7 | Gm7 | C7": "11 9 0",
    "Am7b5 D7 | Gm6 | Am7b5 D7 | Gm6 | Gm7b5 C7 | Fm6 | Gm7 | C7": "2m 0m 0",
    "Dm6 | % | Em7b5 A7 | Dm6 | Dm6 | % | G7 | Gm7 C7": "9m 0",
    # Dominants alone, each for two bars, stay in the key.
    "A7 | % | D7 | % | G7 | % | C7 | %": "0",
    "F7 | % | Bbmaj7 | % | G7 | % | Gm7 | C7": "0",
}

#: A tune in C → its local keys in order, as semitones above C.
TUNES = {
    # Four bars by a semitone and by a major third, and more.
    "Cmaj7 | Am7 | Dm7 G7 | Cmaj7 | Ebm7 | Ab7 | Dbmaj7 | % | Dm7 | G7 | Cmaj7 | %": "0 1 0",
    "Cmaj7 | Am7 | Dm7 G7 | Cmaj7 | F#m7 | B7 | Emaj7 | % | Dm7 | G7 | Cmaj7 | %": "0 4 0",
    "Cmaj7 | Am7 | Dm7 G7 | Cmaj7 | Dbmaj7 | Bbm7 | Ebm7 | Ab7 | Dbmaj7 | % | Dm7 | G7 | Cmaj7 |"
    " % | Dm7 G7 | Cmaj7": "0 1 0",
    # Home at once after four bars of the relative minor.
    "Cmaj7 | % | Dm7 G7 | Cmaj7 | Am6 | Bm7b5 E7 | Am6 | % | Dm7 G7 | Cmaj7 | Dm7 G7 | Cmaj7":
    "0 9m 0",
    # A cadence of two bars inside the key is no modulation.
    "C6 | % | Gm7 C7 | Fmaj7 | Dm7 | G7 | C6 | %": "0",
    # The parallel minor, then its relative major for four bars.
    "Dm7 | G7 | Cmaj7 | % | Dm7b5 | G7 | Cm6 | % | Fm7 | Bb7 | Ebmaj7 | % | Dm7 | G7 | Cmaj7 | %":
    "0 0m 3 0",
}  # fmt: skip


def regions(analysis: Analysis, tonic: int) -> str:
    """The local keys in order: semitones above a tonic, minor with m."""
    names: list[str] = []
    for reading in analysis.readings:
        assert reading is not None
        mode = "m" if reading.key.mode == "minor" else ""
        name = f"{(reading.key.tonic.pitch_class - tonic) % 12}{mode}"
        if names[-1:] != [name]:
            names.append(name)
    return " ".join(names)


@pytest.mark.parametrize("bridge", BRIDGES)
def test_the_regions_of_a_bridge_are_local_keys(bridge: str) -> None:
    sheet = sheet_of(f"{A} || {bridge} || {A}")
    for interval in INTERVALS:
        found = regions(analysed(moved(sheet, interval)), 5 + interval.semitones)
        assert found == (BRIDGES[bridge] if BRIDGES[bridge] == "0" else f"0 {BRIDGES[bridge]}")


@pytest.mark.parametrize("bars", TUNES)
def test_a_modulation_stays_and_a_tonicization_does_not(bars: str) -> None:
    sheet = sheet_of(bars)
    for interval in INTERVALS:
        assert regions(analysed(moved(sheet, interval)), interval.semitones) == TUNES[bars]


#: What stands before |1. Cmaj7 and behind |2. Cmaj7 in a tune in Ab.
AROUND_ENDINGS = [
    ("Abmaj7 | Fm7 | Bbm7 | Eb7 | Dm7b5 | G7b9", "Am7 | D7 | Bbm7 | Eb7"),
    ("Fm7 | Bbm7 | Eb7 | Abmaj7 | Dm7b5 | G7b9", "Am7 D7 | Dm7 G7 | Bbm7 Eb7 | Abmaj7"),
    ("Bbm7 Eb7 | Bbm7 | Eb7 | F7 | Dm7b5 G7b9", "Am7 | D7 | Cm7 F7 | Bbm7 Eb7"),
    ("Abmaj7 | Cm7 | Dm7b5 | G7b9", "Am7 D7 | Cm7 F7 | Bbm7 Eb7"),
]


@pytest.mark.parametrize(("before", "after"), AROUND_ENDINGS)
def test_silence_in_a_first_ending_leaves_the_key_that_its_chord_has(
    before: str, after: str
) -> None:
    """The chord before N.C. is read as one that sounds through it, as the second ending is."""
    found = []
    for silence in ("N.C.", "%"):
        bars = f"| {before} |1. Cmaj7 | {silence} :|2. Cmaj7 | {after} ||"
        sheet = read_sheet(f"Key: Ab\n\n{bars}\n")
        readings = analyse(timeline_of(sheet)).readings
        found.append([
            (str(reading.key), reading.roman)
            for chord, reading in zip(sheet.chords, readings, strict=True)
            if chord.text == "Cmaj7" and reading is not None
        ])  # fmt: skip
    assert found == [[("C major", "Imaj7")] * 2] * 2


def test_no_key_changes_between_a_ii_and_its_v() -> None:
    pairs = 0
    for seed in range(120):
        sheet = read_sheet(tune_text(seed))
        analysis = analyse(timeline_of(sheet))
        for area in analysis.areas:
            if area.kind == "ii-V-I":
                two, five = (analysis.readings[at] for at in area.chords[:2])
                assert two is not None
                assert five is not None
                # A minor sixth chord is the i of its own key first.
                if "m6" not in sheet.chords[area.chords[0]].symbol:
                    pairs += 1
                    assert two.key == five.key, seed
    assert pairs > 300
