"""Tunes for tests of harmony: read from a line of bars, played, analysed, moved to another key."""

from __future__ import annotations

from dataclasses import replace

from midneck.converter.harmony.analyse import analyse
from midneck.converter.harmony.analysis import Analysis
from midneck.converter.timeline import timeline_of
from midneck.grammar.key import Key
from midneck.grammar.pitch import Interval
from midneck.grammar.sheet import Sheet
from midneck.grammar.text.reader import read_sheet

#: Every interval up an octave, spelled as transposers spell it: no name needs three accidentals.
INTERVALS = tuple(
    Interval(steps, semitones)
    for steps, semitones in (
        (0, 0), (1, 1), (1, 2), (2, 3), (2, 4), (3, 5), (4, 6), (4, 7), (5, 8), (5, 9),
        (6, 10), (6, 11),
    )
)  # fmt: skip


def sheet_of(bars: str, header: str = "") -> Sheet:
    """A sheet from bars such as `Dm7 | G7 | C6 | %`; `||` begins a new section."""
    sections = bars.split("||")
    labels = "ABCDEFGH"
    body = [f"{labels[at]}:\n| {part.strip()} ||" for at, part in enumerate(sections)]
    return read_sheet("\n".join([header or "Title: Study", "", *body]) + "\n")


def analysed(sheet: Sheet) -> Analysis:
    """The analysis of a sheet in its played order."""
    return analyse(timeline_of(sheet))


def moved(sheet: Sheet, interval: Interval) -> Sheet:
    """The sheet with every chord up an interval; nothing else changes."""
    bars = []
    for bar in sheet.bars:
        chords = []
        for written in bar.chords:
            chord = written.chord
            if chord is not None:
                bass = None if chord.bass is None else chord.bass.up(interval)
                chord = replace(chord, root=chord.root.up(interval), bass=bass)
            chords.append(replace(written, chord=chord))
        bars.append(replace(bar, chords=tuple(chords)))
    return replace(sheet, bars=tuple(bars))


def up(key: Key | None, semitones: int) -> tuple[int, str] | None:
    """A key by sound, so many semitones higher: its pitch class and its mode."""
    return None if key is None else ((key.tonic.pitch_class + semitones) % 12, key.mode)
