"""Note names and keys: what is read, what is refused, and where they lie."""

from __future__ import annotations

from itertools import pairwise

import pytest
from midneck.grammar.key import MODE_FIFTHS, Key, Mode, parse_key
from midneck.grammar.pitch import LETTERS, PitchName, Tone, parse_pitch_name


@pytest.mark.parametrize(("text", "name"), [
    ("C", PitchName("C")), ("Bb", PitchName("B", -1)), ("B♭", PitchName("B", -1)),
    ("F♯", PitchName("F", 1)), ("Ebb", PitchName("E", -2)), ("E𝄫", PitchName("E", -2)),
    ("Fx", PitchName("F", 2)), ("F##", PitchName("F", 2)), ("F𝄪", PitchName("F", 2)),
    (" A♮ ", PitchName("A")),
])  # fmt: skip
def test_names_are_read(text: str, name: PitchName) -> None:
    assert parse_pitch_name(text) == name


def test_names_read_back() -> None:
    for letter in LETTERS:
        for sign in range(-2, 3):
            name = PitchName(letter, sign)
            assert parse_pitch_name(str(name)) == name


@pytest.mark.parametrize("text", ["", "H", "c", "Cm", "Bbbb", "C#b", "♭"])
def test_other_text_is_no_name(text: str) -> None:
    with pytest.raises(ValueError, match=r"is not a note|a note's letter is one of A to G"):
        parse_pitch_name(text)


@pytest.mark.parametrize("letter", ["", "H", "c", "CD"])
def test_a_letter_is_one_of_seven(letter: str) -> None:
    with pytest.raises(ValueError, match=f"a note's letter is one of A to G, not '{letter}'"):
        PitchName(letter)


@pytest.mark.parametrize(("text", "key"), [
    ("F", "F major"), ("Bb major", "Bb major"), ("C#m", "C# minor"), ("F♯ minor", "F# minor"),
    ("a minor", "A minor"), ("E-flat minor", "Eb minor"), ("B flat", "Bb major"),
    ("B Flat Major", "Bb major"), ("F-Sharp Minor", "F# minor"),
    ("F sharp minor", "F# minor"), ("Eb-", "Eb minor"), ("Gmaj", "G major"), ("CM", "C major"),
    ("Cmin", "C minor"), ("C-minor", "C minor"), ("bb minor", "Bb minor"),
    ("  D   MAJOR ", "D major"),
    ("D dorian", "D dorian"), ("f# Phrygian", "F# phrygian"), ("Bb  LYDIAN", "Bb lydian"),
    ("A♭", "Ab major"), ("e moll", "E minor"), ("Eb dur", "Eb major"),
])  # fmt: skip
def test_keys_are_read(text: str, key: str) -> None:
    assert str(parse_key(text)) == key
    assert parse_key(str(parse_key(text))) == parse_key(text)


@pytest.mark.parametrize(("text", "said"), [
    ("", "'' is not a key; expected one as in F, Bb major or C#m"),
    ("H minor", "is not a key; .*did you mean B minor"),
    ("bb", "a key begins with a capital; did you mean Bb or Bbm"),
    ("c", "a key begins with a capital; did you mean C or Cm"),
    ("C dorisch", "'dorisch' is not a mode; expected major, minor or a mode"),
    ("Cbb", "'b' is not a mode"),
    ("4", "'4' is not a key"),
])  # fmt: skip
def test_other_text_is_no_key(text: str, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        parse_key(text)


@pytest.mark.parametrize(("key", "fifths"), [
    ("C", 0), ("F", -1), ("G", 1), ("F#", 6), ("Gb", -6), ("Cb", -7), ("C#", 7),
    ("Am", 0), ("C#m", 4), ("Ebm", -6), ("D#m", 6), ("Abm", -7), ("A#m", 7),
])  # fmt: skip
def test_signatures_of_keys(key: str, fifths: int) -> None:
    # The circle of fifths; common practice, no source.
    assert parse_key(key).fifths == fifths


def test_tones_above_the_octave() -> None:
    assert [Tone(*tone).semitones for tone in ((1, 0), (3, -1), (7, -2), (9, 1), (13, -1))] == [
        0, 3, 9, 15, 20,
    ]  # fmt: skip
    assert Key(PitchName("B", -1)) == parse_key("Bb")


#: The sharps or flats of the modes on D, and their notes as on the white keys (common practice, no
#: source).
ON_D = {
    "lydian": (3, "2 2 2 1 2 2 1"), "ionian": (2, "2 2 1 2 2 2 1"),
    "mixolydian": (1, "2 2 1 2 2 1 2"), "dorian": (0, "2 1 2 2 2 1 2"),
    "aeolian": (-1, "2 1 2 2 1 2 2"), "phrygian": (-2, "1 2 2 2 1 2 2"),
    "locrian": (-3, "1 2 2 1 2 2 2"),
}  # fmt: skip


@pytest.mark.parametrize("mode", ON_D)
def test_modes_have_their_signature_and_scale(mode: str) -> None:
    key = parse_key(f"D {mode}")
    fifths, steps = ON_D[mode]
    assert key.fifths == fifths == key.plain.fifths
    assert [b - a for a, b in pairwise((*key.scale, 12))] == [int(step) for step in steps.split()]
    assert key.tonality == key.plain.mode == ("major" if steps.startswith("2 2") else "minor")


def test_the_key_with_the_signature_of_a_mode() -> None:
    plain = {name: str(parse_key(name).plain) for name in ("D dorian", "G mixolydian", "Bb lydian")}
    assert plain == {"D dorian": "A minor", "G mixolydian": "C major", "Bb lydian": "F major"}
    assert parse_key("C#m").plain == parse_key("C#m")


@pytest.mark.parametrize("mode", MODE_FIFTHS)
def test_every_key_reads_back_from_its_texts(mode: Mode) -> None:
    for letter in LETTERS:
        for sign in (-1, 0, 1):
            key = Key(PitchName(letter, sign), mode)
            assert parse_key(str(key)) == key
            assert parse_key(key.short) == key
