"""Transposition: by letters, round all keys and back, in the plainest key."""

from __future__ import annotations

import pytest
from midneck.grammar.chord import Chord
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.key import Key, parse_key
from midneck.grammar.pitch import Interval, PitchName, parse_pitch_name, plain_name
from midneck.grammar.transpose import interval_for, transpose_chord, transpose_key


def key_for(key: Key, semitones: int) -> Key:
    return transpose_key(key, interval_for(key, semitones))


@pytest.mark.parametrize(("symbol", "steps", "semitones", "moved"), [
    ("Ebm7", 1, 2, "Fm7"), ("C7(b9)/E", 2, 3, "Eb7(b9)/G"), ("F#m7b5", 1, 2, "G#m7b5"),
    ("Gb7", 3, 5, "Cb7"), ("Gb7", 2, 5, "B7"), ("B7", 1, 1, "C7"), ("G#7/B#", 1, 2, "A#7/D"),
    ("D", 0, 0, "D"),
    ("Bbb7", 0, 0, "Bbb7"), ("C6/9", -1, -2, "Bb6/9"), ("Cm(maj7)", -3, -5, "Gm(maj7)"),
])  # fmt: skip
def test_chords_move_by_letters(symbol: str, steps: int, semitones: int, moved: str) -> None:
    chord = transpose_chord(parse_chord(symbol), Interval(steps, semitones))
    assert str(chord) == moved


@pytest.mark.parametrize("home", [f"{name}{mode}" for mode in ("", "m") for name in
    ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")])  # fmt: skip
def test_the_key_chosen_has_the_fewest_accidentals(home: str) -> None:
    key = parse_key(home)
    names = [PitchName(letter, sign) for letter in "CDEFGAB" for sign in (-1, 0, 1)]
    signed = transpose_key(key, Interval(0, 0))
    assert key_for(key, 0) == key_for(key, 12) == signed
    for semitones in [*range(-11, 0), *range(1, 12)]:
        chosen = key_for(key, semitones)
        pitch_class = (key.tonic.pitch_class + semitones) % 12
        rivals = [Key(name, key.mode) for name in names if name.pitch_class == pitch_class]
        assert chosen.tonic.pitch_class == pitch_class
        assert chosen.mode == key.mode
        assert abs(chosen.fifths) == min(abs(rival.fifths) for rival in rivals)


def test_of_two_alike_the_side_of_the_old_key_is_kept() -> None:
    assert str(key_for(parse_key("D"), 4)) == "F# major"
    assert str(key_for(parse_key("D"), -1)) == "Db major"
    assert str(key_for(parse_key("Eb"), 3)) == "Gb major"
    assert str(key_for(parse_key("C"), 6)) == "Gb major"
    assert str(key_for(parse_key("Am"), 6)) == "Eb minor"


@pytest.mark.parametrize("home", ["C", "F", "Bb", "Eb", "Ab", "Db", "G", "D", "A", "E", "B", "F#"])
def test_common_chords_come_back_from_every_key(home: str) -> None:
    key = parse_key(home)
    degrees = [(0, 0), (1, 2), (2, 4), (3, 5), (4, 7), (5, 9), (1, 1), (6, 10), (3, 6)]
    for semitones in range(12):
        there = interval_for(key, semitones)
        for steps, size in degrees:
            chord = Chord(key.tonic.up(Interval(steps, size)), "dominant")
            if abs(chord.root.alteration) > 1:
                continue
            moved = transpose_chord(chord, there)
            back = transpose_chord(moved, -there)
            assert moved.root.pitch_class == (chord.root.pitch_class + semitones) % 12
            assert back.root.pitch_class == chord.root.pitch_class
            # A name comes back unless it had to be respelled on the way.
            if moved.root == chord.root.up(there):
                assert back == chord


def test_keys_without_a_signature_take_their_other_name() -> None:
    assert str(transpose_key(parse_key("C#"), Interval(1, 2))) == "Eb major"
    assert str(transpose_key(parse_key("Cb"), Interval(3, 5))) == "E major"


@pytest.mark.parametrize(("name", "plain"), [
    ("Bbb", "A"), ("Fbb", "Eb"), ("Cx", "D"), ("E##", "F#"), ("B##", "C#"), ("Cb", "Cb"),
    ("E#", "E#"),
])  # fmt: skip
def test_double_accidentals_are_named_plainly(name: str, plain: str) -> None:
    note = parse_pitch_name(name)
    assert str(plain_name(note)) == plain
    assert plain_name(note).pitch_class == note.pitch_class
