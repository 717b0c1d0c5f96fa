"""Note names: a letter and its accidentals, kept as written.

G♭ and F♯ are different names of one pitch class; nothing here ever swaps one for the other unless
asked (`PitchName.respelled`). Pitch classes run from 0 (C) to 11 (B). Intervals carry their letter
distance (`steps`) beside their size in semitones, so that the third of E♭ minor comes out as G♭.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

LETTERS: Final = "CDEFGAB"
LETTER_SEMITONES: Final = (0, 2, 4, 5, 7, 9, 11)


@dataclass(frozen=True, slots=True)
class Interval:
    """A distance between two note names, upwards: letter `steps` and `semitones`."""

    steps: int
    semitones: int

    def __neg__(self) -> Interval:
        return Interval(-self.steps, -self.semitones)


@dataclass(frozen=True, slots=True)
class Tone:
    """One tone of a chord: its degree (1 to 13) and alteration against the major scale."""

    degree: int
    alteration: int = 0

    @property
    def interval(self) -> Interval:
        """The distance from the root upwards."""
        return Interval(self.degree - 1, self.semitones)

    @property
    def semitones(self) -> int:
        """Semitones above the root, 0 to 22, not folded into one octave."""
        octaves, step = divmod(self.degree - 1, 7)
        return 12 * octaves + LETTER_SEMITONES[step] + self.alteration

    def __str__(self) -> str:
        return f"{accidental_text(self.alteration)}{self.degree}"


@dataclass(frozen=True, slots=True)
class PitchName:
    """A note name such as B♭: `letter` A to G, `alteration` in semitones (flat −1, sharp +1).

    Raises ValueError when the letter is not one of A to G.
    """

    letter: str
    alteration: int = 0

    def __post_init__(self) -> None:
        if len(self.letter) != 1 or self.letter not in LETTERS:
            raise ValueError(f"a note's letter is one of A to G, not {self.letter!r}")

    @property
    def pitch_class(self) -> int:
        """Semitones above C, 0 to 11."""
        return (LETTER_SEMITONES[LETTERS.index(self.letter)] + self.alteration) % 12

    @property
    def fifths(self) -> int:
        """Place on the line of fifths: F −1, C 0, G 1, B♭ −2 …; the key signature of its major."""
        return "FCGDAEB".index(self.letter) - 1 + 7 * self.alteration

    def up(self, interval: Interval) -> PitchName:
        """The name that lies `interval` above (below, when it is negative)."""
        place = LETTERS.index(self.letter) + interval.steps
        letter = LETTERS[place % 7]
        natural = LETTER_SEMITONES[place % 7] + 12 * (place // 7)
        here = LETTER_SEMITONES[LETTERS.index(self.letter)] + self.alteration
        return PitchName(letter, here + interval.semitones - natural)

    def interval_to(self, other: PitchName) -> Interval:
        """The smallest upward interval that leads to `other`: 0 to 6 steps."""
        steps = (LETTERS.index(other.letter) - LETTERS.index(self.letter)) % 7
        plain = self.up(Interval(steps, 0))
        return Interval(steps, other.alteration - plain.alteration)

    def __str__(self) -> str:
        return self.letter + accidental_text(self.alteration)


#: The tone that a pitch class, 0 to 11 semitones above a root, adds to a chord that lacks it: a
#: tension where there is one, beside a major third the sharp ninth (common practice, no source).
ADDED_TONES: Final = (
    Tone(1), Tone(9, -1), Tone(9), Tone(9, 1), Tone(3), Tone(11), Tone(11, 1), Tone(5),
    Tone(13, -1), Tone(13), Tone(7, -1), Tone(7),
)  # fmt: skip


def accidental_text(alteration: int) -> str:
    """Sharps or flats as they are typed, one for each semitone: `##`, `b`."""
    return ("#" if alteration > 0 else "b") * abs(alteration)


#: Typed accidentals as they are printed, for `str.translate`.
PRINTED_SIGNS: Final = str.maketrans("b#", "♭♯")


#: How accidentals are written, with the semitones they mean.
ACCIDENTALS: Final = {
    "": 0, "♮": 0, "b": -1, "♭": -1, "#": 1, "♯": 1, "bb": -2, "♭♭": -2, "𝄫": -2,
    "##": 2, "♯♯": 2, "x": 2, "𝄪": 2,
}  # fmt: skip


def parse_pitch_name(text: str) -> PitchName:
    """The note that a letter with accidentals names: `Bb`, `F♯`, `C##`.

    Raises ValueError when it names none.
    """
    word = text.strip()
    if word[1:] not in ACCIDENTALS:
        raise ValueError(f"{text!r} is not a note; expected a letter A to G, then b, #, bb or ##")
    return PitchName(word[:1], ACCIDENTALS[word[1:]])
