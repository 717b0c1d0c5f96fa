"""Why a plan is as it is, in figures and in words that a student follows.

Takes a planned task and its plan, gives an `Explanation`: every change in played order with what it
costs and what moves, and for the whole tune the longest stretch without a shift, the hard spots and
a difficulty figure that a teacher can order tunes by.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from .cautions import HAND_CAUTION, stretches
from .changes import GripChange, change_between
from .difficulty import Difficulty, difficulty_of
from .grip import Grip
from .moves import travel_between
from .plan import GripPlan
from .planner import Task
from .sentences import sentence_of


@dataclass(frozen=True, slots=True)
class ExplainedChange:
    """One change of a chorus, from chord `start` to chord `goal`.

    `start` and `goal` are indices into `Sheet.chords`, `times` how often this change is made in a
    chorus, `effort_mm` its travel made once, in the greatest hurry; `sentence` says what moves.
    """

    start: int
    goal: int
    times: int
    effort_mm: float
    change: GripChange
    sentence: str


@dataclass(frozen=True, slots=True)
class Explanation:
    """A plan explained. `changes` come in the order in which they are first made.

    `quiet` is the longest run of playings through which the hand position stays: its first playing,
    as an index into the playings that sound, and its number of chords. `hard_spots` are the dearest
    changes, dearest first. `caution` is "" where no grip stretches the hand beyond comfort.
    """

    changes: tuple[ExplainedChange, ...]
    quiet: tuple[int, int]
    hard_spots: tuple[ExplainedChange, ...]
    difficulty: Difficulty
    caution: str


#: How many hard spots are named.
HARD_SPOTS = 3


def explain(task: Task, plan: GripPlan) -> Explanation:
    """The explanation of a plan for its task."""
    grips = [grip for grip in plan.playings if grip is not None]
    changes = _changes(task, grips)
    stretched = any(stretches(grip, task.player) for grip in dict.fromkeys(grips))
    hard = sorted(changes, key=lambda one: -one.effort_mm)
    seconds = [playing.seconds for playing in task.played]
    return Explanation(
        changes=changes,
        quiet=longest_quiet([grip.position for grip in grips]),
        hard_spots=tuple(one for one in hard[:HARD_SPOTS] if one.effort_mm > 0),
        difficulty=difficulty_of(grips, seconds, task.player),
        caution=HAND_CAUTION if stretched else "",
    )


def longest_quiet(positions: Sequence[int]) -> tuple[int, int]:
    """The first longest run of equal hand positions round the loop: its start and its length."""
    count = len(positions)
    starts = [at for at in range(count) if positions[at] != positions[at - 1]]
    runs = [(start, (after - start) % count) for start, after in pairwise((*starts, *starts[:1]))]
    return max(runs, key=lambda run: run[1], default=(0, count))


def _changes(task: Task, grips: Sequence[Grip]) -> tuple[ExplainedChange, ...]:
    made: dict[tuple[int, int, Grip, Grip], list[float]] = {}
    for at, playing in enumerate(task.played):
        after = (at + 1) % len(grips)
        if grips[at] != grips[after]:
            key = playing.chord, task.played[after].chord, grips[at], grips[after]
            made.setdefault(key, []).append(playing.seconds)
    return tuple(_explained(task, key[:2], key[2:], seconds) for key, seconds in made.items())


def _explained(
    task: Task, ends: tuple[int, int], grips: tuple[Grip, Grip], seconds: list[float]
) -> ExplainedChange:
    written = [task.sheet.chords[index] for index in ends]
    chords = [one.chord for one in written if one.chord is not None]
    change = change_between(*grips, (chords[0], chords[1]))
    effort = travel_between(*grips, task.player) * task.player.effort.hurry(min(seconds))
    sentence = sentence_of(change, (written[0].text, written[1].text))
    return ExplainedChange(*ends, len(seconds), effort, change, sentence)
