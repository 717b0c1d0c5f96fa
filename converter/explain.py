"""Figures about a finished chart: its changes, the hardest, the difficulty.

Takes a `CompingChart` and computes for the player and the options of its plan: `change_in` gives
the motions of a change, `hard_changes` ranks the changes, `difficulty_of` rates the tune in one
figure, `explain` collects the figures for a student. Efforts are in mm (see `Effort`), chord
indices point into `Sheet.chords`. Semitones and frets are signed: up the neck and up in pitch is
positive. The sentences made of these figures are in `prose/hand.py`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

from ..grammar.chord import Chord, Tone
from ..grammar.frozen import frozen
from ..grammar.sheet import Frets
from .chart import CompingChart
from .hand.grip import Grip, VoicedNote, finger_positions
from .hand.player import FINGER_PAIRS, Player
from .hand.reach import reach_mm
from .hand.standard_fingerings import shape_of
from .hand.travel import travel_between
from .timeline import Playing, playings

#: The number of hard changes in an explanation, on a practice sheet and on a second page.
HARD_CHANGES: Final = 3

#: The value at which each part of the difficulty reaches its maximum of 2 points. Settings: a slow
#: blues gets a low figure, a fast tune with a change every two beats a high one.
FULL_PACE_PER_MINUTE: Final = 120.0
FULL_SHIFT_FRETS: Final = 3.0
FULL_LEAP_FRETS: Final = 8.0
FULL_REACH_MM: Final = 90.0
FULL_SHAPES: Final = 12.0


@frozen
class PlayedChange:
    """A change of grips in a chorus: from chord `start` to chord `goal`.

    `grips` are the two grips, `times` is how often the change occurs in a chorus; `effort_mm` is
    the effort of its travel once, in the shortest time that the chorus has for it.
    """

    start: int
    goal: int
    grips: tuple[Grip, Grip]
    times: int
    effort_mm: float


def played_changes(chart: CompingChart) -> tuple[PlayedChange, ...]:
    """Every change of the form, the way back to the top included, in order of first playing.

    A chord that is struck again with the same grip is not a change.
    """
    seconds_of: dict[tuple[int, int, Grip, Grip], list[float]] = {}
    played = list(_played(chart))
    for first, second in chart.form.successions:
        (here, start), (there, goal) = played[first], played[second]
        if start != goal:
            seconds_of.setdefault((here.chord, there.chord, start, goal), []).append(here.seconds)
    player = chart.player
    return tuple(
        PlayedChange(
            *(key[0], key[1]), (key[2], key[3]), len(seconds),
            travel_between(key[2], key[3], player) * player.effort.hurry(min(seconds)),
        )
        for key, seconds in seconds_of.items()
    )  # fmt: skip


def hard_changes(chart: CompingChart, count: int = HARD_CHANGES) -> tuple[PlayedChange, ...]:
    """The hardest changes of a chorus, the hardest first; empty if nothing moves.

    Explanation, practice sheet and second page take the first entries of this ranking. It ranks by
    the effort of the planner, which grows when the time is short and falls when a finger stays
    down. The number of times a change occurs does not count, because one failed change stops the
    tune. Changes between the same two shapes at the same distance are one exercise, at any fret and
    in either direction: only the hardest of them is listed. Changes of equal effort are in order of
    first playing. Common practice of teachers, no source.
    """
    hardest: dict[frozenset[Frets], PlayedChange] = {}
    for change in played_changes(chart):
        key = _shapes(change.grips)
        if change.effort_mm > 0 and (
            key not in hardest or hardest[key].effort_mm < change.effort_mm
        ):
            hardest[key] = change
    return tuple(sorted(hardest.values(), key=lambda change: -change.effort_mm)[:count])


def _shapes(grips: tuple[Grip, Grip]) -> frozenset[Frets]:
    """The frets of both grips, counted from the lowest of all."""
    base = min(fret for grip in grips for fret in grip.frets if fret is not None)
    return frozenset(
        tuple(None if fret is None else fret - base for fret in grip.frets) for grip in grips
    )


def _played(chart: CompingChart) -> Iterator[tuple[Playing, Grip]]:
    """The playings of a chorus with their grips, without silence."""
    grips = [grip for grip in chart.plan.playings if grip is not None]
    played = playings(chart.timeline, chart.options.tempo)
    yield from zip(played, grips, strict=True)


@frozen
class Difficulty:
    """The parts of difficulty, each from 0 to 2, which is reached at its `FULL_` value.

    `pace`: changes a minute. `shifting`: frets that the hand shifts for each change. `leap`: the
    widest shift. `reach`: the widest spread of a grip. `shapes`: the number of different shapes.
    The figure orders tunes for one player; it is not a measurement.
    """

    pace: float
    shifting: float
    leap: float
    reach: float
    shapes: float

    @property
    def total(self) -> float:
        """The figure: 0 (nothing moves) to 10."""
        return self.pace + self.shifting + self.leap + self.reach + self.shapes


def difficulty_of(chart: CompingChart) -> Difficulty:
    """How difficult one chorus of a chart is for the hand of its player."""
    played = list(_played(chart))
    if not played:
        return Difficulty(0.0, 0.0, 0.0, 0.0, 0.0)
    grips = [grip for _, grip in played]
    seconds = sum(playing.seconds for playing, _ in played)
    ways = [(grips[here], grips[there]) for here, there in chart.form.successions]
    moves = [(start, goal) for start, goal in ways if start != goal]
    shifts = [abs(start.position - goal.position) for start, goal in moves]
    return Difficulty(
        pace=_points(60.0 * len(moves) / seconds, FULL_PACE_PER_MINUTE),
        shifting=_points(sum(shifts) / max(len(moves), 1), FULL_SHIFT_FRETS),
        leap=_points(max(shifts, default=0), FULL_LEAP_FRETS),
        reach=_points(max(reach_mm(grip, chart.player) for grip in grips), FULL_REACH_MM),
        shapes=_points(len({shape_of(grip.frets) for grip in grips}), FULL_SHAPES),
    )


def _points(value: float, full: float) -> float:
    return min(2.0 * value / full, 2.0)


@frozen
class ToneMotion:
    """The motion of a guide tone by `semitones` from one note name (`start`) to another (`goal`).

    `start_degree` and `goal_degree` are the degrees (3, 7 …) in their chords.
    """

    start: str
    goal: str
    start_degree: int
    goal_degree: int
    semitones: int


@frozen
class GripChange:
    """One change: `shift_frets` of the hand position, and the fingers by their motion.

    `kept` fingers stay on their string and fret; `guiding` ones slide along their string; `moved`
    ones go to another string; `lifted` ones are taken off and `placed` ones put down anew.
    `bass_strings` are the strings of the lowest notes, before and after. `guide_tones` is empty if
    one of the chords lacks a guide tone.
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
    """The change from a grip of the first chord to a grip of the second."""
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
    """The motions in a change of a chart."""
    chords = [chart.sheet.chords[index].chord for index in (change.start, change.goal)]
    start, goal = (chord for chord in chords if chord is not None)
    return change_between(*change.grips, (start, goal))


def _guide_motion(start: Grip, goal: Grip, chords: tuple[Chord, Chord]) -> tuple[ToneMotion, ...]:
    """The motions of the guide tones from the first grip to the second, in order of pitch."""
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


@frozen
class Explanation:
    """The figures that explain a chart.

    `changes` are in order of first playing. `quiet` is the longest run of playings with the same
    hand position: its first playing, as an index into the playings that sound, and its number of
    playings. `hard` are the hardest changes in the order of `hard_changes`. `stretched` tells
    whether a grip spreads two fingers beyond comfort.
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
        quiet=longest_quiet(
            [grip.position for grip in grips], chart.form.chorus == chart.form.bars
        ),
        hard=hard_changes(chart),
        difficulty=difficulty_of(chart),
        stretched=any(stretches(grip, chart.player) for grip in dict.fromkeys(grips)),
    )


def longest_quiet(positions: Sequence[int], ring: bool = True) -> tuple[int, int]:
    """The start and length of the longest run of equal hand positions.

    In a `ring` a run goes on across the way to the top. Of equally long runs the first is given.
    """
    count = len(positions)
    starts = [
        at for at in range(count) if positions[at] != positions[at - 1] or (at == 0 and not ring)
    ]
    runs = [(start, (after - start) % count) for start, after in pairwise((*starts, *starts[:1]))]
    return max(runs, key=lambda run: run[1], default=(0, count))


def stretches(grip: Grip, player: Player) -> bool:
    """Whether two fingers of a grip are farther apart along the neck than is comfortable."""
    neck = player.neck
    at_mm = {finger: neck.fret_mm(at.fret) for finger, at in finger_positions(grip).items()}
    return any(
        one in at_mm and other in at_mm and abs(at_mm[one] - at_mm[other]) > comfort
        for (one, other), comfort in zip(FINGER_PAIRS, player.reach.comfort_mm, strict=True)
    )
