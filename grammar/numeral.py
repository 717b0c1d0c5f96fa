"""A chord said by its degree, free of any key: ii7, bVII7, V7/ii, subV7.

Takes a key, gives the chord; takes a chord and a key, gives the numeral. Degrees count from the
major scale on the tonic in both modes (bIII, bVI and bVII in minor), as jazz teaching does (common
practice, no source). A small numeral has a minor third; the text after it is that of a chord
symbol. `V7/ii` is the V of the chord on ii, `subV7` the dominant a tritone from the V.

Roots are spelled by letters from the tonic; what would need a double accidental, or a black key's
name for a white one (Cb, Fb, E#, B#), is named plainly, as players write chords.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from .chord import Chord
from .key import Key
from .pitch import LETTERS, PitchName, Tone, accidental_text
from .quality import KIND_TONES, DegreeChange, quality_text
from .transpose import plain_name

_PRINTED: Final = str.maketrans("b#", "♭♯")

ROMAN: Final = ("I", "II", "III", "IV", "V", "VI", "VII")

#: The root of a tritone substitute above the goal of the V that it stands for.
SUBSTITUTE: Final = Tone(2, -1)


@dataclass(frozen=True, slots=True)
class Numeral:
    """A chord on a `degree` (1 to 7) with its `alteration`, of a quality (as in `Chord`).

    `of` is the degree that it is applied to (the ii of V7/ii), `small` whether that is written
    small. `substitute`: a subV; its degree is 5. Raises ValueError when the degree is not 1 to 7,
    or the kind none of MusicXML 4.0.
    """

    degree: int
    alteration: int = 0
    kind: str = "major"
    changes: tuple[DegreeChange, ...] = ()
    of: Tone | None = None
    small: bool = False
    substitute: bool = False

    def __post_init__(self) -> None:
        if not 1 <= self.degree <= 7 or (self.of is not None and not 1 <= self.of.degree <= 7):
            raise ValueError(f"a degree goes from 1 to 7; {self.degree} does not")
        if self.kind not in KIND_TONES:
            raise ValueError(f"{self.kind!r} is not one of the kinds of MusicXML 4.0")

    @property
    def _own(self) -> Tone:
        """Its root above its goal, or above the tonic where it is applied to nothing."""
        return SUBSTITUTE if self.substitute else Tone(self.degree, self.alteration)

    @property
    def semitones(self) -> int:
        """Its root above the tonic, 0 to 11."""
        over = 0 if self.of is None else self.of.semitones
        return (self._own.semitones + over) % 12

    def root_in(self, tonic: PitchName) -> PitchName:
        """The name of its root above a tonic."""
        goal = tonic if self.of is None else tonic.up(self.of.interval)
        return _plainest(goal.up(self._own.interval))

    def chord_in(self, key: Key) -> Chord:
        """The chord that it is in a key."""
        return Chord(self.root_in(key.tonic), self.kind, self.changes)

    @property
    def roman(self) -> str:
        """Its degree as it is written, without its quality or what it is applied to: bVII, subV."""
        sign = "" if self.substitute else accidental_text(self.alteration)
        name = ROMAN[self.degree - 1]
        small, _ = numeral_suffix(self.kind, self.changes)
        return f"{'sub' if self.substitute else ''}{sign}{name.lower() if small else name}"

    @property
    def typeset(self) -> str:
        """Its text with the signs of print for flats and sharps: ♭VII7, V7/♭III, subV7."""
        head = "sub" if self.substitute else ""
        return head + str(self).removeprefix(head).translate(_PRINTED)

    def __str__(self) -> str:
        _, suffix = numeral_suffix(self.kind, self.changes)
        return f"{self.roman}{suffix}{self._goal_text()}"

    def _goal_text(self) -> str:
        if self.of is None:
            return ""
        roman = ROMAN[self.of.degree - 1]
        return f"/{accidental_text(self.of.alteration)}{roman.lower() if self.small else roman}"


def numeral_of(chord: Chord, key: Key) -> Numeral:
    """The numeral of a chord in a key, by its root's letter; its bass is not said."""
    way = key.tonic.interval_to(chord.root)
    degree = way.steps + 1
    return Numeral(degree, way.semitones - Tone(degree).semitones, chord.kind, chord.changes)


def numeral_suffix(kind: str, changes: tuple[DegreeChange, ...]) -> tuple[bool, str]:
    """Whether a quality's numeral is small, and what stands after it: (True, "ø7")."""
    text = quality_text(kind, changes)
    if text == "m7b5":
        return True, "ø7"
    if text.startswith("dim"):
        return True, "°" + text.removeprefix("dim")
    if text == "aug":
        return False, "+"
    if text.startswith("m") and not text.startswith("maj"):
        return True, text[1:]
    return False, text


def _plainest(name: PitchName) -> PitchName:
    """The same pitch by its plain name: a white key's letter, else without double accidentals."""
    white = [letter for letter in LETTERS if PitchName(letter).pitch_class == name.pitch_class]
    return PitchName(white[0]) if white else plain_name(name)
