"""Where chord symbols stand in MusicXML: in the bar, in the part, in the file.

Expected values follow MusicXML 4.0 (W3C Community Group Final Report, 2021), elements `harmony`,
`offset`, `transpose`, `score-timewise`.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from midneck.grammar.musicxml import read_musicxml
from midneck.grammar.sheet import Sheet, SheetChord
from support.musicxml_scores import (
    QUARTER,
    WHOLE_REST,
    archive,
    attributes,
    direction,
    harmony,
    key,
    parts,
    score,
    time,
)

BASS = "<bass><bass-step>B</bass-step><bass-alter>-1</bass-alter></bass>"


def only(sheet: Sheet) -> SheetChord:
    (said,) = sheet.chords
    return said


def placed(sheet: Sheet) -> list[tuple[int, str, Fraction, Fraction]]:
    return [
        (bar.number, "N.C." if said.chord is None else str(said.chord.root), said.start, said.beats)
        for bar in sheet.bars
        for said in bar.chords
    ]


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
    assert (said.position.line, said.position.column) == (3, 2)


def test_a_transposing_part_is_read_where_it_sounds() -> None:
    moved = "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>"
    first = key(2) + time() + moved
    sheet = read_musicxml(score(harmony("D", "major-sixth", BASS) + WHOLE_REST, first=first))
    chord = only(sheet).chord
    assert chord is not None
    assert (str(chord.root), str(chord.bass), str(sheet.header.key)) == ("C", "Ab", "C major")
    assert any("transposing" in warning for warning in sheet.warnings)


@pytest.mark.parametrize(
    ("steps", "semitones", "fifths", "root", "expected"),
    [
        (-5, -9, -7, "Cb", "D D major"),  # E flat alto in C flat: D, not E double flat
        (-5, -9, 0, "Bbb", "C Eb major"),
        (0, -1, 0, "C", "Cb Cb major"),  # a semitone down within one letter
        (0, -12, 0, "C", "C C major"),  # octaves without their letters
        (999999, 3, 0, "C", "Eb Eb major"),
    ],
)
def test_what_sounds_has_a_name(
    steps: int, semitones: int, fifths: int, root: str, expected: str
) -> None:
    """Arithmetic on the sounding pitch; no name has two accidentals, no key more than seven."""
    moved = f"<diatonic>{steps}</diatonic><chromatic>{semitones}</chromatic>"
    first = key(fifths) + time() + f"<transpose>{moved}</transpose>"
    sheet = read_musicxml(score(harmony(root) + WHOLE_REST, first=first))
    assert f"{sheet.chords[0].chord} {sheet.header.key}" == expected


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


@pytest.mark.parametrize(
    ("semitones", "expected"),
    [
        (-11, "Db"), (-10, "D"), (-9, "Eb"), (-8, "E"), (-7, "F"), (-6, "F#"), (-5, "G"),
        (-4, "Ab"), (-3, "A"), (-2, "Bb"), (-1, "B"), (1, "Db"), (2, "D"), (3, "Eb"), (4, "E"),
        (5, "F"), (6, "F#"), (7, "G"), (8, "Ab"), (9, "A"), (10, "Bb"), (11, "B"), (14, "D"),
    ],
)  # fmt: skip
def test_semitones_alone_are_the_usual_interval(semitones: int, expected: str) -> None:
    """Without letter steps: those of instruments in B flat, A, E flat, F … (common practice)."""
    moved = f"<transpose><chromatic>{semitones}</chromatic></transpose>"
    sheet = read_musicxml(score(harmony("C") + WHOLE_REST, first=key(0) + time() + moved))
    assert f"{sheet.chords[0].chord} {sheet.header.key}" == f"{expected} {expected} major"


def test_words_of_another_part_are_its_own() -> None:
    """Letters, signs and jumps hold for all parts; what is said to a singer does not."""
    opening = attributes("<divisions>2</divisions>" + key(0) + time())
    said = direction("<rehearsal>Z</rehearsal>") + direction("<words>sweetly</words>")
    voice = f'<measure number="1">{opening}{said}{QUARTER * 4}</measure>'
    comp = f'<measure number="1">{opening}{harmony("G")}{WHOLE_REST}</measure>'
    [section] = read_musicxml(parts(Voice=voice, Comp=comp)).sections
    assert (section.label, section.text) == ("Z", ())
