"""The numeral and the role of a chord in a key.

Takes degrees in semitones above the tonic (0 to 11) and `Sound`s, gives `Numeral`s and roles.
Degrees count from the major scale on the tonic in both modes (bIII, bVI, bVII in minor, as jazz
teaching does). A numeral has the quality of the chord's sound at the size of a seventh chord:
ii7, V7, I6, Imaj7, iiø7, vii°7, i(maj7), V7sus4, V+; ninths and beyond are left out. V7/ii, ii7/IV
and vii°7/V are applied to the degree after the slash, subV7 is the tritone substitute of the V,
subV7/IV that of an applied one.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import Final

from ...grammar.chord import Chord
from ...grammar.key import Key
from ...grammar.numeral import Numeral
from ...grammar.pitch import Tone
from ...grammar.quality import DegreeChange
from .analysis import Role
from .chord_class import DOMINANTS, Sound, chord_class

#: The degree of each number of semitones above the tonic.
DEGREES: Final = (
    Tone(1), Tone(2, -1), Tone(2), Tone(3, -1), Tone(3), Tone(4),
    Tone(4, 1), Tone(5), Tone(6, -1), Tone(6), Tone(7, -1), Tone(7),
)  # fmt: skip
#: The degree of a diminished chord between two degrees that resolves upwards.
_RAISED: Final = {1: Tone(1, 1), 3: Tone(2, 1), 6: Tone(4, 1), 8: Tone(5, 1)}
#: The quality of each sound's numeral.
_QUALITIES: Final[dict[Sound, tuple[str, tuple[DegreeChange, ...]]]] = {
    Sound.MAJOR: ("major", ()),
    Sound.MAJOR_6: ("major-sixth", ()),
    Sound.MAJOR_7: ("major-seventh", ()),
    Sound.DOMINANT: ("dominant", ()),
    Sound.SUSPENDED: ("suspended-fourth", (DegreeChange("add", 7, -1),)),
    Sound.MINOR: ("minor", ()),
    Sound.MINOR_7: ("minor-seventh", ()),
    Sound.MINOR_6: ("minor-sixth", ()),
    Sound.MINOR_MAJOR: ("major-minor", ()),
    Sound.HALF_DIMINISHED: ("half-diminished", ()),
    Sound.DIMINISHED: ("diminished-seventh", ()),
    Sound.AUGMENTED: ("augmented", ()),
    Sound.OPEN: ("power", ()),
}
_MINOR_THIRDS: Final = frozenset(
    {Sound.MINOR, Sound.MINOR_7, Sound.MINOR_6, Sound.MINOR_MAJOR,
     Sound.HALF_DIMINISHED, Sound.DIMINISHED}
)  # fmt: skip
#: Degrees with a diatonic chord that an applied dominant can have as its target: semitones above
#: the tonic, and whether the numeral is small (minor).
_MAJOR_TARGETS: Final = {2: True, 4: True, 5: False, 7: False, 9: True}
_MINOR_TARGETS: Final = {2: True, 3: False, 5: True, 7: False, 8: False, 10: False}


@lru_cache(maxsize=512)
def numeral(degree: int, sound: Sound, *, falls: bool = False) -> Numeral:
    """The numeral of a chord whose root lies `degree` semitones above the tonic.

    A diminished chord between degrees has a raised degree, unless its bass `falls` by a semitone.
    """
    root = DEGREES[degree]
    if sound is Sound.DIMINISHED and not falls:
        root = _RAISED.get(degree, root)
    return Numeral(root.degree, root.alteration, *_QUALITIES[sound])


def numeral_in(chord: Chord, key: Key) -> Numeral:
    """The numeral of a chord in a key, without regard to its neighbours."""
    harmonic = chord_class(chord)
    return numeral((harmonic.root - key.tonic.pitch_class) % 12, harmonic.sound)


def with_sound(numeral: Numeral, sound: Sound) -> Numeral:
    """The numeral with the quality of a sound: V7 for V13b9."""
    kind, changes = _QUALITIES[sound]
    return replace(numeral, kind=kind, changes=changes)


@lru_cache(maxsize=4096)
def applied(
    degree: int, sound: Sound, target: int, *, small: bool = False, substitute: bool = False
) -> Numeral:
    """V7/ii, ii7/IV, subV7: the chord on a `degree` (1 to 7) of the key of the `target`.

    `target` is in semitones above the tonic, 0 for the tonic itself; `small`: its chord is minor.
    """
    return Numeral(
        degree, 0, *_QUALITIES[sound], DEGREES[target] if target else None,
        small and target != 0, substitute,
    )  # fmt: skip


def is_small_target(degree: int, minor_key: bool, sound: Sound) -> bool:
    """Whether a target's numeral is small: by the diatonic chord on the degree, else by `sound`."""
    targets = _MINOR_TARGETS if minor_key else _MAJOR_TARGETS
    return targets.get(degree, sound in _MINOR_THIRDS)


def is_degree(degree: int, *, minor_key: bool) -> bool:
    """Whether the key has a chord of its own on a degree other than I."""
    return degree in (_MINOR_TARGETS if minor_key else _MAJOR_TARGETS)


def plain_role(degree: int, sound: Sound, minor_key: bool) -> Role:
    """The role of a diatonic chord."""
    if sound in DOMINANTS:
        return "tonic" if degree == 0 else "dominant"
    if sound is Sound.DIMINISHED:
        return "dominant" if degree in (11, 2, 5, 8) else "passing"
    if (degree in (0, 4, 9) and not minor_key) or (degree in (0, 3) and minor_key):
        return "tonic"
    if degree in (2, 5, 8, 6):
        return "predominant"
    return "dominant" if degree in (7, 11) else "colour"
