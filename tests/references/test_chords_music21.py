"""Chord symbols against music21's `harmony.ChordSymbol`: kinds by name, then symbols as text.

Every difference is listed with its reason, and the lists are exact: a difference that went away
would fail the test as one that appeared. Tests of ours against fact stand elsewhere
(`test_chords_mir_eval`, `test_chord_forms`); here the two readers are compared.
"""

from __future__ import annotations

import warnings

import pytest
from midneck.grammar.chord import Chord
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.pitch import parse_pitch_name
from midneck.grammar.quality import KIND_TONES
from music21 import harmony
from music21.exceptions21 import Music21Exception
from support.chord_forms import chord_forms
from support.roots import ROOTS

pytestmark = pytest.mark.slow

#: Kinds that sound different, and why.
KIND_DIFFERENCES = {
    "Neapolitan": "music21 builds it on the tonic with a flat second; here its root is its own",
    "Italian": "music21 builds it on the tonic (1 #4 b6); here it stands on its bass, the b6",
    "French": "as the Italian: music21 counts from the tonic (1 2 #4 b6)",
    "German": "as the Italian: music21 counts from the tonic (1 b3 #4 b6)",
    "none": "music21 sounds the root that was given; N.C. is silence here",
}

#: Abbreviations of music21's own that sound different or are refused here, and why.
SPELLING_DIFFERENCES = {
    "N6": KIND_DIFFERENCES["Neapolitan"],
    "It": KIND_DIFFERENCES["Italian"],
    "It+6": KIND_DIFFERENCES["Italian"],
    "Fr": KIND_DIFFERENCES["French"],
    "Fr+6": KIND_DIFFERENCES["French"],
    "Ger": KIND_DIFFERENCES["German"],
    "Gr+6": KIND_DIFFERENCES["German"],
    "ob9": "read as a diminished triad with a flat ninth: nothing in it says seventh",
    "dom7dim5": "refused: no musician's spelling; C7b5 is meant",
    "+M11": "refused: an augmented major eleventh is written Cmaj11(#5)",
    "augmaj11": "refused, as +M11",
    "+M13": "refused: an augmented major thirteenth is written Cmaj13(#5)",
    "augmaj13": "refused, as +M13",
}

_MINUS = "music21 takes the - for a flat of the root; in jazz it means minor"
_COMMA = "music21 leaves off at the comma"
_BESIDE = "music21 does not read the alteration; here it takes the place of the plain degree"
#: Spellings of `chord_forms` that music21 reads as something else, and why.
FORM_DIFFERENCES = {
    **dict.fromkeys(
        [
            "-",
            "-b5",
            "-5",
            "-7",
            "-7b5",
            "-maj7",
            "-M7",
            "-6",
            "-69",
            "-9",
            "-11",
            "-13",
            "-add9",
            "-add11",
            "-7#5",
            "-9b5",
            "-7b5b9",
            "-11b5",
        ],
        _MINUS,
    ),
    **dict.fromkeys(["6,9", "7,sus4", "7,b9"], _COMMA),
    **dict.fromkeys(["13#11", "13b9"], _BESIDE),
    "+5": "music21 reads a power chord; here the fifth is augmented",
    "0": "music21 reads a root alone; here a zero stands for the circle of the diminished chord",
    "07": "music21 reads a root and a seventh; here it is the diminished seventh chord",
    "69": "music21 reads root, sixth and ninth alone; here it is 6/9 with third and fifth",
    "4": "music21 reads root and fourth alone; here it is a suspended fourth",
    "2": "music21 reads root and second alone; here it is add9",
    "7b5#5b9#9": "music21 keeps the last fifth only of the two",
}


def theirs(symbol: str | None = None, **parts: str) -> set[int]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        chord = harmony.ChordSymbol(symbol, **parts) if symbol else harmony.ChordSymbol(**parts)
    return {pitch.pitchClass for pitch in chord.pitches}


def flat(root: str) -> str:
    return root.replace("b", "-")


@pytest.mark.parametrize("root", ROOTS)
def test_kinds_sound_alike(root: str) -> None:
    name = parse_pitch_name(root)
    different = {
        kind
        for kind in KIND_TONES
        if set(Chord(name, kind).pitch_classes) != theirs(root=flat(root), kind=kind)
    }
    assert different == KIND_DIFFERENCES.keys()


@pytest.mark.parametrize("root", ROOTS)
def test_their_spellings_are_read_alike(root: str) -> None:
    written = [text for _, texts in harmony.CHORD_TYPES.values() for text in texts]
    assert len(written) > 80
    different = {text for text in written if _ours(root + text) != theirs(flat(root) + text)}
    assert different == SPELLING_DIFFERENCES.keys()


def _ours(symbol: str) -> set[int]:
    try:
        return set(parse_chord(symbol).pitch_classes)
    except ValueError:
        return set()


@pytest.mark.parametrize("root", ROOTS)
def test_our_spellings_are_read_alike_where_they_read_them(root: str) -> None:
    compared, different = set(), set()
    for form, _ in chord_forms():
        try:
            sounds = theirs(flat(root) + form)
        except (ValueError, Music21Exception):
            continue
        compared.add(form)
        if sounds != _ours(root + form):
            different.add(form)
    assert len(compared) > 140
    # On a sharp root music21 refuses the - that it takes for a flat.
    unread = {form for form, why in FORM_DIFFERENCES.items() if why is _MINUS and "#" in root}
    assert different == FORM_DIFFERENCES.keys() - unread


@pytest.mark.parametrize("root", ROOTS)
def test_basses_sound_alike(root: str) -> None:
    for bass in ROOTS:
        if bass == root:
            continue
        chord = parse_chord(f"{root}m7/{bass}")
        assert set(chord.pitch_classes) == theirs(f"{flat(root)}m7/{flat(bass)}")
        assert chord.bass == parse_pitch_name(bass)
