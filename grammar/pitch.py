"""Note names, intervals and tones; the one table of accidentals.

A note name is a letter and its accidentals, kept as written: G♭ and F♯ are different names of one
pitch class. Only `plain_name` changes a name. Pitch classes go from 0 (C) to 11 (B). An interval
has its distance in letters (`steps`) and in semitones, so that the third of E♭ minor is G♭.
"""

from __future__ import annotations

from typing import Final

from .checks import check_text
from .errors import InvalidValueError
from .frozen import frozen

LETTERS: Final = "CDEFGAB"
_LETTERS: Final = tuple(LETTERS)
LETTER_SEMITONES: Final = (0, 2, 4, 5, 7, 9, 11)


@frozen
class Interval:
    """A distance between two note names, upwards: letter `steps` and `semitones`."""

    steps: int
    semitones: int

    def __neg__(self) -> Interval:
        return Interval(-self.steps, -self.semitones)


@frozen
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


@frozen
class PitchName:
    """A note name such as B♭: `letter` A to G, `alteration` in semitones (flat −1, sharp +1).

    Raises InvalidValueError when the letter is not one of A to G.
    """

    letter: str
    alteration: int = 0

    def __post_init__(self) -> None:
        if self.letter not in _LETTERS:
            check_text("letter", self.letter)
            raise InvalidValueError(f"a note's letter is one of A to G, not {self.letter!r}")

    @property
    def pitch_class(self) -> int:
        """Semitones above C, 0 to 11."""
        return (LETTER_SEMITONES[LETTERS.index(self.letter)] + self.alteration) % 12

    @property
    def fifths(self) -> int:
        """Position on the line of fifths: F −1, C 0, G 1, B♭ −2; the signature of its major key."""
        return "FCGDAEB".index(self.letter) - 1 + 7 * self.alteration

    def up(self, interval: Interval) -> PitchName:
        """The name an interval above; below, when the interval is negative."""
        octaves, step = divmod(LETTERS.index(self.letter) + interval.steps, 7)
        natural = LETTER_SEMITONES[step] + 12 * octaves
        here = LETTER_SEMITONES[LETTERS.index(self.letter)] + self.alteration
        return PitchName(LETTERS[step], here + interval.semitones - natural)

    def interval_to(self, other: PitchName) -> Interval:
        """The smallest upward interval that leads to `other`: 0 to 6 steps."""
        steps = (LETTERS.index(other.letter) - LETTERS.index(self.letter)) % 7
        plain = self.up(Interval(steps, 0))
        return Interval(steps, other.alteration - plain.alteration)

    def __repr__(self) -> str:
        return f"PitchName({self.letter!r}, {self.alteration})"

    def __str__(self) -> str:
        return self.letter + accidental_text(self.alteration)


#: Intervals to the other names of the same pitch: by the letter above, and by the letter below.
FLATTER: Final = Interval(1, 0)
SHARPER: Final = Interval(-1, 0)


def plain_name(name: PitchName) -> PitchName:
    """The same pitch without double accidentals: A for B𝄫, B for C♭♭♭."""
    while abs(name.alteration) > 1:
        name = name.up(SHARPER if name.alteration < 0 else FLATTER)
    return name


#: For each number of semitones above a root, 0 to 11, the tone that it adds to a chord: a tension
#: where there is one; three semitones are the sharp ninth (common practice, no source).
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


def alteration_of(signs: str) -> int:
    """The semitones of accidentals in a row, such as `b♭` (−2). Raises KeyError for other signs."""
    return sum(ACCIDENTALS[sign] for sign in signs)


def parse_pitch_name(text: str) -> PitchName:
    """The note that a letter with accidentals names: `Bb`, `F♯`, `C##`.

    Raises ValueError when it names none.
    """
    check_text("a note", text)
    word = text.strip()
    if word[1:] not in ACCIDENTALS:
        raise ValueError(f"{text!r} is not a note; expected a letter A to G, then b, #, bb or ##")
    return PitchName(word[:1], ACCIDENTALS[word[1:]])
