"""Sheets in other keys: every chord, key and grip moves alike, and the way back sounds the same."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from midneck.grammar.key import Key
from midneck.grammar.pitch import Interval, PitchName, plain_name
from midneck.grammar.text.reader import read_sheet
from midneck.grammar.text.writer import write_sheet
from midneck.grammar.transpose import (
    instrument_interval,
    interval_for,
    interval_to_key,
    transpose_sheet,
)
from support.examples import share
from support.sheets import sheet_texts
from support.tunes import tune_text

TONICS = [PitchName(name[0], name.count("#") - name.count("b")) for name in
          ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")]  # fmt: skip


def music(text: str) -> str:
    return text.split("\n\n", 1)[1]


def test_a_tune_in_another_key() -> None:
    sheet = read_sheet("Key: F\n\nA:\n| Gm7 | C7/Bb | F6 | Dbm7 Gb7 |\nKey: Bb\n| Bb6 | N.C. |\n")
    moved = transpose_sheet(sheet, interval_to_key(Key(PitchName("F")), Key(PitchName("E", -1))))
    assert str(moved.header.key) == "Eb major"
    assert music(write_sheet(moved)) == (
        "A:\n| Fm7 | Bb7/Ab | Eb6 | Bm7 E7 |\n\nKey: Ab\n| Ab6 | N.C. |\n"
    )


# Keys with the fewest accidentals, ties on the side of the old key: common practice, no source.
@pytest.mark.parametrize(
    ("home", "semitones", "tonic"),
    [
        ("C", 1, "Db"), ("C", 6, "Gb"), ("C", 3, "Eb"), ("C", -2, "Bb"), ("C", 11, "B"),
        ("G", 11, "F#"), ("E", 2, "F#"), ("Eb", 3, "Gb"), ("F", 14, "G"), ("A", 4, "Db"),
    ],
)  # fmt: skip
def test_the_plainest_key_is_chosen(home: str, semitones: int, tonic: str) -> None:
    name = PitchName(home[0], home.count("#") - home.count("b"))
    assert str(name.up(interval_for(Key(name), semitones))) == tonic


@pytest.mark.parametrize(("instrument", "tonic"), [("Bb", "D"), ("Eb", "A"), ("F", "G")])
def test_parts_for_instruments(instrument: str, tonic: str) -> None:
    # A tone, a major sixth, a fifth above the sound: MusicXML 4.0, element transpose.
    home = Key(PitchName("C"))
    assert str(home.tonic.up(instrument_interval(home, instrument))) == tonic


@pytest.mark.parametrize("seed", range(120))
def test_the_sound_goes_through_all_twelve_keys_and_back(seed: int) -> None:
    sheet = read_sheet(tune_text(seed))
    home = sheet.header.key
    assert home is not None
    for tonic in TONICS:
        there = interval_to_key(home, Key(tonic))
        moved = transpose_sheet(sheet, there)
        assert moved.header.key is not None
        back = transpose_sheet(moved, interval_to_key(moved.header.key, home))
        for chord, returned in zip(sheet.chords, back.chords, strict=True):
            assert chord.chord is not None
            assert returned.chord is not None
            assert returned.chord.pitch_classes == chord.chord.pitch_classes


def test_chords_of_the_scale_return_with_their_names() -> None:
    sheet = read_sheet("Key: C\n| Cmaj7 Am7 | Dm7 G7 | Em7 Am7 | Bm7b5 E7 | Fmaj7 D7 | C6 |")
    home = Key(PitchName("C"))
    for tonic in TONICS:
        moved = transpose_sheet(sheet, interval_to_key(home, Key(tonic)))
        back = transpose_sheet(moved, interval_to_key(Key(tonic), home))
        assert [chord.text for chord in back.chords] == [chord.text for chord in sheet.chords]


PASSAGES = "| Cmaj7 | Em7b5 A7 | Dm7 Db7 | C Ebm7 | Ab7 | Dbmaj7 | Bm7b5 E7b9 | Am7 |"


@pytest.mark.parametrize("tonic", TONICS, ids=str)
def test_no_hard_names_outside_the_scale_and_cadences_keep_their_fourths(tonic: PitchName) -> None:
    # The names that players expect: common practice, no source.
    sheet = read_sheet(f"Key: C\n{PASSAGES}")
    moved = transpose_sheet(sheet, interval_to_key(Key(PitchName("C")), Key(tonic)))
    roots = [chord.chord.root for chord in moved.chords if chord.chord is not None]
    scale = {str(tonic.up(Interval(steps, size)))
             for steps, size in enumerate((0, 2, 4, 5, 7, 9, 11))}  # fmt: skip
    assert {"E#", "B#", "Cb", "Fb"}.isdisjoint(set(map(str, roots)) - scale)
    for first in (1, 6, 7, 9, 10):
        assert roots[first].interval_to(roots[first + 1]) == Interval(3, 5)


@pytest.mark.parametrize("tonic", TONICS, ids=str)
def test_a_chain_that_comes_home_has_the_names_of_the_key(tonic: PitchName) -> None:
    """ii–Vs from the raised fourth down to the tonic: no D♭m7 G♭7 in B, no D♭m7/C♭ for C♯m7/B.

    The first ii–V may have other names, but both chords of it (common practice, no source).
    """
    sheet = read_sheet(
        "Key: C\n| F#m7b5 B7b9 | Em7 A7 | Dm7 Dm7/C | Bm7b5 E7b9 | Am7 D7 | G7 | C6 |"
    )
    moved = transpose_sheet(sheet, interval_to_key(Key(PitchName("C")), Key(tonic)))
    chords = [each.chord for each in moved.chords if each.chord is not None]
    names = [chord.root for chord in chords]
    scale = [tonic.up(Interval(steps, size)) for steps, size in enumerate((0, 2, 4, 5, 7, 9, 11))]
    assert [names[at] for at in (4, 5, 10, 11)] == [scale[1], scale[1], scale[4], scale[0]]
    assert chords[5].bass == plain_name(scale[0])
    for first in (0, 2, 6, 8):
        assert names[first].interval_to(names[first + 1]) == Interval(3, 5)


def test_a_bridge_in_a_far_key_takes_one_kind_of_accidental() -> None:
    sheet = read_sheet(
        "Key: Ab\n| Abmaj7 Adim7 | Bbm7 Eb7 | Abmaj7 |\n"
        "| Em7 A7 | Dmaj7 | Dm7 G7b5 | CM7 |\n| C7 | Fm7 | Bbm7 Eb7 | Ab6 |\n"
    )
    moved = transpose_sheet(sheet, interval_to_key(Key(PitchName("A", -1)), Key(PitchName("B"))))
    assert " ".join(str(chord.chord) for chord in moved.chords) == (
        "Bmaj7 Cdim7 C#m7 F#7 Bmaj7 Gm7 C7 Fmaj7 Fm7 Bb7b5 Ebmaj7 D#7 G#m7 C#m7 F#7 B6"
    )


@pytest.mark.slow
@given(sheet_texts(), st.integers(0, 11))
@share(0.5)
def test_every_sound_moves_by_the_same_interval(text: str, semitones: int) -> None:
    sheet = read_sheet(text)
    moved = transpose_sheet(sheet, interval_for(Key(PitchName("C")), semitones))
    for before, after in zip(sheet.chords, moved.chords, strict=True):
        if before.chord is not None and after.chord is not None:
            shifted = tuple((note + semitones) % 12 for note in before.chord.pitch_classes)
            assert after.chord.pitch_classes == shifted
            assert abs(after.chord.root.alteration) <= 1
    assert [chord.beats for chord in moved.chords] == [chord.beats for chord in sheet.chords]
    assert moved.comments == sheet.comments


def test_grips_move_with_their_chord() -> None:
    sheet = read_sheet("Key: C\n| Dm7<10 x 10 10 x x> | G7<3 x 3 4 x x> |")
    up = transpose_sheet(sheet, Interval(2, 4))
    assert [chord.pin for chord in up.chords] == [
        (14, None, 14, 14, None, None), (7, None, 7, 8, None, None),
    ]  # fmt: skip
    down = transpose_sheet(sheet, Interval(5, 9))
    assert down.chords[0].pin == (7, None, 7, 7, None, None)
    assert down.chords[1].pin == (12, None, 12, 13, None, None)


def test_fingers_move_with_their_grip_unless_it_has_open_strings() -> None:
    text = "Key: C\n| Dm7<10 x 10 10 x x: 2 - 3 4 - -> | Am<x 0 2 2 1 0: - - 2 3 1 -> |"
    sheet = read_sheet(text)
    moved = transpose_sheet(sheet, Interval(1, 2))
    assert [chord.fingers for chord in moved.chords] == [(2, None, 3, 4, None, None), None]
    assert moved.chords[1].pin == (None, 2, 4, 4, 3, 2)
    assert transpose_sheet(sheet, Interval(0, 0)).chords[1].fingers == (None, None, 2, 3, 1, None)


def test_a_grip_that_fits_nowhere_is_dropped_and_said_so() -> None:
    sheet = read_sheet("Key: C\n| Cm7<1 19 x x x x> |")
    moved = transpose_sheet(sheet, Interval(2, 4))
    assert moved.chords[0].pin is None
    assert moved.warnings == ("bar 1: the grip fixed for Cm7 fits nowhere for Em7",)


def test_no_interval_changes_nothing() -> None:
    sheet = read_sheet("Key: C\n| C-7<8 x 8 8 x x> |")
    assert transpose_sheet(sheet, Interval(0, 0)) == sheet


def test_a_modal_tune_keeps_its_mode() -> None:
    sheet = read_sheet("Key: D dorian\n| Dm7 | Em7 |")
    moved = transpose_sheet(sheet, Interval(2, 3))
    assert str(moved.header.key) == "F dorian"
    assert "Key: F dorian\n" in write_sheet(moved)
    assert read_sheet(write_sheet(moved)).header.key == moved.header.key
