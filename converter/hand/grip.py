"""Voicings and grips: notes on strings, and the fingers that hold them.

Strings are numbered as players do, 6 (lowest) to 1; sequences over strings run from string 6 to 1
(more strings: from the lowest). Frets count from 0 (open); None is a string not played. Fingers are
1 index, 2 middle, 3 ring, 4 little, None for a string without a finger (open or not played).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Final

from ...grammar.chord import Chord, Tone
from ...grammar.frozen import frozen
from ...grammar.pitch import PitchName
from ...grammar.sheet import Fingers, Frets

FINGER_NAMES: Final = {1: "index", 2: "middle", 3: "ring", 4: "little"}


@frozen
class VoicedNote:
    """One note of a voicing: `string`, `fret`, sounding `midi` number and chord `tone`.

    `tone` is None for a written bass that is not a tone of its chord.
    """

    string: int
    fret: int
    midi: int
    tone: Tone | None

    @property
    def fret_position(self) -> tuple[int, int]:
        """Its string and fret."""
        return self.string, self.fret


@frozen
class Voicing:
    """Notes on strings, from the lowest up. `omitted`: tones of the symbol that are not played."""

    notes: tuple[VoicedNote, ...]
    omitted: tuple[Tone, ...] = ()

    @property
    def root(self) -> VoicedNote:
        """The lowest root; in a voicing without a root its lowest note."""
        roots = (note for note in self.notes if note.tone is not None and note.tone.degree == 1)
        return next(roots, self.notes[0])

    @property
    def bass(self) -> VoicedNote:
        """The lowest note: the one that the window of a player is about."""
        return self.notes[0]


@frozen
class Barre:
    """One finger over several strings at one fret: string `low` to string `high` (low ≥ high)."""

    finger: int
    fret: int
    low: int
    high: int


@frozen(hash_once=True)
class Grip:
    """A voicing with its fingering.

    `frets` and `fingers` run over all strings from the lowest. `position` is the hand position: the
    fret under the index finger when the hand covers one fret a finger. `barres` are the fingers
    that stop more than one string. `mutes` says which finger silences which string, as (string,
    finger).
    """

    voicing: Voicing
    frets: Frets
    fingers: Fingers
    position: int
    barres: tuple[Barre, ...] = ()
    mutes: tuple[tuple[int, int], ...] = ()


@frozen
class FingerPosition:
    """The fret of a finger, and its outermost strings as indices from the lowest, 0."""

    fret: int
    low: int
    high: int

    def shares_string(self, other: FingerPosition) -> bool:
        """Whether a string is stopped at both positions of a finger."""
        return self.low <= other.high and other.low <= self.high

    def stands_as(self, other: FingerPosition) -> bool:
        """Whether a string is stopped at the same fret at both positions of a finger."""
        return self.fret == other.fret and self.shares_string(other)


@lru_cache(maxsize=2048)
def finger_positions(grip: Grip) -> Mapping[int, FingerPosition]:
    """The position of each finger in use, from the index finger on."""
    found: dict[int, FingerPosition] = {}
    for string, (finger, fret) in enumerate(zip(grip.fingers, grip.frets, strict=True)):
        if finger is not None and fret is not None:
            known = found.get(finger)
            found[finger] = FingerPosition(fret, string if known is None else known.low, string)
    return dict(sorted(found.items()))


def sounding_pitch(note: VoicedNote, chord: Chord) -> tuple[PitchName, int]:
    """The name of a voiced note, as its chord spells it, and its octave (C4 is MIDI 60).

    Raises ValueError for a note that is neither a tone of the chord nor its written bass.
    """
    name = chord.bass if note.tone is None else chord.spelled(note.tone)
    if name is None:
        raise ValueError(f"MIDI note {note.midi} is no tone of {chord}")
    return name, (note.midi - name.alteration) // 12 - 1


def pitch_text(note: VoicedNote, chord: Chord) -> str:
    """The name and octave of a voiced note in a text: `Bb3`."""
    name, octave = sounding_pitch(note, chord)
    return f"{name}{octave}"


def frets_text(frets: Iterable[int | None]) -> str:
    """Frets as a player writes them: `3 x 3 3 x x`."""
    return " ".join("x" if fret is None else str(fret) for fret in frets)


@lru_cache(maxsize=1024)
def grip_alternative(grip: Grip) -> str:
    """A grip: `frets 8 x 8 8 x x, fingers 2 3 3`."""
    frets = " ".join("x" if fret is None else str(fret) for fret in grip.frets)
    pressed = [str(finger) for finger in grip.fingers if finger is not None]
    fingers = f", finger{'s' * (len(pressed) > 1)} {' '.join(pressed)}" if pressed else ""
    return f"frets {frets}{fingers}"
