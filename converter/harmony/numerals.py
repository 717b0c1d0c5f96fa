"""Roman numerals and roles.

Conventions: degrees count from the major scale on the tonic in both modes (♭III, ♭VI, ♭VII in
minor, as jazz teaching does), `♭` and `♯` before the numeral; lower case for minor and diminished
thirds; the suffix is the chord's sound at the size of a seventh chord (`ii7`, `V7`, `I6`, `Imaj7`,
`iiø7`, `vii°7`, `i(maj7)`, `V7sus4`, `V+`); ninths and beyond are not shown. `V7/ii`, `ii7/IV`,
`vii°7/V` are applied to the degree after the stroke, `subV7` is the tritone substitute of the V,
`subV7/IV` that of an applied one.
"""

from __future__ import annotations

from typing import Final

from ...grammar.chord import Chord
from ...grammar.key import Key
from .events import DOMINANTS, Sound, chord_class

#: What a chord does in its key.
ROLES: Final = ("tonic", "predominant", "dominant", "passing", "colour")

DEGREE_SIGNS: Final = (
    "I",
    "♭II",
    "II",
    "♭III",
    "III",
    "IV",
    "♯IV",
    "V",
    "♭VI",
    "VI",
    "♭VII",
    "VII",
)
_RAISED: Final = {1: "♯I", 3: "♯II", 6: "♯IV", 8: "♯V"}
_SUFFIX: Final = {
    Sound.MAJOR: "", Sound.MAJOR_6: "6", Sound.MAJOR_7: "maj7", Sound.DOMINANT: "7",
    Sound.SUSPENDED: "7sus4", Sound.MINOR: "", Sound.MINOR_7: "7", Sound.MINOR_6: "6",
    Sound.MINOR_MAJOR: "(maj7)", Sound.HALF_DIMINISHED: "ø7", Sound.DIMINISHED: "°7",
    Sound.AUGMENTED: "+", Sound.OPEN: "5",
}  # fmt: skip
_SMALL: Final = frozenset(
    {Sound.MINOR, Sound.MINOR_7, Sound.MINOR_6, Sound.MINOR_MAJOR,
     Sound.HALF_DIMINISHED, Sound.DIMINISHED}
)  # fmt: skip
_MAJOR_TARGETS: Final = {2: "ii", 4: "iii", 5: "IV", 7: "V", 9: "vi"}
_MINOR_TARGETS: Final = {2: "ii", 3: "♭III", 5: "iv", 7: "V", 8: "♭VI", 10: "♭VII"}


def numeral(degree: int, sound: Sound, *, falls: bool = False) -> str:
    """The numeral of a chord whose root lies `degree` semitones above the tonic.

    A diminished chord between degrees is a raised one, unless the bass `falls` a semitone from it.
    """
    signs = DEGREE_SIGNS[degree]
    if sound is Sound.DIMINISHED and not falls:
        signs = _RAISED.get(degree, signs)
    name = signs.lower() if sound in _SMALL else signs
    return name + _SUFFIX[sound]


def numeral_in(chord: Chord, key: Key) -> str:
    """The numeral of a chord in a key, by itself: what stands around it is not looked at."""
    heard = chord_class(chord)
    return numeral((heard.root - key.tonic.pitch_class) % 12, heard.sound)


def target_name(degree: int, minor_key: bool, sound: Sound) -> str:
    """What stands after the stroke: the key's own chord on the degree, else what comes."""
    names = _MINOR_TARGETS if minor_key else _MAJOR_TARGETS
    plain = DEGREE_SIGNS[degree]
    return names.get(degree, plain.lower() if sound in _SMALL else plain)


def is_degree(degree: int, *, minor_key: bool) -> bool:
    """Whether the key has a chord of its own on a degree other than I."""
    return degree in (_MINOR_TARGETS if minor_key else _MAJOR_TARGETS)


def applied(prefix: str, sound: Sound, target: str) -> str:
    """`V7/ii`, `subV7`, `ii7/IV`; no stroke when the target is the tonic ("")."""
    stroke = f"/{target}" if target else ""
    return f"{prefix}{_SUFFIX[sound]}{stroke}"


def plain_role(degree: int, sound: Sound, minor_key: bool) -> str:
    """The role of a chord that is at home on its degree."""
    if sound in DOMINANTS:
        return "tonic" if degree == 0 else "dominant"
    if sound is Sound.DIMINISHED:
        return "dominant" if degree in (11, 2, 5, 8) else "passing"
    if (degree in (0, 4, 9) and not minor_key) or (degree in (0, 3) and minor_key):
        return "tonic"
    if degree in (2, 5, 8, 6):
        return "predominant"
    return "dominant" if degree in (7, 11) else "colour"
