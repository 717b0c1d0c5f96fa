"""The table of qualities against the standard, and its views against each other."""

from __future__ import annotations

import re
from importlib.util import find_spec
from pathlib import Path
from xml.etree import ElementTree

import pytest
from midneck.grammar.chord import Chord, symbol_pieces
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.pitch import PitchName
from midneck.grammar.quality import (
    FAMILIES,
    KIND_TONES,
    QUALITIES,
    SIGNS,
    SPELLINGS,
    Quality,
    chord_tones,
    fold,
    quality_pattern,
)

SPOKEN = [row for row in QUALITIES if row.kind != "none"]
C = PitchName("C")
XSD = "{http://www.w3.org/2001/XMLSchema}"


def chord(row: Quality) -> Chord:
    return Chord(C, row.kind, row.changes)


def test_kinds_are_those_of_the_standard() -> None:
    # The MusicXML schema that music21 carries: simple type `kind-value`.
    spec = find_spec("music21")
    assert spec is not None
    assert spec.origin is not None
    schema = ElementTree.parse(Path(spec.origin).parent / "musicxml" / "musicxml.xsd")
    types = schema.iter(f"{XSD}simpleType")
    kind = next(each for each in types if each.get("name") == "kind-value")
    names = {value.get("value") for value in kind.iter(f"{XSD}enumeration")}
    assert len(names) == 33
    assert set(KIND_TONES) == names


def test_no_two_rows_sound_or_read_alike() -> None:
    sounds = [row.tones for row in QUALITIES]
    twins = [row.text for row in QUALITIES if sounds.count(row.tones) > 1]
    # By the standard the Neapolitan is a major triad; `other` says nothing but its root.
    # A minor chord with a suspended fourth keeps its name beside the dominant one.
    assert twins == [
        "", "Neapolitan", "pedal", "other", "7sus4", "9sus4", "m7sus4", "m9sus4",
    ]  # fmt: skip
    texts = [row.text for row in QUALITIES]
    assert len(set(texts)) == len(texts)


@pytest.mark.parametrize("row", SPOKEN, ids=lambda row: row.text or "major")
def test_views_of_a_row_agree(row: Quality) -> None:
    assert chord_tones(row.kind, row.changes) == row.tones
    assert parse_chord(f"C{row.text}") == chord(row)
    assert str(chord(row)) == f"C{row.text}"
    for style in ("signs", "letters"):
        assert parse_chord(symbol_pieces(chord(row), style).text) == chord(row)


def test_every_spelling_is_read_as_its_row() -> None:
    assert len(SPELLINGS) > 2000
    wrong = [
        text
        for text, row in SPELLINGS.items()
        if parse_chord("C" + text if text[:1] not in "b#" else "C") != (
            chord(row) if text[:1] not in "b#" or not text else Chord(C, "major")
        )
    ]  # fmt: skip
    assert wrong == []


def test_the_terminal_is_made_of_the_spellings_and_nothing_else() -> None:
    terminal = re.compile(quality_pattern())
    assert [text for text in SPELLINGS if text and not terminal.fullmatch(text)] == []
    letters = sorted({letter for text in SPELLINGS for letter in text})
    pairs = [a + b + c for a in letters for b in letters for c in ("", "5", "7", "9")]
    found = {text for text in pairs if terminal.fullmatch(text)}
    assert found
    assert found <= SPELLINGS.keys()


def test_only_one_spelling_is_claimed_by_two_rows() -> None:
    claims: dict[str, set[str]] = {}
    for row in QUALITIES:
        for pattern in row.spellings:
            texts = [""]
            for part in re.split(r"(\{[^}]+\})", pattern):
                words = FAMILIES[part[1:-1]] if part.startswith("{") else (part,)
                texts = [text + word for text in texts for word in words]
            for text in texts:
                claims.setdefault(text, set()).add(row.text)
    claimed_twice = {text: rows for text, rows in claims.items() if len(rows) > 1}
    # `mj` is maj, not a minor chord with j.
    assert {text[:2] for text in claimed_twice} == {"mj"}
    assert all(SPELLINGS[text].text.startswith("maj") for text in claimed_twice)


def test_folding_keeps_columns() -> None:
    assert all(len(sign) == len(plain) == 1 for sign, plain in SIGNS.items())
    assert fold("C♯–△7（♭9）/E♭") == "C#-△7(b9)/Eb"


@pytest.mark.parametrize(("symbol", "signs", "letters"), [
    ("Ebm7", "E♭–7", "E♭m7"), ("Abmaj7", "A♭△7", "A♭maj7"), ("F#dim7", "F♯°7", "F♯dim7"),
    ("Bm7b5", "Bø7", "Bm7♭5"), ("Caug", "C+", "Caug"), ("G7#5", "G+7", "G7♯5"),
    ("Dm(maj7)", "D–△7", "Dm(maj7)"), ("C7b9", "C7♭9", "C7♭9"), ("C6/9", "C6/9", "C6/9"),
    ("C7b9#11", "C7(♭9,♯11)", "C7(♭9,♯11)"), ("G7#5b9", "G+7♭9", "G7(♯5,♭9)"),
    ("Cm7add11/Gb", "C–7(11)/G♭", "Cm7(11)/G♭"), ("C7no5", "C7(no5)", "C7(no5)"),
    ("C(add#11)", "C(♯11)", "C(♯11)"), ("Dm6/F", "D–6/F", "Dm6/F"), ("Bbb7", "B♭♭7", "B♭♭7"),
])  # fmt: skip
def test_printed_forms(symbol: str, signs: str, letters: str) -> None:
    assert symbol_pieces(parse_chord(symbol)).text == signs
    assert symbol_pieces(parse_chord(symbol), "letters").text == letters


def test_pieces_of_a_printed_form() -> None:
    pieces = symbol_pieces(parse_chord("Bb7#5b9/Ab"), "letters")
    assert (pieces.root, pieces.accidental) == ("B", "♭")
    assert (pieces.quality, pieces.raised) == ("", "7")
    assert pieces.alterations == ("♯5", "♭9")
    assert (pieces.bass, pieces.bass_accidental) == ("A", "♭")
    assert symbol_pieces(parse_chord("Ebm7")).quality == "–"
    assert symbol_pieces(Chord(C, "none")).text == "N.C."
