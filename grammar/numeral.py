"""Roman numerals: chords by scale degree, independent of a key: ii7, bVII7, V7/ii, subV7.

A `Numeral` and a key give a chord (`Numeral.chord_in`); a chord and a key give a numeral
(`numeral_of`). Degrees count from the major scale on the tonic in both modes (bIII, bVI and bVII in
minor), as jazz teaching does (common practice, no source). A small numeral has a minor third; what
follows it is the quality as in a chord symbol, with `°`, `ø7` and `+` for diminished,
half-diminished and augmented. `V7/ii` is the V of the chord on ii (an applied chord), `subV7` the
dominant a tritone away from the V.

Roots are spelled by letters from the tonic. A root that would need a double accidental, or a black
key's name for a white one (Cb, Fb, E#, B#), takes its plain name, as players write chords.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

from .chord import Chord
from .frozen import frozen
from .key import Key
from .pitch import (
    FLATTER,
    LETTERS,
    PRINTED_SIGNS,
    SHARPER,
    PitchName,
    Tone,
    accidental_text,
    plain_name,
)
from .quality import KIND_TONES, DegreeChange, quality_text

ROMAN: Final = ("I", "II", "III", "IV", "V", "VI", "VII")

#: The root of a tritone substitute above the goal of the V that it replaces.
SUBSTITUTE: Final = Tone(2, -1)
#: Qualities that begin like a degree or a chord symbol are in brackets: `bVI(Italian)`.
_MISREAD: Final = ("F", "G", "I")
#: The most flats or sharps of a degree.
MAX_ALTERATION: Final = 2


@frozen
class Numeral:
    """A chord on a `degree` (1 to 7) with its `alteration`, of a quality (as in `Chord`).

    `of` is the degree that an applied chord leads to (the ii of V7/ii), `small` whether that degree
    is in small letters. `substitute` marks a tritone substitute (subV7): its degree is then 5.

    Raises ValueError when a degree is not 1 to 7 or has more than two flats or sharps, when `small`
    stands without `of`, a substitute on another degree than V, or the kind is `none` or not one of
    MusicXML 4.0.
    """

    degree: int
    alteration: int = 0
    kind: str = "major"
    changes: tuple[DegreeChange, ...] = ()
    of: Tone | None = None
    small: bool = False
    substitute: bool = False

    def __post_init__(self) -> None:
        own = Tone(self.degree, self.alteration)
        for tone in (own,) if self.of is None else (own, self.of):
            if not 1 <= tone.degree <= 7 or abs(tone.alteration) > MAX_ALTERATION:
                raise ValueError(
                    f"a degree goes from 1 to 7, with at most two flats or sharps; {tone} does not"
                )
        if self.small and self.of is None:
            raise ValueError("a numeral that is applied to no degree cannot have a small one")
        if self.substitute and own != Tone(5):
            raise ValueError(f"a tritone substitute replaces the V, not {own}")
        if self.kind not in KIND_TONES or self.kind == "none":
            raise ValueError(f"{self.kind!r} is not one of the kinds of MusicXML 4.0")

    @property
    def _own(self) -> Tone:
        """Its root above its goal, or above the tonic where it is not applied."""
        return SUBSTITUTE if self.substitute else Tone(self.degree, self.alteration)

    @property
    def semitones(self) -> int:
        """Its root above the tonic, 0 to 11."""
        goal = 0 if self.of is None else self.of.semitones
        return (self._own.semitones + goal) % 12

    def root_in(self, tonic: PitchName) -> PitchName:
        """The note name of its root in the key of a tonic."""
        goal = tonic if self.of is None else tonic.up(self.of.interval)
        return _plain_spelling(goal.up(self._own.interval))

    def chord_in(self, key: Key) -> Chord:
        """The chord that it is in a key."""
        return Chord(self.root_in(key.tonic), self.kind, self.changes)

    @property
    def roman(self) -> str:
        """Its degree without its quality and its goal: bVII, subV."""
        prefix = "sub" if self.substitute else ""
        small, _ = numeral_suffix(self.kind, self.changes)
        return prefix + degree_text(Tone(self.degree, self.alteration), small=small)

    @property
    def typeset(self) -> str:
        """Its text with ♭ and ♯ for b and #: ♭VII7, V7/♭III, subV7."""
        return _typeset(self)

    def __repr__(self) -> str:
        return f"<Numeral {self}>"

    def __str__(self) -> str:
        _, suffix = numeral_suffix(self.kind, self.changes)
        if suffix[:1] in _MISREAD:
            suffix = f"({suffix})"
        goal = "" if self.of is None else f"/{degree_text(self.of, small=self.small)}"
        return f"{self.roman}{suffix}{goal}"


@lru_cache(maxsize=2048)
def _typeset(numeral: Numeral) -> str:
    prefix = "sub" if numeral.substitute else ""
    return prefix + str(numeral).removeprefix(prefix).translate(PRINTED_SIGNS)


def degree_text(degree: Tone, *, small: bool = False) -> str:
    """A degree of 1 to 7 as a roman numeral: `V`, `bVII`, `#iv`."""
    roman = ROMAN[degree.degree - 1]
    return accidental_text(degree.alteration) + (roman.lower() if small else roman)


def numeral_of(chord: Chord, key: Key) -> Numeral:
    """The numeral of a chord in a key, by its root's letter; its bass is left out.

    A root more than two semitones from the scale's own note of that letter takes another name.
    """
    degree = _degree_of(chord.root, key.tonic)
    if abs(degree.alteration) > MAX_ALTERATION:
        others = (_degree_of(chord.root.up(step), key.tonic) for step in (FLATTER, SHARPER))
        degree = min(others, key=lambda other: abs(other.alteration))
    return Numeral(degree.degree, degree.alteration, chord.kind, chord.changes)


def _degree_of(root: PitchName, tonic: PitchName) -> Tone:
    """The degree of a root's letter above the tonic, with its alteration."""
    interval = tonic.interval_to(root)
    degree = interval.steps + 1
    return Tone(degree, interval.semitones - Tone(degree).semitones)


def numeral_suffix(kind: str, changes: tuple[DegreeChange, ...]) -> tuple[bool, str]:
    """Whether the numeral of a quality is in small letters, and its suffix: `(True, "ø7")`."""
    text = quality_text(kind, changes)
    if text == "m7b5":
        return True, "ø7"
    if text.startswith("dim"):
        return True, "°" + text.removeprefix("dim")
    if text.startswith("aug"):
        return False, "+" + text.removeprefix("aug")
    if text.startswith("m") and not text.startswith("maj"):
        return True, text[1:]
    return False, text


def _plain_spelling(name: PitchName) -> PitchName:
    """The same pitch by its plain name: a white key's letter, else without double accidentals."""
    white = [letter for letter in LETTERS if PitchName(letter).pitch_class == name.pitch_class]
    return PitchName(white[0]) if white else plain_name(name)
