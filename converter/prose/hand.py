"""What the hand does, in words that a student follows, and the cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from ...grammar.sheet import Sheet
from ..hand.costs import travel_between
from ..hand.explain import GripChange, ToneMotion, change_between
from ..hand.grip import Grip, places_of
from ..hand.plan import GripPlan, Travel
from ..hand.planner import Task
from ..hand.player import FINGER_PAIRS, Player
from ..hand.ranking import Difficulty, difficulty_of

# The cautions that stand wherever stretches, fast tempos or long practice are printed.
#
# One text for every renderer, so that it reads the same everywhere. Common advice of teachers, no
# source.

#: For stretches and long drills.
HAND_CAUTION: Final = (
    "Stretches and barres can strain a hand. Warm up first, rest often, and stop at once when "
    "anything hurts or goes numb. Ask your teacher how to hold a grip that does not come easily; "
    "if pain or numbness lasts, see a doctor or a physiotherapist."
)

#: The same in one line, for the foot of a chart that shows stretches.
HAND_CAUTION_SHORT: Final = (
    "Stretches can strain a hand: warm up, rest, stop when anything hurts or goes numb, ask your "
    "teacher; if it lasts, see a doctor."
)

#: For anything that is played back.
HEARING_CAUTION: Final = "Keep practice playback at a moderate level."


def stretches(grip: Grip, player: Player) -> bool:
    """Whether two fingers of a grip lie farther apart along the neck than is comfortable."""
    at = {finger: player.neck.fret_mm(place.fret) for finger, place in places_of(grip).items()}
    return any(
        one in at and other in at and abs(at[one] - at[other]) > comfort
        for (one, other), comfort in zip(FINGER_PAIRS, player.reach.comfort_mm, strict=True)
    )


# What moves in a change, in words that a student follows.
#
# Takes a `GripChange` and the two symbols as written, gives one or two plain sentences.

FINGER_NAMES: Final = {1: "index", 2: "middle", 3: "ring", 4: "little"}
DEGREE_NAMES: Final = {2: "second", 3: "third", 4: "fourth", 6: "sixth", 7: "seventh"}
_COUNTS: Final = {1: "one", 2: "two", 3: "three", 4: "four", 5: "five", 6: "six", 7: "seven"}
_STEPS: Final = {1: "a semitone", 2: "a tone", 3: "a tone and a half"}


def sentence_of(change: GripChange, symbols: tuple[str, str]) -> str:
    """The change in words: `Gm7 to C7: the hand stays. The bass goes from string 6 …`."""
    parts = [_shift(change), _fingers(change), _bass(change), _tones(change.guide_tones)]
    first, *rest = [part for part in parts if part]
    told = [first, *(part[:1].upper() + part[1:] for part in rest)]
    return f"{symbols[0]} to {symbols[1]}: {'. '.join(told)}."


def _shift(change: GripChange) -> str:
    if change.still:
        return "the hand stays"
    size = abs(change.shift_frets)
    where = "up" if change.shift_frets > 0 else "down"
    return f"the hand shifts {where} {_count(size)} fret{'s' if size > 1 else ''}"


def _fingers(change: GripChange) -> str:
    told = [
        (change.kept, "stays down", "stay down"),
        (change.guiding, "slides along its string", "slide along their strings"),
        (change.moved, "goes to another string", "go to other strings"),
        (change.lifted, "lifts off", "lift off"),
        (change.placed, "is put down", "are put down"),
    ]
    clauses = [
        f"the {names(fingers)} {one if len(fingers) == 1 else many}"
        for fingers, one, many in told
        if fingers
    ]
    return ", ".join(clauses)


def _bass(change: GripChange) -> str:
    before, after = change.bass_strings
    return "" if before == after else f"the bass goes from string {before} to string {after}"


def _tones(motions: Sequence[ToneMotion]) -> str:
    return ", ".join(_tone(motion) for motion in motions)


def _tone(motion: ToneMotion) -> str:
    degree = DEGREE_NAMES[motion.start_degree]
    becomes = DEGREE_NAMES[motion.goal_degree]
    if motion.semitones == 0:
        return f"the {degree} {motion.start} holds and becomes the {becomes}"
    size = _STEPS.get(abs(motion.semitones), f"{_count(abs(motion.semitones))} semitones")
    way = "rises" if motion.semitones > 0 else "falls"
    return f"the {degree} {motion.start} {way} {size} to the {becomes} {motion.goal}"


def names(fingers: Sequence[int]) -> str:
    """Finger names in a row: `index and ring finger`."""
    words = [FINGER_NAMES[finger] for finger in fingers]
    listed = words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
    return f"{listed} finger{'s' if len(words) > 1 else ''}"


def _count(number: int) -> str:
    return _COUNTS.get(number, str(number))


# Why a plan is as it is, in figures and in words that a student follows.
#
# Takes a planned task and its plan, gives an `Explanation`: every change in played order with what
# it costs and what moves, and for the whole tune the longest stretch without a shift, the hard
# spots and a difficulty figure that a teacher can order tunes by.


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


# An explanation told in lines that a student reads from top to bottom.
#
# Takes an explanation, its plan and its sheet, gives lines of text: how far the hand goes, where it
# rests, where it is hard, how hard the tune is and why, then every change. Renderers print them as
# they are; the caution comes last where there is one.


def story(explanation: Explanation, plan: GripPlan, sheet: Sheet) -> tuple[str, ...]:
    """The lines of an explanation, without line ends."""
    lines = [_travel(plan.travel), _proof(plan.travel)]
    numbers = [bar.number for bar in sheet.bars for _ in bar.chords]
    if explanation.changes:
        lines.append(_quiet(explanation, plan))
    lines.append(_difficulty(explanation.difficulty))
    if explanation.hard_spots:
        lines.append("Practise these changes first:")
        lines += [_told(one, numbers) for one in explanation.hard_spots]
    if explanation.changes:
        lines.append("Change by change:")
        lines += [_told(one, numbers) for one in explanation.changes]
    if explanation.caution:
        lines.append(explanation.caution)
    return tuple(lines)


def _travel(travel: Travel) -> str:
    if not travel.changes:
        return "The hand never moves."
    changes = _many(travel.changes, "change")
    shifts = _many(travel.shifts, "shift")
    return (
        f"{changes} in a chorus, {shifts}, {_many(travel.shift_frets, 'fret')} in all; "
        f"frets {travel.lowest_fret} to {travel.highest_fret}, widest reach "
        f"{travel.widest_reach_mm:.0f} mm."
    )


def _proof(travel: Travel) -> str:
    if travel.smooth and travel.optimal:
        return (
            "No other plan with taught grips inside the window has an easier hardest change: this "
            "is proved."
        )
    if travel.smooth:
        return "A plan with an easier hardest change could not be ruled out."
    if travel.optimal:
        return "No other way to play these chords costs less effort: this is proved."
    return f"A plan with up to {travel.gap:.0f} mm less effort could not be ruled out."


def _quiet(explanation: Explanation, plan: GripPlan) -> str:
    start, length = explanation.quiet
    played = [grip for grip in plan.playings if grip is not None]
    position = played[start].position
    if length == len(played):
        return f"The hand stays in position {position} from beginning to end."
    chords = _many(length, "chord")
    return f"The longest rest of the hand: {chords} in position {position}."


def _difficulty(difficulty: Difficulty) -> str:
    return (
        f"Difficulty {difficulty.total:.1f} of 10: pace {difficulty.pace:.1f}, shifting "
        f"{difficulty.shifting:.1f}, widest leap {difficulty.leap:.1f}, reach "
        f"{difficulty.reach:.1f}, number of shapes {difficulty.shapes:.1f} (each 0 to 2)."
    )


def _told(change: ExplainedChange, numbers: list[int]) -> str:
    often = f" ({change.times} times)" if change.times > 1 else ""
    return f"  Bar {numbers[change.goal]}{often}, {change.sentence}"


def _many(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"
