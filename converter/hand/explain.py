"""What moves in one change of grips, finger by finger and tone by tone.

Takes two grips with their chords, gives a `GripChange`: the shift of the hand, fingers kept, moved,
lifted and put down, the string that carries the root, and where the guide tones go. Semitones and
frets are signed: up the neck and up in pitch is positive.
"""

from __future__ import annotations

from dataclasses import dataclass

from ...grammar.chord import Chord, Tone
from .grip import Grip, VoicedNote, places_of


@dataclass(frozen=True, slots=True)
class ToneMotion:
    """A guide tone going on: `start` and `goal` are note names, `semitones` the way between them.

    `start_degree` and `goal_degree` are 3, 7 … of their chords.
    """

    start: str
    goal: str
    start_degree: int
    goal_degree: int
    semitones: int


@dataclass(frozen=True, slots=True)
class GripChange:
    """One change: `shift_frets` of the hand position, and the fingers by what they do.

    `kept` stay on their string and fret; `guiding` slide along a string that they are on; `moved`
    go to another place; `lifted` are taken off and `placed` put down anew. `bass_strings` are the
    strings of the lowest notes, before and after. `guide_tones` are told where both chords have
    theirs.
    """

    shift_frets: int
    kept: tuple[int, ...]
    guiding: tuple[int, ...]
    moved: tuple[int, ...]
    lifted: tuple[int, ...]
    placed: tuple[int, ...]
    bass_strings: tuple[int, int]
    guide_tones: tuple[ToneMotion, ...]

    @property
    def still(self) -> bool:
        """Whether the hand stays where it is."""
        return self.shift_frets == 0


def change_between(start: Grip, goal: Grip, chords: tuple[Chord, Chord]) -> GripChange:
    """What moves from one grip, of the first chord, to another, of the second."""
    before, after = places_of(start), places_of(goal)
    both = [finger for finger in before if finger in after]
    kept = tuple(finger for finger in both if before[finger].stands_as(after[finger]))
    guiding = tuple(
        finger
        for finger in both
        if finger not in kept and before[finger].shares_string(after[finger])
    )
    return GripChange(
        shift_frets=goal.position - start.position,
        kept=kept,
        guiding=guiding,
        moved=tuple(finger for finger in both if finger not in (*kept, *guiding)),
        lifted=tuple(finger for finger in before if finger not in after),
        placed=tuple(finger for finger in after if finger not in before),
        bass_strings=(start.voicing.notes[0].string, goal.voicing.notes[0].string),
        guide_tones=_guide_motion(start, goal, chords),
    )


def _guide_motion(start: Grip, goal: Grip, chords: tuple[Chord, Chord]) -> tuple[ToneMotion, ...]:
    """The guide tones of the first grip to those of the second, in order of their pitch."""
    first, second = (_guides(grip) for grip in (start, goal))
    if len(first) != len(second):
        return ()
    return tuple(
        ToneMotion(
            str(chords[0].spelled(tone)),
            str(chords[1].spelled(aim)),
            tone.degree,
            aim.degree,
            other.midi - one.midi,
        )
        for (one, tone), (other, aim) in zip(first, second, strict=True)
    )


def _guides(grip: Grip) -> list[tuple[VoicedNote, Tone]]:
    notes = grip.voicing.notes[1:] if len(grip.voicing.notes) > 2 else grip.voicing.notes
    guides = [
        (note, note.tone)
        for note in notes
        if note.tone is not None and note.tone.degree in (2, 3, 4, 6, 7)
    ]
    return sorted(guides, key=lambda guide: guide[0].midi)
