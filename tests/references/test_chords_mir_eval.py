"""Chords against mir_eval's encoder of Harte et al., "Symbolic representation of musical chords",
ISMIR 2005: shorthand, added and omitted degrees, and basses, in all roots.

The encoder folds tones into one octave, as pitch classes above C with its root added.
"""

from __future__ import annotations

import mir_eval.chord
import pytest
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.pitch import Tone
from midneck.grammar.quality import QUALITIES
from support.roots import SPELLINGS

#: Their shorthand → ours. Every shorthand they have but the empty one is here.
SHORTHAND = {
    "maj": "", "min": "m", "aug": "aug", "dim": "dim", "sus4": "sus4", "sus2": "sus2", "7": "7",
    "maj7": "maj7", "min7": "m7", "minmaj7": "m(maj7)", "maj6": "6", "min6": "m6", "dim7": "dim7",
    "hdim7": "m7b5", "maj9": "maj9", "min9": "m9", "9": "9", "11": "11", "min11": "m11",
    "13": "13", "maj13": "maj13", "min13": "m13", "1": "pedal", "5": "5",
}  # fmt: skip

DEGREES = {
    "7(b9)": "7b9", "7(#9)": "7#9", "7(b9,#9)": "7(b9,#9)", "7(*5)": "7(no5)", "maj(9)": "add9",
    "min7(11)": "m7add11", "7(b9,13)": "7(b9,13)", "maj6(9)": "6/9", "sus4(b7)": "7sus4",
    "maj7(#11)": "maj7#11", "7(*5,#5)": "7#5", "hdim7(9)": "m9b5", "maj(*5,b5)": "(b5)",
}  # fmt: skip


def theirs(label: str) -> set[int]:
    root, semitones, _ = mir_eval.chord.encode(label, reduce_extended_chords=True)
    return {(root + above) % 12 for above, sounds in enumerate(semitones) if sounds}


def test_all_their_shorthand_is_compared() -> None:
    known = set(mir_eval.chord.QUALITIES) | set(mir_eval.chord.EXTENDED_QUALITY_REDUX)
    # A bare alteration as shorthand is no spelling of ours: C:b9 would be a seventh chord.
    assert known - {"", "b9", "#9", "#11", "b13"} == set(SHORTHAND)


@pytest.mark.parametrize("root", SPELLINGS)
def test_qualities_sound_alike(root: str) -> None:
    for label, text in (SHORTHAND | DEGREES).items():
        ours = set(parse_chord(root + text).pitch_classes)
        assert ours == theirs(f"{root}:{label}"), label


@pytest.mark.parametrize("row", [row for row in QUALITIES if row.kind != "none"])
def test_every_row_sounds_as_its_degrees_do(row: object) -> None:
    chord = parse_chord(f"Eb{row.text}")
    degrees = ",".join(_harte(tone) for tone in chord.tones)
    assert set(chord.pitch_classes) == theirs(f"Eb:({degrees})")


def _harte(tone: Tone) -> str:
    return ("#" if tone.alteration > 0 else "b") * abs(tone.alteration) + str(tone.degree)


@pytest.mark.parametrize(("label", "symbol"), [
    ("C:maj/3", "C/E"), ("F#:min7/b7", "F#m7/E"), ("Bb:7/5", "Bb7/F"), ("Eb:maj/9", "Eb/F"),
    ("G:hdim7/b5", "Gm7b5/Db"), ("Ab:maj7/7", "Abmaj7/G"), ("D:min/b3", "Dm/F"),
])  # fmt: skip
def test_basses_sound_alike(label: str, symbol: str) -> None:
    root, _, bass = mir_eval.chord.encode(label)
    chord = parse_chord(symbol)
    assert chord.bass is not None
    assert chord.bass.pitch_class == (root + bass) % 12
