"""Chord symbols in MusicXML: kinds, degrees, bass, place in the bar.

Expected values follow MusicXML 4.0 (W3C Community Group Final Report, 2021), elements `kind-value`,
`degree-alter`, `inversion`, `numeral`, `function`, `offset`.
"""

from __future__ import annotations

import itertools

import pytest
from midneck.grammar.chord import Chord
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.musicxml import read_musicxml
from midneck.grammar.pitch import PitchName, Tone
from midneck.grammar.quality import KIND_TONES, DegreeChange
from midneck.grammar.sheet import Sheet, SheetChord
from support.musicxml_scores import (
    WHOLE_REST,
    degree,
    harmony,
    key,
    score,
    time,
)

BASS = "<bass><bass-step>B</bass-step><bass-alter>-1</bass-alter></bass>"


def chord_of(element: str, first: str = "") -> Chord:
    chord = only(read_musicxml(score(element + WHOLE_REST, first=first))).chord
    assert chord is not None
    return chord


def only(sheet: Sheet) -> SheetChord:
    (said,) = sheet.chords
    return said


@pytest.mark.parametrize("kind", [kind for kind in KIND_TONES if kind != "none"])
@pytest.mark.parametrize("root", ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"])
def test_every_kind_on_every_root(kind: str, root: str) -> None:
    chord = chord_of(harmony(root, kind))
    assert (str(chord.root), chord.kind, chord.changes) == (root, kind, ())


def test_none_is_silence() -> None:
    assert only(read_musicxml(score(harmony(kind="none") + WHOLE_REST))).chord is None


@pytest.mark.parametrize(
    ("kind", "degrees", "tones"),
    [
        # add: against a dominant chord, so a plain 7 is minor and 7 raised by one is major.
        ("major", degree(7, 0, "add"), "1 3 5 b7"),
        ("major", degree(7, 1, "add"), "1 3 5 7"),
        ("major", degree(7, -1, "add"), "1 3 5 bb7"),
        ("major", degree(9, 0, "add"), "1 3 5 9"),
        ("dominant", degree(9, -1, "add"), "1 3 5 b7 b9"),
        ("dominant", degree(9, -1, "add") + degree(9, 1, "add"), "1 3 5 b7 b9 #9"),
        ("suspended-fourth", degree(7, 0, "add"), "1 4 5 b7"),
        # alter: against the degree that the kind has.
        ("dominant", degree(5, 1, "alter"), "1 3 #5 b7"),
        ("dominant", degree(7, 1, "alter"), "1 3 5 7"),
        ("augmented", degree(5, -1, "alter"), "1 3 5"),
        ("minor", degree(3, 1, "alter"), "1 3 5"),
        ("dominant-ninth", degree(9, -1, "alter"), "1 3 5 b7 b9"),
        ("half-diminished", degree(5, 1, "alter"), "1 b3 5 b7"),
        # an altered degree that the kind lacks is added.
        ("dominant", degree(9, 1, "alter"), "1 3 5 b7 #9"),
        # subtract
        ("dominant", degree(3, 0, "subtract"), "1 5 b7"),
        ("major-11th", degree(3, 0, "subtract") + degree(7, 0, "subtract"), "1 5 9 11"),
        ("dominant-11th", degree(4, 0, "subtract"), "1 3 5 b7 9"),
        ("other", degree(4, 0, "add") + degree(7, 0, "add"), "1 4 b7"),
    ],
)
def test_degrees(kind: str, degrees: str, tones: str) -> None:
    wanted = tuple(
        Tone(int(word.lstrip("b#")), word.count("#") - word.count("b")) for word in tones.split()
    )
    assert chord_of(harmony("C", kind, degrees)).tones == wanted


@pytest.mark.parametrize("kind", [kind for kind in KIND_TONES if kind != "none"])
def test_any_degree_gives_a_chord_that_can_be_written(kind: str) -> None:
    """A fuzz run found an altered root, which no chord symbol can say."""
    degrees = itertools.product(range(1, 15), range(-2, 3), ("add", "alter", "subtract"))
    sheet = read_musicxml(score(*(harmony("G", kind, degree(*d)) + WHOLE_REST for d in degrees)))
    assert len(sheet.chords) == 14 * 5 * 3
    for written in sheet.chords:
        assert written.chord is not None
        again = parse_chord(written.text)
        assert again.root == written.chord.root
        assert {t.semitones % 12 for t in again.tones} == {
            t.semitones % 12 for t in written.chord.tones
        }


def test_degrees_become_the_changes_of_the_kind() -> None:
    chord = chord_of(harmony("C", "dominant", degree(9, -1, "add") + degree(5, 1, "alter")))
    assert chord.changes == (DegreeChange("alter", 5, 1), DegreeChange("add", 9, -1))


def test_bass_and_inversion() -> None:
    assert str(chord_of(harmony("C", "dominant", BASS)).bass) == "Bb"
    first = chord_of(harmony("Eb", "minor-seventh", "<inversion>1</inversion>"))
    assert str(first.bass) == "Gb"
    third = chord_of(harmony("C", "dominant", "<inversion>3</inversion>"))
    assert str(third.bass) == "Bb"
    low = chord_of(harmony("Cbb", "diminished-seventh", "<inversion>3</inversion>"))
    assert str(low.bass) == "G"  # B with four flats
    same = "<bass><bass-step>C</bass-step></bass>"
    assert chord_of(harmony("C", "dominant", same)).bass is None


@pytest.mark.parametrize(
    ("function", "fifths", "mode", "root"),
    [
        ("V", 0, "major", "G"),
        ("bVII", -1, "major", "Eb"),
        ("♯IV", -3, "major", "A"),
        ("iii", 2, "major", "F#"),
        ("VI", 0, "minor", "F"),
        ("II", -3, "minor", "D"),
    ],
)
def test_functions_are_counted_in_the_key(function: str, fifths: int, mode: str, root: str) -> None:
    element = f"<harmony><function>{function}</function><kind>dominant</kind></harmony>"
    assert str(chord_of(element, key(fifths, mode) + time()).root) == root


def test_stacked_functions_count_in_each_other() -> None:
    element = (
        "<harmony><function>V</function><kind>dominant</kind>"
        "<function>II</function><kind>minor</kind></harmony>"
    )
    chord = chord_of(element, key(0) + time())
    assert (str(chord.root), chord.kind) == ("A", "dominant")


@pytest.mark.parametrize(
    ("root", "alter", "own", "expected"),
    [
        (5, 0, "", "G"),
        (7, -1, "", "Bb"),
        (7, 0, "<numeral-key><numeral-fifths>0</numeral-fifths><numeral-mode>natural minor"
               "</numeral-mode></numeral-key>", "G"),
        (7, 0, "<numeral-key><numeral-fifths>0</numeral-fifths><numeral-mode>harmonic minor"
               "</numeral-mode></numeral-key>", "G#"),
        (6, 0, "<numeral-key><numeral-fifths>-3</numeral-fifths><numeral-mode>melodic minor"
               "</numeral-mode></numeral-key>", "A"),
    ],
)  # fmt: skip
def test_numerals_are_counted_in_their_key(root: int, alter: int, own: str, expected: str) -> None:
    element = (
        f"<harmony><numeral><numeral-root>{root}</numeral-root>"
        f"<numeral-alter>{alter}</numeral-alter>{own}</numeral><kind>dominant</kind></harmony>"
    )
    assert str(chord_of(element, key(0) + time()).root) == expected


def test_a_chord_over_a_chord_keeps_every_note() -> None:
    element = (
        "<harmony><root><root-step>D</root-step></root><kind>major</kind>"
        "<root><root-step>C</root-step></root><kind>dominant</kind></harmony>"
    )
    sheet = read_musicxml(score(element + WHOLE_REST))
    chord = only(sheet).chord
    assert chord is not None
    assert str(chord.root) == "C"
    assert set(chord.pitch_classes) == {0, 4, 7, 10, 2, 6, 9}
    assert "bar 1: the chord on D over the one on C is kept as added notes" in sheet.warnings


def test_an_unknown_kind_keeps_its_notes_and_says_so() -> None:
    inside = degree(4, 0, "add") + degree(7, 0, "add")
    sheet = read_musicxml(score(WHOLE_REST, harmony("G", "wobbly", inside) + WHOLE_REST, harmony()))
    said = sheet.bars[1].chords[0]
    assert said.chord == Chord(
        PitchName("G"), "other", (DegreeChange("add", 4, 0), DegreeChange("add", 7, -1))
    )
    assert any(w.startswith("bar 2: G wobbly: the kind 'wobbly'") for w in sheet.warnings)


def test_what_has_no_root_is_reported_with_its_bar() -> None:
    sheet = read_musicxml(score(harmony() + WHOLE_REST, "<harmony><kind>major</kind></harmony>"))
    assert sheet.bars[1].chords[0].chord is None
    assert "bar 2: a harmony without a root is read as N.C." in sheet.warnings


def test_known_misspellings_of_kinds() -> None:
    assert chord_of(harmony("D", "minor-major")).kind == "major-minor"
    assert chord_of(harmony("D", "tristan")).kind == "Tristan"
