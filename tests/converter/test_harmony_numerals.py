"""The numerals that the analysis makes: their texts, and that each reads back as the same value."""

from __future__ import annotations

import pytest
from midneck.converter.harmony.chord_class import Sound
from midneck.converter.harmony.numerals import applied, numeral, numeral_in, with_sound
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.key import parse_key
from midneck.grammar.numeral import Numeral
from midneck.grammar.text.progression import read_progression


def read_numeral(text: str) -> Numeral:
    (found,) = read_progression(text).numerals
    return found


@pytest.mark.parametrize("sound", Sound)
@pytest.mark.parametrize("degree", range(12))
@pytest.mark.parametrize("falls", [False, True])
def test_the_text_of_a_numeral_reads_back(degree: int, sound: Sound, falls: bool) -> None:
    found = numeral(degree, sound, falls=falls)
    assert found.semitones == degree
    assert read_numeral(str(found)) == found
    assert read_numeral(found.typeset) == found


@pytest.mark.parametrize("target", range(12))
@pytest.mark.parametrize("small", [False, True])
@pytest.mark.parametrize("substitute", [False, True])
def test_the_text_of_an_applied_numeral_reads_back(
    target: int, small: bool, substitute: bool
) -> None:
    found = applied(5, Sound.DOMINANT, target, small=small, substitute=substitute)
    assert found.semitones == (target + (1 if substitute else 7)) % 12
    assert read_numeral(str(found)) == found
    assert read_numeral(found.typeset) == found


# Degrees from the major scale in both modes, sevenths as said in jazz: common practice, no source.
@pytest.mark.parametrize(
    ("symbol", "key", "text"),
    [
        ("Dm9", "C major", "ii7"), ("G13b9", "C major", "V7"),
        ("C6/9", "C major", "I6"),
        ("Bb7", "C major", "♭VII7"), ("Fm(maj7)", "F minor", "i(maj7)"),
        ("D7/F#", "C major", "II7"),
        ("F/G", "C major", "V7sus4"), ("F#dim", "C major", "♯iv°7"),
        ("Bm7b5", "A minor", "iiø7"),
        ("G+", "C minor", "V+"), ("C5", "C major", "I5"),
    ],
)  # fmt: skip
def test_a_chord_has_the_numeral_of_its_sound(symbol: str, key: str, text: str) -> None:
    assert numeral_in(parse_chord(symbol), parse_key(key)).typeset == text


@pytest.mark.parametrize(
    ("text", "sound", "plain"),
    [
        ("V13/ii", Sound.DOMINANT, "V7/ii"),
        ("subV7#11", Sound.DOMINANT, "subV7"),
        ("bii11/bVII", Sound.MINOR_7, "♭ii7/♭VII"),
    ],
)
def test_a_numeral_with_a_sound_keeps_what_it_is_applied_to(
    text: str, sound: Sound, plain: str
) -> None:
    assert with_sound(read_numeral(text), sound).typeset == plain
