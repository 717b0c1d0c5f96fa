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
        sign = "#" if self.alteration > 0 else "b"
        return self.letter + sign * abs(self.alteration)
