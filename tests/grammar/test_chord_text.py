"""Canonical text: what is written reads back, for every root, quality, alteration and bass."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from midneck.grammar.chord import Chord, symbol_pieces
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.pitch import LETTERS, PitchName, Tone
from midneck.grammar.quality import (
    KIND_TONES,
    QUALITIES,
    DegreeChange,
    changes_to,
    chord_tones,
    named,
)

ROOTS = [PitchName(letter, sign) for letter in LETTERS for sign in (-2, -1, 0, 1, 2)]
ALTERATIONS = ["b5", "#5", "b9", "9", "#9", "11", "#11", "b13", "13", "no3", "no5", "sus4", "add9"]
LISTS = ["", *(f"({','.join(c)})" for n in (1, 2, 3) for c in combinations(ALTERATIONS, n))]
QUALITY_TEXTS = [row.text for row in QUALITIES if row.kind != "none"]


def lists_of(quality: str) -> list[str]:
    """All lists of up to two changes, and a third of those of three that differs by quality."""
    first = QUALITY_TEXTS.index(quality) % 3
    return [one for at, one in enumerate(LISTS) if one.count(",") < 2 or at % 3 == first]


@pytest.mark.parametrize("quality", QUALITY_TEXTS)
def test_text_reads_back(quality: str) -> None:
    for at, listed in enumerate(lists_of(quality)):
        root, bass = ROOTS[at % len(ROOTS)], ROOTS[(3 * at + 1) % len(ROOTS)]
        chord = parse_chord(f"{root}{quality}{listed}/{bass}")
        assert parse_chord(str(chord)) == chord
        assert str(parse_chord(str(chord))) == str(chord)
        assert str(chord).isascii()


@pytest.mark.slow
def test_text_reads_back_for_every_root_quality_and_bass() -> None:
    for root in ROOTS:
        for quality in QUALITY_TEXTS:
            chord = parse_chord(f"{root}{quality}")
            assert parse_chord(str(chord)) == chord
            for bass in ROOTS[root.pitch_class % 3 :: 3]:
                over = parse_chord(f"{root}{quality}/{bass}")
                assert parse_chord(str(over)) == over


TONES = st.builds(
    Tone, st.integers(2, 13).filter(lambda d: d not in (8, 10, 12)), st.integers(-1, 1)
)
SETS = st.frozensets(TONES, max_size=7).map(lambda tones: tones | {Tone(1)})


@pytest.mark.slow
@given(SETS, st.sampled_from(sorted(KIND_TONES.keys() - {"none"})))
def test_any_set_of_tones_has_one_name(tones: frozenset[Tone], kind: str) -> None:
    chord = Chord(PitchName("E", -1), *named(tones))
    assert parse_chord(str(chord)) == chord
    for style in ("signs", "letters"):
        assert parse_chord(symbol_pieces(chord, style).text) == chord
    # Told from another kind, as files do, it is the same chord.
    changes = changes_to(frozenset(KIND_TONES[kind]), tones)
    assert frozenset(chord_tones(kind, changes)) == tones
    if changes:
        assert parse_chord(str(Chord(chord.root, kind, changes))) == chord


@pytest.mark.parametrize(("kind", "changes", "text"), [
    ("dominant", [("alter", 5, 1)], "C7#5"),
    ("dominant", [("alter", 5, -1), ("add", 9, -1)], "C7(b5,b9)"),
    ("minor-seventh", [("alter", 5, -1)], "Cm7b5"),
    ("dominant-ninth", [("alter", 9, -1)], "C7(b9)"),
    ("dominant", [("add", 9, 0)], "C9"),
    ("major", [("add", 6, 0)], "C6"),
    ("dominant", [("omit", 3, 0), ("add", 4, 0)], "C7sus4"),
    ("suspended-fourth", [("add", 7, -1), ("add", 9, -1)], "C7sus4(b9)"),
    ("other", [("add", 4, 0), ("add", 7, -1)], "Cquartal"),
    ("dominant-13th", [("alter", 9, -1), ("alter", 11, 1)], "C13(b9,#11)"),
    ("Neapolitan", [], "CNeapolitan"),
    ("none", [], "N.C."),
])  # fmt: skip
def test_text_of_chords_told_as_files_do(kind: str, changes: list[tuple], text: str) -> None:
    chord = Chord(PitchName("C"), kind, tuple(DegreeChange(*change) for change in changes))
    assert str(chord) == text
    if kind != "none":
        assert str(parse_chord(text)) == text
        assert parse_chord(text).tones == chord.tones


def test_a_chord_takes_only_kinds_of_the_standard() -> None:
    with pytest.raises(ValueError, match="'7sus4' is not one of the kinds of MusicXML"):
        Chord(PitchName("C"), "7sus4")


@pytest.mark.parametrize(("symbol", "notes"), [
    ("Ebm", "Eb Gb Bb"), ("Gb7", "Gb Bb Db Fb"), ("Ebm7b5", "Eb Gb Bbb Db"), ("F#", "F# A# C#"),
    ("Bdim7", "B D F Ab"), ("G#7#9", "G# B# D# F# A##"), ("Dbm(maj7)", "Db Fb Ab C"),
    ("C7alt", "C E Gb G# Bb Db D#"), ("A13(#11)", "A C# E G B D# F#"), ("Cb6/9", "Cb Eb Gb Ab Db"),
    ("E7sus4", "E A B D"), ("C#m7b5b9", "C# E G B D"),
])  # fmt: skip
def test_notes_are_spelled(symbol: str, notes: str) -> None:
    chord = parse_chord(symbol)
    assert " ".join(str(chord.spelled(tone)) for tone in chord.tones) == notes
