"""Roman numerals of diatonic sevenths in every key and mode against `music21.roman`.

music21 writes what the chord sounds in the key; jazz teaching writes two things differently, and
the table below says them: the major seventh is spelled out (Imaj7 for I7), and degrees of the minor
key count from the major scale (♭III for III). Everything else must agree as it stands.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from midneck.grammar.chord import Chord
from midneck.grammar.key import Key, Mode
from midneck.grammar.pitch import LETTERS, Interval, parse_pitch_name
from midneck.grammar.sheet import Sheet
from music21 import chord as m21_chord
from music21 import key as m21_key
from music21 import roman as m21_roman
from references.progressions import progressions
from support.harmony import analysed, sheet_of
from support.roots import MAJOR_TONICS, MINOR_TONICS

#: (steps, semitones) above the tonic and the symbol of each seventh chord.
MAJOR_SEVENTHS = (
    (0, 0, "maj7"), (1, 2, "m7"), (2, 4, "m7"), (3, 5, "maj7"), (4, 7, "7"), (5, 9, "m7"),
    (6, 11, "m7b5"),
)  # fmt: skip
MINOR_SEVENTHS = (
    (0, 0, "m7"), (1, 2, "m7b5"), (2, 3, "maj7"), (3, 5, "m7"), (4, 7, "m7"), (4, 7, "7"),
    (5, 8, "maj7"),
    (6, 10, "7"), (6, 11, "dim7"),
)  # fmt: skip

#: music21's figure → ours, where the two differ, and why.
DIFFERENCES = {
    ("major", "I7"): "Imaj7",  # the major seventh is spelled out
    ("major", "IV7"): "IVmaj7",
    ("minor", "III7"): "♭IIImaj7",  # and degrees count from the major scale
    ("minor", "bVI7"): "♭VImaj7",
    ("minor", "bVII7"): "♭VII7",
    ("minor", "V75#3"): "V7",  # the raised third goes without saying
    ("minor", "viio7"): "vii°7",  # the printed sign
}


def settled(sheet: Sheet, key: Key) -> Sheet:
    """The sheet with the key of its sections stated by the writer."""
    return replace(sheet, sections=tuple(replace(part, key=key) for part in sheet.sections))


def pitches_of(chord: Chord) -> list[str]:
    """The chord in root position from octave 4, in music21's names (`B-4`)."""
    place = LETTERS.index(chord.root.letter)
    octaves = [4 + (place + tone.degree - 1) // 7 for tone in chord.tones]
    names = [str(chord.spelled(tone)).replace("b", "-") for tone in chord.tones]
    return [f"{name}{octave}" for name, octave in zip(names, octaves, strict=True)]


def cases() -> list[tuple[str, Mode, int, int, str]]:
    major = [(t, "major", *seventh) for t in MAJOR_TONICS for seventh in MAJOR_SEVENTHS]
    minor = [(t, "minor", *seventh) for t in MINOR_TONICS for seventh in MINOR_SEVENTHS]
    return [*major, *minor]  # type: ignore[list-item]


@pytest.mark.parametrize(("tonic", "mode", "steps", "semitones", "symbol"), cases())
def test_a_diatonic_seventh_has_the_numeral_of_music21(
    tonic: str, mode: Mode, steps: int, semitones: int, symbol: str
) -> None:
    name = parse_pitch_name(tonic)
    sheet = settled(sheet_of(f"{name.up(Interval(steps, semitones))}{symbol}"), Key(name, mode))
    reading = analysed(sheet).readings[0]
    chord = sheet.chords[0].chord
    assert reading is not None
    assert chord is not None
    assert str(reading.key) == f"{tonic} {mode}"
    key = m21_key.Key(tonic.replace("b", "-"), mode)
    theirs = m21_roman.romanNumeralFromChord(m21_chord.Chord(pitches_of(chord)), key).figure
    assert reading.roman == DIFFERENCES.get((mode, theirs), theirs)


def applied() -> list[tuple[str, str, int]]:
    """Each applied chord of the references: the bars, its numeral, its index."""
    return [
        (progression.bars, roman, at)
        for progression in progressions()
        for at, roman in enumerate(progression.romans)
        if "/" in roman and roman.startswith(("V7/", "ii7/", "iiø7/"))
    ]


@pytest.mark.parametrize(("bars", "roman", "at"), applied())
def test_an_applied_chord_has_the_notes_that_music21_gives_its_numeral(
    bars: str, roman: str, at: int
) -> None:
    """Degrees count from the major scale in both modes, so music21 is asked in the major key."""
    sheet = sheet_of(bars)
    analysis = analysed(sheet)
    reading, chord = analysis.readings[at], sheet.chords[at].chord
    assert reading is not None
    assert chord is not None
    assert reading.roman == roman
    key = m21_key.Key(str(reading.key.tonic).replace("b", "-"), "major")
    theirs = m21_roman.RomanNumeral(roman.replace("♭", "b"), key)
    ours = {(chord.root.pitch_class + tone.semitones) % 12 for tone in chord.tones}
    assert {pitch.pitchClass for pitch in theirs.pitches} <= ours | {theirs.fifth.pitchClass}


def test_applied_chords_of_many_degrees_are_compared() -> None:
    assert {roman.split("/")[1] for _, roman, _ in applied()} >= {
        "ii", "iii", "III", "IV", "V", "vi", "♭III", "♭VI",
    }  # fmt: skip
