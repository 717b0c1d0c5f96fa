"""Spellings that could be read in two ways: what was decided (common practice, no source)."""

from __future__ import annotations

import pytest
from midneck.grammar.chord import Chord
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.pitch import PitchName
from midneck.grammar.quality import DegreeChange


@pytest.mark.parametrize(("doubtful", "plain"), [
    ("CM", "C"), ("Cm", "Cminor"), ("C-", "Cm"), ("CM7", "Cmaj7"), ("Cm7", "Cmin7"),
    ("C-7", "Cm7"), ("C-9", "Cm9"), ("C-5", "C(b5)"), ("C7-9", "C7(b9)"), ("C7-5", "C7b5"),
    ("C+", "Caug"), ("C+5", "Caug"), ("C+7", "C7#5"), ("C+9", "C9#5"), ("C7+9", "C7(#9)"),
    ("C7+", "C7#5"), ("C+11", "C11#5"), ("Cm+7", "Cm(maj7)"), ("C-maj7", "Cm(maj7)"),
    ("Co", "Cdim"), ("C0", "Cdim"), ("Co7", "Cdim7"), ("C07", "Cdim7"), ("Comit3", "C5"),
    ("C△", "Cmaj7"), ("Cø", "Cm7b5"), ("Cmj7", "Cmaj7"),
    ("C69", "C6/9"), ("C6/9", "C6add9"), ("C2", "Cadd9"), ("C4", "Csus4"), ("Csus", "Csus4"),
    ("C7sus", "C7sus4"), ("C(no3)", "C5"), ("C11sus", "C9sus4"), ("Cm7(sus)", "Cm7sus4"),
    ("Cmadd9", "Cm(add9)"), ("Cmaadd9", "Cadd9"), ("C9(b9)", "C7(b9)"), ("C(#4)", "C(#11)"),
    ("C7/13", "C7(13)"), ("C/C", "C"), ("C(7)", "C7"), ("C(maj7)", "Cmaj7"),
    ("Cm7(maj7)", "Cm(maj7)"),
])  # fmt: skip
def test_doubtful_spellings_are_settled(doubtful: str, plain: str) -> None:
    assert parse_chord(doubtful) == parse_chord(plain)


def test_an_accidental_after_the_letter_belongs_to_the_root() -> None:
    assert parse_chord("Gb5") == Chord(PitchName("G", -1), "power")
    assert parse_chord("G(b5)") == Chord(PitchName("G"), "major", (DegreeChange("alter", 5, -1),))
    assert parse_chord("C#9") == Chord(PitchName("C", 1), "dominant-ninth")
    assert parse_chord("C(#9)") == Chord(PitchName("C"), "major", (DegreeChange("add", 9, 1),))
    assert parse_chord("Bb") == Chord(PitchName("B", -1), "major")
    assert parse_chord("B(b5)").root == PitchName("B")


def test_a_stroke_in_six_nine_is_no_bass() -> None:
    assert parse_chord("C6/9").bass is None
    assert parse_chord("C6/9/G").bass == PitchName("G")
    assert parse_chord("C6/G").bass == PitchName("G")
    assert parse_chord("Cm/maj7").bass is None
    assert parse_chord("C/9/E") == parse_chord("Cadd9/E")


@pytest.mark.parametrize(("stacked", "single"), [
    ("D/C7", "C13(#11)"), ("C/Dm", "Dm11"), ("C/Dm7", "Dm11"), ("Eb/C7", "C7(#9)"),
    ("A/C7", "C7(b9,13)"), ("F#/C7", "C7(b9,#11)"), ("Ab/C7", "C7(#9,b13)"),
    ("D/Cmaj7", "Cmaj13(#11)"), ("D/Cmaj", "C6/9(#11)"), ("Bm/G7", "G7(addmaj7)"),
])  # fmt: skip
def test_a_chord_below_takes_in_the_upper_one(stacked: str, single: str) -> None:
    assert set(parse_chord(stacked).pitch_classes) == set(parse_chord(single).pitch_classes)
    assert parse_chord(stacked).root == parse_chord(single).root
    assert parse_chord(str(parse_chord(stacked))) == parse_chord(stacked)


def test_a_chord_below_gives_the_names_that_players_use() -> None:
    assert [str(parse_chord(text)) for text in ("D/C7", "C/Dm7", "Eb/C7", "A/C7")] == [
        "C13(#11)", "Dm11", "C7(#9)", "C7(b9,13)",
    ]  # fmt: skip
    # A letter alone below is the bass; a triad below says that it is one.
    assert parse_chord("D/C") == Chord(PitchName("D"), "major", (), PitchName("C"))
    assert parse_chord("D/Cmaj").root == PitchName("C")


def test_white_space_round_a_symbol_does_not_count() -> None:
    assert parse_chord("  Cm7 ") == parse_chord("C m7".replace(" ", ""))
    assert parse_chord("C7( b9 , #11 )") == parse_chord("C7(b9,#11)")
