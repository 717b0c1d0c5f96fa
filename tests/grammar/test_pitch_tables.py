"""The tables of accidentals and of added tones, and that every view of them agrees."""

from __future__ import annotations

import pytest
from midneck.grammar.chord import Chord, accidental_signs
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.pitch import (
    ACCIDENTALS,
    ADDED_TONES,
    LETTERS,
    PitchName,
    accidental_text,
    parse_pitch_name,
)


@pytest.mark.parametrize("letter", LETTERS)
@pytest.mark.parametrize("sign", ACCIDENTALS)
def test_every_accidental_means_the_same_in_a_note_and_in_a_chord(letter: str, sign: str) -> None:
    name = PitchName(letter, ACCIDENTALS[sign])
    assert parse_pitch_name(letter + sign) == name
    if sign != "♮":
        assert parse_chord(letter + sign + "m7").root == name


@pytest.mark.parametrize("alteration", range(-2, 3))
def test_typed_and_printed_accidentals_read_as_their_alteration(alteration: int) -> None:
    assert ACCIDENTALS[accidental_text(alteration)] == alteration
    assert ACCIDENTALS[accidental_signs(PitchName("G", alteration))] == alteration


def test_added_tones_are_as_many_semitones_above_the_root() -> None:
    assert [tone.semitones % 12 for tone in ADDED_TONES] == list(range(12))


@pytest.mark.parametrize("semitones", [1, 2, 3, 6, 8, 9])
def test_an_upper_note_is_the_tension_of_the_table(semitones: int) -> None:
    """A power chord over C7 adds its root and fifth; here both are in the table."""
    upper = next(
        PitchName(letter, sign)
        for letter in LETTERS
        for sign in (0, -1)
        if PitchName(letter, sign).pitch_class == semitones
    )
    found = parse_chord(f"{upper}5/C7")
    expected = {ADDED_TONES[(semitones + fifth) % 12] for fifth in (0, 7)}
    own = {tone.semitones % 12 for tone in Chord(PitchName("C"), "dominant").tones}
    assert {tone for tone in expected if tone.semitones % 12 not in own} <= set(found.tones)
