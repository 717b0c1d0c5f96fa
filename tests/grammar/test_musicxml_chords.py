"""Chord symbols in MusicXML: kinds, degrees, bass, place in the bar.

Expected values follow MusicXML 4.0 (W3C Community Group Final Report, 2021), elements `kind-value`,
`degree-alter`, `inversion`, `numeral`, `function`, `offset`.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from midneck.grammar.chord import Chord
from midneck.grammar.musicxml import read_musicxml
from midneck.grammar.pitch import PitchName, Tone
from midneck.grammar.quality import KIND_TONES, Change
from midneck.grammar.sheet import Sheet, SheetChord
from support.musicxml_scores import (
    QUARTER,
    WHOLE_REST,
    archive,
    attributes,
    degree,
    direction,
    harmony,
    key,
    parts,
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


def placed(sheet: Sheet) -> list[tuple[int, str, Fraction, Fraction]]:
    return [
        (bar.number, "N.C." if said.chord is None else str(said.chord.root), said.start, said.beats)
        for bar in sheet.bars
        for said in bar.chords
    ]


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


def test_degrees_become_the_changes_of_the_kind() -> None:
    chord = chord_of(harmony("C", "dominant", degree(9, -1, "add") + degree(5, 1, "alter")))
    assert chord.changes == (Change("alter", 5, 1), Change("add", 9, -1))


def test_bass_and_inversion() -> None:
    assert str(chord_of(harmony("C", "dominant", BASS)).bass) == "Bb"
    first = chord_of(harmony("Eb", "minor-seventh", "<inversion>1</inversion>"))
    assert str(first.bass) == "Gb"
    third = chord_of(harmony("C", "dominant", "<inversion>3</inversion>"))
    assert str(third.bass) == "Bb"
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
    assert said.chord == Chord(PitchName("G"), "other", (Change("add", 4, 0), Change("add", 7, -1)))
    assert any(w.startswith("bar 2: G wobbly: the kind 'wobbly'") for w in sheet.warnings)


def test_what_has_no_root_is_reported_with_its_bar() -> None:
    sheet = read_musicxml(score(harmony() + WHOLE_REST, "<harmony><kind>major</kind></harmony>"))
    assert sheet.bars[1].chords[0].chord is None
    assert "bar 2: a harmony without a root is read as N.C." in sheet.warnings


def test_known_misspellings_of_kinds() -> None:
    assert chord_of(harmony("D", "minor-major")).kind == "major-minor"
    assert chord_of(harmony("D", "tristan")).kind == "Tristan"


def test_chords_stand_where_they_are_written() -> None:
    late = harmony("G", inside="<offset>2</offset>")
    sheet = read_musicxml(
        score(
            harmony("C") + QUARTER + QUARTER + harmony("F") + QUARTER + QUARTER,
            harmony("D") + late + WHOLE_REST,
            harmony("A") + harmony("Bb") + "<note><rest/><duration>8</duration></note>",
        )
    )
    assert placed(sheet) == [
        (1, "C", 0, 2), (1, "F", 2, 2),
        (2, "D", 0, 1), (2, "G", 1, 3),
        (3, "A", 0, 2), (3, "Bb", 2, 2),
    ]  # fmt: skip


def test_beats_count_in_the_lower_number_of_the_meter() -> None:
    quaver = "<note><rest/><duration>1</duration></note>"
    first = key(0) + time(6, 8)
    sheet = read_musicxml(score(harmony("C") + quaver * 3 + harmony("F") + quaver * 3, first=first))
    assert placed(sheet) == [(1, "C", 0, 3), (1, "F", 3, 3)]


def test_a_chord_lasts_until_the_next() -> None:
    sheet = read_musicxml(
        score(harmony("C") + WHOLE_REST, WHOLE_REST, QUARTER * 2 + harmony("F") + QUARTER * 2)
    )
    assert placed(sheet) == [(1, "C", 0, 4), (2, "C", 0, 4), (3, "C", 0, 2), (3, "F", 2, 2)]


def test_before_the_first_chord_and_after_the_words_it_is_silent() -> None:
    silent = direction("<words>N.C.</words>")
    sheet = read_musicxml(
        score(QUARTER * 4, harmony("C") + QUARTER * 2 + silent + QUARTER * 2, QUARTER * 4)
    )
    assert placed(sheet) == [
        (1, "N.C.", 0, 4),
        (2, "C", 0, 2),
        (2, "N.C.", 2, 2),
        (3, "N.C.", 0, 4),
    ]


def test_two_symbols_in_one_place_are_never_dropped_in_silence() -> None:
    backed = "<backup><duration>8</duration></backup>"
    sheet = read_musicxml(score(harmony("C") + WHOLE_REST + backed + harmony("F") + WHOLE_REST))
    assert placed(sheet) == [(1, "F", 0, 4)]
    assert any("stand in one place" in warning for warning in sheet.warnings)


def test_a_symbol_past_the_bar_line_moves_on() -> None:
    late = harmony("F", inside="<offset>12</offset>")
    sheet = read_musicxml(score(harmony("C") + late + WHOLE_REST, WHOLE_REST))
    assert placed(sheet) == [(1, "C", 0, 4), (2, "C", 0, 2), (2, "F", 2, 2)]


def test_an_eighth_early_is_a_push() -> None:
    early = harmony("F", inside="<offset>-1</offset>")
    sheet = read_musicxml(score(harmony("C") + WHOLE_REST, early + WHOLE_REST))
    assert [said.push for said in sheet.chords] == [False, True]
    assert placed(sheet)[1] == (2, "F", 0, 4)


def test_a_fermata_holds_its_chord() -> None:
    held = "<note><rest/><duration>4</duration><notations><fermata/></notations></note>"
    sheet = read_musicxml(score(harmony("C") + "<note><rest/><duration>4</duration></note>"
                                + harmony("F") + held))  # fmt: skip
    assert [said.hold for said in sheet.chords] == [False, True]


def test_places_point_into_the_file() -> None:
    said = only(read_musicxml(score("\n\n " + harmony() + WHOLE_REST)))
    assert (said.place.line, said.place.column) == (3, 2)


def test_a_transposing_part_is_read_where_it_sounds() -> None:
    moved = "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>"
    first = key(2) + time() + moved
    sheet = read_musicxml(score(harmony("D", "major-sixth", BASS) + WHOLE_REST, first=first))
    chord = only(sheet).chord
    assert chord is not None
    assert (str(chord.root), str(chord.bass), str(sheet.header.key)) == ("C", "Ab", "C major")
    assert any("transposing" in warning for warning in sheet.warnings)


def test_an_octave_apart_is_no_transposition() -> None:
    moved = "<transpose><chromatic>0</chromatic><octave-change>-1</octave-change></transpose>"
    sheet = read_musicxml(score(harmony("D") + WHOLE_REST, first=key(2) + time() + moved))
    assert str(sheet.header.key) == "D major"
    assert not any("transposing" in warning for warning in sheet.warnings)


def test_the_part_with_the_symbols_is_read() -> None:
    opening = attributes("<divisions>2</divisions>" + key(0) + time())
    letter = direction("<rehearsal>Z</rehearsal>")
    voice = f'<measure number="1">{opening}{letter}{QUARTER * 4}</measure>'
    comp = f'<measure number="1">{opening}{harmony("G")}{WHOLE_REST}</measure>'
    sheet = read_musicxml(parts(Voice=voice, Comp=comp))
    assert placed(sheet) == [(1, "G", 0, 4)]
    assert sheet.sections[0].label == "Z"
    assert "the chord symbols of 'Comp' are read, one of 2 parts" in sheet.warnings
    assert any("melody is left out" in warning for warning in sheet.warnings)


def test_measures_may_hold_the_parts() -> None:
    opening = attributes("<divisions>2</divisions>" + key(0) + time())
    data = (
        '<score-timewise><part-list><score-part id="P"/></part-list>'
        f'<measure number="1"><part id="P">{opening}{harmony("G")}{WHOLE_REST}</part></measure>'
        f'<measure number="2"><part id="P">{harmony("C")}{WHOLE_REST}</part></measure>'
        "</score-timewise>"
    ).encode()
    assert placed(read_musicxml(data)) == [(1, "G", 0, 4), (2, "C", 0, 4)]


def test_archives_and_other_encodings_read_alike() -> None:
    plain = score(harmony("Eb") + WHOLE_REST)
    text = plain.decode().replace('encoding="UTF-8"', 'encoding="UTF-16"')
    wanted = placed(read_musicxml(plain))
    assert placed(read_musicxml(archive(plain))) == wanted
    assert placed(read_musicxml(text.encode("utf-16"))) == wanted
    assert placed(read_musicxml(b"\xef\xbb\xbf" + plain)) == wanted
