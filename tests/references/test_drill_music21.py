"""Drills against music21 and plain arithmetic: keys of the cycles, notes of every chord.

Keys: the circle of fourths is the multiples of 7 semitones downwards (mod 12), and every step of a
cycle is music21's interval between two tonics. Chords: the notes of every numeral of every named
progression in every key against music21's `roman.RomanNumeral` in that key. Guide tones: common
practice says that from ii to V one holds and the other falls a semitone.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from midneck.converter.drill.progressions import (
    CYCLES,
    PROGRESSIONS,
    Cycle,
    NamedProgression,
    find_named,
    stepped,
)
from midneck.converter.hand.player import Player, guide_tones
from midneck.grammar.chord import Chord
from midneck.grammar.key import Key, Mode, parse_key
from midneck.grammar.pitch import PitchName
from midneck.grammar.text.progression import read_progression
from music21 import interval as m21_interval
from music21 import key as m21_key
from music21 import note as m21_note
from music21 import roman as m21_roman
from support.roots import MAJOR_TONICS, MINOR_TONICS

C = PitchName("C")
STEPPED = [cycle for cycle in CYCLES if cycle.step]
KEYS = [*MAJOR_TONICS, *(f"{tonic}m" for tonic in (*MINOR_TONICS, "D#"))]

#: Our numeral → music21's figure in the major key on the same tonic, from which degrees count in
#: both modes. music21 takes a bare seventh from the key: where the chord has another one, `[addb7]`
#: says so; a sixth is a note added to the triad.
FIGURES = {
    "ii7": "ii7", "V7": "V7", "I6": "I[add6]", "Imaj7": "I7", "iiø7": "ii/o7",
    "V7(b9)": "V7[addb9]", "i6": "i[add6]", "VI7": "VI7", "iii7": "iii7", "iv7": "iv7",
    "subV7": "bII[addb7]", "bVII7": "bVII[addb7]", "vii°7": "viio7",
    # Numerals beyond the named progressions, as players type them.
    "V7/ii": "V7/ii", "V7/V": "V7/V", "ii7/IV": "ii7/IV", "vii°7/V": "viio7/V", "V7/iii": "V7/iii",
    "bIImaj7": "bII7", "#iv°7": "#ivo7", "bVImaj7": "bVI7", "IV7": "IV[addb7]", "vi7": "vi7",
    "I7": "I[addb7]", "IVmaj7": "IV7",
}  # fmt: skip

#: Progressions that begin with a ii and its V.
CADENCES = ("ii-V-I", "ii-V-Imaj7", "minor-ii-V-i", "ii-V-chain")


@pytest.mark.parametrize("mode", ["major", "minor"])
@pytest.mark.parametrize("cycle", STEPPED, ids=lambda cycle: cycle.name)
def test_every_cycle_visits_all_twelve_keys_once(cycle: Cycle, mode: Mode) -> None:
    keys = [key for row in stepped(C, mode, cycle.step) for key in row]
    assert sorted(key.tonic.pitch_class for key in keys) == list(range(12))
    assert {key.mode for key in keys} == {mode}
    assert max(abs(m21_key_of(key).sharps) for key in keys) <= 6


@pytest.mark.parametrize("mode", ["major", "minor"])
@pytest.mark.parametrize("cycle", STEPPED, ids=lambda cycle: cycle.name)
def test_every_step_is_the_interval_of_music21(cycle: Cycle, mode: Mode) -> None:
    step = cycle.step
    for row in stepped(C, mode, step):
        tonics = [m21_note.Note(m21_name(key.tonic)) for key in row]
        for one, other in pairwise(tonics):
            assert m21_interval.Interval(one, other).semitones % 12 == step % 12


@pytest.mark.parametrize("start", MAJOR_TONICS)
def test_fourths_are_multiples_of_seven_semitones_downwards(start: str) -> None:
    tonic = parse_key(start).tonic
    (row,) = stepped(tonic, "major", 5)
    numbers = [key.tonic.pitch_class for key in row]
    assert numbers == [(tonic.pitch_class - 7 * turn) % 12 for turn in range(12)]


def test_signatures_are_those_of_music21() -> None:
    for mode in ("major", "minor"):
        for row in stepped(C, mode, 5):
            for key in row:
                assert key.fifths == m21_key_of(key).sharps


def m21_name(name: PitchName) -> str:
    return str(name).replace("b", "-")


def m21_key_of(key: Key) -> m21_key.Key:
    return m21_key.Key(m21_name(key.tonic), key.mode)


@pytest.mark.parametrize("name", KEYS)
def test_every_chord_has_the_notes_of_music21_in_that_key(name: str) -> None:
    key = parse_key(name)
    for text, figure in FIGURES.items():
        chord = chord_of(text, key)
        theirs = m21_roman.RomanNumeral(figure, m21_key.Key(m21_name(key.tonic)))
        assert set(chord.pitch_classes) == set(theirs.pitchClasses), (name, text)
        assert chord.root.pitch_class == theirs.root().pitchClass, (name, text)


@pytest.mark.parametrize("name", KEYS)
def test_chords_are_spelled_as_music21_does_where_the_root_is(name: str) -> None:
    """Our roots have plain names (B7 for Cb7); where they agree, every note is spelled alike."""
    key = parse_key(name)
    alike = 0
    for text, figure in FIGURES.items():
        chord = chord_of(text, key)
        theirs = m21_roman.RomanNumeral(figure, m21_key.Key(m21_name(key.tonic)))
        if m21_name(chord.root) == theirs.root().name:
            ours = {m21_name(chord.spelled(tone)) for tone in chord.tones}
            assert ours == {pitch.name for pitch in theirs.pitches}, (name, text)
            alike += 1
    assert alike >= len(FIGURES) // 2


def test_every_named_progression_is_judged() -> None:
    used = {str(numeral) for row in PROGRESSIONS for numeral in row.progression.numerals}
    assert used <= set(FIGURES)


@pytest.mark.parametrize("name", KEYS)
@pytest.mark.parametrize("row", [find_named(name) for name in CADENCES], ids=lambda row: row.name)
def test_from_ii_to_v_one_guide_tone_holds_and_one_falls(row: NamedProgression, name: str) -> None:
    """Common practice, no source."""
    key = parse_key(name)
    two, five = (numeral.chord_in(key) for numeral in row.progression.numerals[:2])
    before, after = guide_classes(two), guide_classes(five)
    (held,) = before & after
    (fallen,) = before - {held}
    assert (fallen - 1) % 12 in after


def guide_classes(chord: Chord) -> set[int]:
    """Pitch classes of the tones that a shell has beside its root."""
    tones = (tone for tone in guide_tones(chord, Player().preferences) if tone is not None)
    return {(chord.root.pitch_class + tone.semitones) % 12 for tone in tones}


def chord_of(text: str, key: Key) -> Chord:
    (numeral,) = read_progression(text).numerals
    return numeral.chord_in(key)
