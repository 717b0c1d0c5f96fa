"""Names as they are said: every quality in words, which read back as its canonical text.

What names are said like is common practice, no source.
"""

from __future__ import annotations

import re

import pytest
from midneck.converter.prose.spoken import (
    spoken_chord,
    spoken_key,
    spoken_note,
    spoken_numeral,
    spoken_quality,
)
from midneck.grammar.chord import Chord
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.key import parse_key
from midneck.grammar.pitch import PitchName
from midneck.grammar.quality import QUALITIES, Quality
from midneck.grammar.text.progression import read_progression

NAMED = [row for row in QUALITIES if row.kind != "none"]


@pytest.mark.parametrize(
    ("symbol", "said"),
    [
        ("C", "C major"),
        ("Cm", "C minor"),
        ("Cm7", "C minor seven"),
        ("Bb7", "B flat seven"),
        ("F#m7b5", "F sharp minor seven flat five"),
        ("Ebmaj7", "E flat major seven"),
        ("Am(maj7)", "A minor major seven"),
        ("D7b9", "D seven flat nine"),
        ("G7(b9,#9,b13)", "G seven flat nine sharp nine flat thirteen"),
        ("C7alt", "C seven altered"),
        ("Adim7", "A diminished seven"),
        ("Gaug", "G augmented"),
        ("C6/9", "C six nine"),
        ("F13sus4", "F thirteen sus four"),
        ("Cadd9", "C add nine"),
        ("C(b5)", "C major flat five"),
        ("C7(no5)", "C seven no five"),
        ("Ab/C", "A flat major over C"),
        ("Dm7/Bb", "D minor seven over B flat"),
    ],
)
def test_symbols_are_said_as_musicians_say_them(symbol: str, said: str) -> None:
    assert spoken_chord(parse_chord(symbol)) == said


def test_silence_is_said() -> None:
    assert spoken_chord(Chord(PitchName("C"), "none")) == "no chord"


def test_notes_and_keys_are_said() -> None:
    notes = [spoken_note(PitchName("F", alteration)) for alteration in range(-3, 4)]
    assert notes == [
        "F triple flat", "F double flat", "F flat", "F", "F sharp", "F double sharp",
        "F triple sharp",
    ]  # fmt: skip
    assert spoken_key(parse_key("Bb")) == "B flat major"
    assert spoken_key(parse_key("C#m")) == "C sharp minor"
    assert spoken_key(parse_key("D dorian")) == "D dorian"


def test_numerals_are_said() -> None:
    written = "ii7 V7 | Imaj7 bVII7 | V7/ii subV7 | viiø7 #iv°7 | I V7/bIII"
    said = [spoken_numeral(each) for each in read_progression(written).numerals]
    assert said == [
        "two minor seven", "five seven", "one major seven", "flat seven seven",
        "five seven of two", "substitute five seven", "seven minor seven flat five",
        "sharp four diminished seven", "one", "five seven of flat three",
    ]  # fmt: skip


@pytest.mark.parametrize("row", NAMED, ids=lambda row: row.text or "major")
def test_every_quality_is_said_in_words(row: Quality) -> None:
    said = spoken_chord(Chord(PitchName("C"), row.kind, row.changes))
    assert re.fullmatch(r"C( [A-Za-z]+)+", said)
    assert typed(spoken_quality(row.kind, row.changes)) == re.sub(r"[(),/]", "", row.text)


def test_no_two_qualities_are_said_alike() -> None:
    said = [spoken_quality(row.kind, row.changes) for row in NAMED]
    assert len(set(said)) == len(said) > 60


#: Words back to what is typed, written here a second time.
_NUMBERS = [
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
]
_TYPED = {
    "major": "maj", "minor": "m", "diminished": "dim", "augmented": "aug", "altered": "alt",
    "flat": "b", "sharp": "#",
} | {word: str(number) for number, word in enumerate(_NUMBERS, 2)}  # fmt: skip


def typed(said: str) -> str:
    """What is typed for a quality that is said, without its brackets, commas and strokes."""
    text = "".join(_TYPED.get(word, word) for word in said.split())
    for nation in ("Neapolitan", "Italian", "French", "German"):
        text = text.replace(f"{nation}sixth", nation)
    return text.replace("ofanotherkind", "other").replace("majb", "b")
