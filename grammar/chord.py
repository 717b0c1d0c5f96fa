"""A chord as its symbol says it: root, quality, changed degrees, bass.

`Chord.kind` is the name that MusicXML 4.0 gives the quality (`kind-value`); what it cannot name is
said by `changes`, as there. Degrees count from the root in the major scale: 3 with alteration −1 is
the minor third, 7 with −1 the minor seventh, 9 with +1 the sharp ninth.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from .pitch import PitchName, Tone
from .quality import KIND_TONES, Change
from .quality_name import chord_tones, normal_form, quality_text

__all__ = ["NO_CHORD", "Change", "Chord", "Tone"]

#: How silence is written: "no chord".
NO_CHORD: Final = "N.C."


@dataclass(frozen=True, slots=True)
class Chord:
    """A chord: `root`, `kind`, the `changes` to it in canonical order, and a bass when written."""

    root: PitchName
    kind: str
    changes: tuple[Change, ...] = ()
    bass: PitchName | None = None

    def __post_init__(self) -> None:
        if self.kind not in KIND_TONES:
            raise ValueError(f"{self.kind!r} is not one of the kinds of MusicXML 4.0")

    @property
    def tones(self) -> tuple[Tone, ...]:
        """The tones above the root, by degree, the changes applied; the bass is not among them."""
        return chord_tones(self.kind, self.changes) if self.changes else KIND_TONES[self.kind]

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

    def normal(self) -> Chord:
        """The equal chord that every spelling of it reads as: C7 with an altered fifth is C+7."""
        kind, changes = normal_form(self.kind, self.changes)
        return Chord(self.root, kind, changes, None if self.bass == self.root else self.bass)

    def __str__(self) -> str:
        if self.kind == "none":
            return NO_CHORD
        bass = "" if self.bass is None else f"/{self.bass}"
        return f"{self.root}{quality_text(self.kind, self.changes)}{bass}"
