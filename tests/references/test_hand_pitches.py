"""The notes that grips sound, against music21 pitches.

Sources: music21 `pitch.Pitch` and `interval`; MIDI note numbers of the MIDI Manufacturers
Association; A4 = 440 Hz, ISO 16:1975.
"""

from __future__ import annotations

import pytest
from midneck.converter.hand.costs import candidates
from midneck.converter.hand.planner import plan_hand
from midneck.converter.hand.player import STANDARD_TUNING, Player, midi_number
from music21 import interval, pitch
from support.hand_sheets import chord, sheet, straight
from support.roots import ROOTS

OPEN_STRINGS = ("E2", "A2", "D3", "G3", "B3", "E4")


def test_open_strings_are_the_pitches_of_the_standard_tuning() -> None:
    assert [pitch.Pitch(name).midi for name in OPEN_STRINGS] == list(STANDARD_TUNING)
    assert [midi_number(name) for name in OPEN_STRINGS] == list(STANDARD_TUNING)
    assert pitch.Pitch("A2").frequency == pytest.approx(440.0 * 2 ** ((45 - 69) / 12))


@pytest.mark.parametrize("name", ["C4", "Bb1", "F#3", "B0", "Cb4", "B#3", "E♭2", "F♯3"])
def test_note_names_are_numbered_as_music21_does(name: str) -> None:
    spelled = name.translate(str.maketrans("b♭♯", "--#"))
    assert midi_number(name) == pitch.Pitch(spelled).midi


def test_the_lowest_octave_is_that_of_music21() -> None:
    """Its text D-1 is a D flat: the number is asked for its name instead."""
    low = pitch.Pitch(midi=2)
    assert (low.name, low.octave) == ("D", -1)
    assert midi_number("D-1") == 2


@pytest.mark.parametrize("quality", ["m7", "7", "6", "maj7", "m7b5", "7b9", "13"])
def test_every_note_of_every_candidate_is_its_string_stopped_at_its_fret(quality: str) -> None:
    for root in ROOTS:
        named = chord(root + quality)
        base = pitch.Pitch(root.replace("b", "-"))
        for grip in candidates(named, Player(), "shell").grips:
            for note in grip.voicing.notes:
                string = pitch.Pitch(OPEN_STRINGS[6 - note.string])
                sounding = string.transpose(note.fret)
                assert sounding.midi == note.midi
                above = interval.Interval(base, sounding).semitones % 12
                assert above == note.tone.semitones % 12


def test_a_planned_ii_v_i_sounds_its_roots_and_guide_tones() -> None:
    written = sheet("Dm7 G7 C6")
    plan = plan_hand(straight(written))
    expected = [{"D", "F", "C"}, {"G", "B", "F"}, {"C", "E", "A"}]
    for grip, names in zip(plan.grips, expected, strict=True):
        assert {pitch.Pitch(midi=note.midi).name for note in grip.voicing.notes} == names
