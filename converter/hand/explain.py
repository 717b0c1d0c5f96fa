"""A plan explained in figures: what moves in each change, where the hand rests, what is hard.

Takes a `CompingChart`, gives an `Explanation`; a single change is taken apart by `change_between`.
Semitones and frets are signed: up the neck and up in pitch is positive. The sentences made of these
figures are in `prose/hand.py`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from ...grammar.chord import Chord, Tone
from ..chart import CompingChart
from .grip import Grip, VoicedNote, finger_positions
from .player import FINGER_PAIRS, Player
from .ranking import Difficulty, PlayedChange, difficulty_of, hard_changes, played_changes


@dataclass(frozen=True, slots=True)
class ToneMotion:
    """The motion of a guide tone: `start` and `goal` are note names, `semitones` between them.

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
    go to another string; `lifted` are taken off and `placed` put down anew. `bass_strings` are the
    strings of the lowest notes, before and after. `guide_tones` is empty where one of the chords
    lacks a guide tone.
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
        """Whether the hand position stays."""
        return self.shift_frets == 0


def change_between(start: Grip, goal: Grip, chords: tuple[Chord, Chord]) -> GripChange:
    """What moves from one grip, of the first chord, to another, of the second."""
    before, after = finger_positions(start), finger_positions(goal)
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


def change_in(chart: CompingChart, change: PlayedChange) -> GripChange:
    """What moves in a change of a chart."""
    chords = [chart.sheet.chords[index].chord for index in (change.start, change.goal)]
    start, goal = (chord for chord in chords if chord is not None)
    return change_between(*change.grips, (start, goal))


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
    """The guide tones above the bass with their notes, from the lowest pitch up."""
    notes = grip.voicing.notes[1:] if len(grip.voicing.notes) > 2 else grip.voicing.notes
    guides = [
        (note, note.tone)
        for note in notes
        if note.tone is not None and note.tone.degree in (2, 3, 4, 6, 7)
    ]
    return sorted(guides, key=lambda guide: guide[0].midi)


@dataclass(frozen=True, slots=True)
class Explanation:
    """A chart explained.

    `changes` come in order of first playing. `quiet` is the longest run of playings through which
    the hand position stays: its first playing, as an index into the playings that sound, and its
    number of playings. `hard` are the hardest changes as `hard_changes` ranks them. `stretched`
    says whether a grip spreads two fingers beyond comfort.
    """

    changes: tuple[PlayedChange, ...]
    quiet: tuple[int, int]
    hard: tuple[PlayedChange, ...]
    difficulty: Difficulty
    stretched: bool


def explain(chart: CompingChart) -> Explanation:
    """The explanation of a chart, for its player and its options."""
    grips = [grip for grip in chart.plan.playings if grip is not None]
    return Explanation(
        changes=played_changes(chart),
        quiet=longest_quiet([grip.position for grip in grips]),
        hard=hard_changes(chart),
        difficulty=difficulty_of(chart),
        stretched=any(stretches(grip, chart.player) for grip in dict.fromkeys(grips)),
    )


def longest_quiet(positions: Sequence[int]) -> tuple[int, int]:
    """The first longest run of equal hand positions round the loop: its start and its length."""
    count = len(positions)
    starts = [at for at in range(count) if positions[at] != positions[at - 1]]
    runs = [(start, (after - start) % count) for start, after in pairwise((*starts, *starts[:1]))]
    return max(runs, key=lambda run: run[1], default=(0, count))


def stretches(grip: Grip, player: Player) -> bool:
    """Whether two fingers of a grip lie farther apart along the neck than is comfortable."""
    neck = player.neck
    at_mm = {finger: neck.fret_mm(at.fret) for finger, at in finger_positions(grip).items()}
    return any(
        one in at_mm and other in at_mm and abs(at_mm[one] - at_mm[other]) > comfort
        for (one, other), comfort in zip(FINGER_PAIRS, player.reach.comfort_mm, strict=True)
    )
