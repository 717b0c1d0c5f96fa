"""What chords sound like to harmony, in the trade's own terms (common practice, no source)."""

from __future__ import annotations

import pytest
from midneck.converter.harmony.chord_class import ChordClass, Sound, chord_class
from support.harmony import sheet_of

FOLDED = {
    "C": Sound.MAJOR, "C6": Sound.MAJOR_6, "Cmaj7": Sound.MAJOR_7, "Cmaj9": Sound.MAJOR_7,
    "C7": Sound.DOMINANT, "C9": Sound.DOMINANT, "C13": Sound.DOMINANT, "C7b9": Sound.DOMINANT,
    "C7#5": Sound.DOMINANT, "C7sus4": Sound.SUSPENDED, "Cm": Sound.MINOR, "Cm7": Sound.MINOR_7,
    "Cm9": Sound.MINOR_7, "Cm6": Sound.MINOR_6, "Cm(maj7)": Sound.MINOR_MAJOR,
    "Cm7b5": Sound.HALF_DIMINISHED, "Cdim7": Sound.DIMINISHED, "Caug": Sound.AUGMENTED,
}  # fmt: skip


def heard(symbol: str) -> ChordClass:
    chord = sheet_of(symbol).chords[0].chord
    assert chord is not None
    return chord_class(chord)


@pytest.mark.parametrize(("symbol", "sound"), FOLDED.items())
def test_qualities_fold_into_functional_sounds(symbol: str, sound: Sound) -> None:
    assert heard(symbol).sound is sound


@pytest.mark.parametrize("symbol", ["F/G", "Dm7/G"])
def test_a_chord_over_its_fourth_is_the_suspended_dominant_of_the_bass(symbol: str) -> None:
    assert heard(symbol) == ChordClass(7, Sound.SUSPENDED, 7)


def test_an_inversion_keeps_its_root() -> None:
    assert heard("C/E") == ChordClass(0, Sound.MAJOR, 4)


@pytest.mark.parametrize(
    ("symbol", "dark"), [("G7b9", True), ("G7#5", True), ("G7", False), ("G9", False)]
)
def test_altered_dominants_are_dark(symbol: str, dark: bool) -> None:
    assert heard(symbol).dark is dark
