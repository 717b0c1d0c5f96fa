"""Intervals and transposition against music21's `interval.Interval` on pitches."""

from __future__ import annotations

import pytest
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.pitch import Interval, PitchName, Tone
from midneck.grammar.transpose import transpose_chord
from music21 import interval, pitch

NAMES = [PitchName(letter, sign) for letter in "CDEFGAB" for sign in (-1, 0, 1)]
#: music21's names for the intervals within an octave, with letter steps and semitones.
INTERVALS = {
    "P1": (0, 0), "m2": (1, 1), "M2": (1, 2), "A2": (1, 3), "d3": (2, 2), "m3": (2, 3),
    "M3": (2, 4), "A3": (2, 5), "d4": (3, 4), "P4": (3, 5), "A4": (3, 6), "d5": (4, 6),
    "P5": (4, 7), "A5": (4, 8), "m6": (5, 8), "M6": (5, 9), "A6": (5, 10), "d7": (6, 9),
    "m7": (6, 10), "M7": (6, 11),
}  # fmt: skip
TONES = {"m9": Tone(9, -1), "M9": Tone(9), "A9": Tone(9, 1), "P11": Tone(11), "A11": Tone(11, 1),
         "m13": Tone(13, -1), "M13": Tone(13), "m3": Tone(3, -1), "d7": Tone(7, -2)}  # fmt: skip


def theirs(name: PitchName) -> pitch.Pitch:
    return pitch.Pitch(str(name).replace("b", "-"))


@pytest.mark.parametrize("named", INTERVALS)
def test_names_move_as_pitches_do(named: str) -> None:
    moved = Interval(*INTERVALS[named])
    for name in NAMES:
        wanted = interval.Interval(named).transposePitch(theirs(name))
        assert str(name.up(moved)) == wanted.name.replace("-", "b")
        down = interval.Interval(f"-{named}" if named != "P1" else named)
        assert str(name.up(-moved)) == down.transposePitch(theirs(name)).name.replace("-", "b")
        assert name.interval_to(name.up(moved)) == moved


@pytest.mark.parametrize("named", TONES)
def test_tones_lie_where_their_intervals_say(named: str) -> None:
    tone = TONES[named]
    wanted = interval.Interval(named)
    assert tone.semitones == tone.interval.semitones == wanted.semitones
    assert tone.interval.steps == abs(wanted.generic.directed) - 1


@pytest.mark.parametrize("named", INTERVALS)
def test_chords_move_as_pitches_do(named: str) -> None:
    moved = Interval(*INTERVALS[named])
    for name in NAMES:
        chord = transpose_chord(parse_chord(f"{name}m7b5/{name.up(Interval(4, 6))}"), moved)
        wanted = interval.Interval(named).transposePitch(theirs(name))
        # What needs a double accidental is named plainly; the sound is the same.
        assert chord.root.pitch_class == wanted.pitchClass
        assert abs(chord.root.alteration) < 2
        if abs(wanted.alter) < 2:
            assert str(chord.root) == wanted.name.replace("-", "b")
        assert chord.bass is not None
        assert chord.bass.pitch_class == (wanted.pitchClass + 6) % 12
