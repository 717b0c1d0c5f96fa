"""A chord as its symbol says it: root, quality, changed degrees, bass.

`Chord.kind` is the name that MusicXML 4.0 gives the quality (`kind-value`); what it cannot name is
said by `changes`, as there. Degrees count from the root in the major scale: 3 with alteration −1 is
the minor third, 7 with −1 the minor seventh, 9 with +1 the sharp ninth.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from .pitch import LETTER_SEMITONES, Interval, PitchName
from .quality import KIND_DEGREES

ChangeType = Literal["add", "alter", "omit"]


@dataclass(frozen=True, slots=True)
class Tone:
    """One tone of a chord: its degree (1 to 13) and alteration against the major scale."""

    degree: int
    alteration: int = 0

    @property
    def interval(self) -> Interval:
        """The distance from the root upwards."""
        octaves, step = divmod(self.degree - 1, 7)
        return Interval(self.degree - 1, 12 * octaves + LETTER_SEMITONES[step] + self.alteration)

    @property
    def semitones(self) -> int:
        """Semitones above the root, 0 to 22, not folded into one octave."""
        return self.interval.semitones


@dataclass(frozen=True, slots=True)
class Change:
    """A degree added to, altered in or omitted from a quality (MusicXML `degree-type`).

    `alteration` is against the major scale: C7(♭9) adds 9 with −1.
    """

    type: ChangeType
    degree: int
    alteration: int = 0


@dataclass(frozen=True, slots=True)
class Chord:
    """A chord: `root`, `kind`, the `changes` to it in canonical order, and a bass when written."""

    root: PitchName
    kind: str
    changes: tuple[Change, ...] = ()
    bass: PitchName | None = None

    def __post_init__(self) -> None:
        if self.kind not in KIND_DEGREES:
            raise ValueError(f"{self.kind!r} is not one of the kinds of MusicXML 4.0")

    @property
    def tones(self) -> tuple[Tone, ...]:
        """The tones above the root, by degree, the changes applied; the bass is not among them."""
        return chord_tones(self.kind, self.changes)

    def spelled(self, tone: Tone) -> PitchName:
        """The name of one of its tones: the third of E♭m is G♭."""
        return self.root.up(tone.interval)

    @property
    def pitch_classes(self) -> tuple[int, ...]:
        """The pitch classes it sounds, root first, the bass last when it is no chord tone."""
        root = self.root.pitch_class
        classes = [(root + tone.semitones) % 12 for tone in self.tones]
        if self.bass is not None:
            classes.append(self.bass.pitch_class)
        return tuple(dict.fromkeys(classes))


@lru_cache(maxsize=4096)
def chord_tones(kind: str, changes: tuple[Change, ...]) -> tuple[Tone, ...]:
    """The tones of a quality with its changes applied, ordered by degree."""
    tones = {}
    for word in KIND_DEGREES[kind].split():
        degree = int(word.lstrip("b#"))
        tones[degree] = Tone(degree, word.count("#") - word.count("b"))
    for change in changes:
        if change.type == "omit":
            tones.pop(change.degree, None)
        else:
            tones[change.degree] = Tone(change.degree, change.alteration)
    return tuple(sorted(tones.values(), key=lambda tone: (tone.degree, tone.alteration)))
