"""The chord class: the root, sound and bass of a chord, which decide its function.

`chord_class` takes a `Chord` and gives a `ChordClass`. All qualities and their changes fold into
the thirteen sounds that decide a chord's function. Roots and basses are pitch classes, 0 is C. A
major chord over the note a tone above its root (F/G), or a minor one over the note a fifth below
(Dm7/G), counts as the suspended dominant on its bass (common practice, no source).
"""

from __future__ import annotations

from dataclasses import field
from enum import IntEnum
from functools import lru_cache
from typing import Final

from ...grammar.chord import Chord
from ...grammar.frozen import frozen


class Sound(IntEnum):
    """The sounds that the analysis distinguishes; it ignores ninths, elevenths and thirteenths."""

    MAJOR = 0
    MAJOR_6 = 1
    MAJOR_7 = 2
    DOMINANT = 3
    SUSPENDED = 4
    MINOR = 5
    MINOR_7 = 6
    MINOR_6 = 7
    MINOR_MAJOR = 8
    HALF_DIMINISHED = 9
    DIMINISHED = 10
    AUGMENTED = 11
    OPEN = 12


MAJORS: Final = frozenset({Sound.MAJOR, Sound.MAJOR_6, Sound.MAJOR_7})
MINORS: Final = frozenset({Sound.MINOR, Sound.MINOR_7, Sound.MINOR_6, Sound.MINOR_MAJOR})
DOMINANTS: Final = frozenset({Sound.DOMINANT, Sound.SUSPENDED, Sound.AUGMENTED})
SUPERTONICS: Final = frozenset({Sound.MINOR, Sound.MINOR_7, Sound.MINOR_6, Sound.HALF_DIMINISHED})
#: Semitones from a dominant's root up to the root of its goal: a fourth up for a V, a semitone down
#: for a tritone substitute.
FALLS: Final = (5, 11)


@frozen
class ChordClass:
    """Root, sound and bass; `dark`: a dominant with an altered ninth, fifth or thirteenth."""

    root: int
    sound: Sound
    bass: int
    dark: bool = field(default=False, compare=False)


def motion(here: ChordClass, there: ChordClass) -> int:
    """Semitones from one root up to another, 0 to 11."""
    return (there.root - here.root) % 12


def is_two_five(here: ChordClass, there: ChordClass) -> bool:
    """Whether a minor chord is the ii of the dominant after it or of its tritone substitute."""
    return here.sound in SUPERTONICS and there.sound in DOMINANTS and motion(here, there) in FALLS


@lru_cache(maxsize=4096)
def chord_class(chord: Chord) -> ChordClass:
    """The root, sound and bass of a chord."""
    sound, dark = _sound({tone.degree: tone.alteration for tone in chord.tones})
    root = chord.root.pitch_class
    if chord.bass is None:
        return ChordClass(root, sound, root, dark)
    bass = chord.bass.pitch_class
    over = (bass - root) % 12
    if (sound in MAJORS and over == 2) or (sound in (Sound.MINOR, Sound.MINOR_7) and over == 5):
        return ChordClass(bass, Sound.SUSPENDED, bass, dark)
    return ChordClass(root, sound, bass, dark)


def _sound(tones: dict[int, int]) -> tuple[Sound, bool]:
    third, fifth, seventh = tones.get(3), tones.get(5, 0), tones.get(7)
    dark = tones.get(9, 0) != 0 or fifth == 1 or tones.get(13, 0) == -1 or tones.get(6, 0) == -1
    if third is None:
        return _without_third(tones), dark
    if third == -1:
        return _minor(fifth, seventh, tones), False
    if seventh == -1:
        return Sound.DOMINANT, dark
    if seventh == 0:
        return Sound.MAJOR_7, False
    if fifth == 1:
        return Sound.AUGMENTED, True
    return (Sound.MAJOR_6 if tones.get(6) == 0 or 13 in tones else Sound.MAJOR), False


def _minor(fifth: int, seventh: int | None, tones: dict[int, int]) -> Sound:
    if fifth == -1:
        return Sound.HALF_DIMINISHED if seventh == -1 else Sound.DIMINISHED
    if seventh == -1:
        return Sound.MINOR_7
    if seventh == 0:
        return Sound.MINOR_MAJOR
    return Sound.MINOR_6 if tones.get(6) == 0 else Sound.MINOR


def _without_third(tones: dict[int, int]) -> Sound:
    if tones.get(7) == -1 or tones.get(4, tones.get(11)) == 0:
        return Sound.SUSPENDED
    return Sound.OPEN
