"""The motion of the hand in words for a student: the grip changes and the explanation of a plan.

Takes a `GripChange`, or a `CompingChart` with the figures of `explain.py`, gives sentences
without line ends. All renderers print the same ones.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from math import ceil
from typing import Final

from ..alternatives import EFFORT_PARTS, Alternative, next_best, staying
from ..chart import CompingChart
from ..explain import (
    Difficulty,
    Explanation,
    GripChange,
    PlayedChange,
    ToneMotion,
    change_in,
    explain,
    hard_changes,
    played_changes,
)
from ..hand.grip import FINGER_NAMES, frets_text
from ..hand.plan import PlanError, Travel
from .facts import HAND_CAUTION, counted, number_words, rounds_sentence

DEGREE_NAMES: Final = {2: "second", 3: "third", 4: "fourth", 6: "sixth", 7: "seventh"}
_STEPS: Final = {1: "a semitone", 2: "a tone", 3: "a tone and a half", 6: "a tritone"}


def sentence_of(change: GripChange, symbols: tuple[str, str]) -> str:
    """The change in words: `Gm7 to C7: the hand stays. The bass goes from string 6 …`.

    `symbols` are the texts of the two chords.
    """
    parts = [_shift(change), _fingers(change), _bass(change), _tones(change.guide_tones)]
    first, *rest = [part for part in parts if part]
    clauses = [first, *(part[:1].upper() + part[1:] for part in rest)]
    return f"{symbols[0]} to {symbols[1]}: {'. '.join(clauses)}."


def _shift(change: GripChange) -> str:
    if change.still:
        return "the hand stays"
    size = abs(change.shift_frets)
    where = "up" if change.shift_frets > 0 else "down"
    return f"the hand shifts {where} {number_words(size)} fret{'s' if size > 1 else ''}"


def _fingers(change: GripChange) -> str:
    actions = [
        (change.kept, "stays down", "stay down"),
        (change.guiding, "slides along its string", "slide along their strings"),
        (change.moved, "goes to another string", "go to other strings"),
        (change.lifted, "lifts off", "lift off"),
        (change.placed, "is put down", "are put down"),
    ]
    clauses = [
        f"the {names(fingers)} {one if len(fingers) == 1 else many}"
        for fingers, one, many in actions
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
    size = _STEPS.get(abs(motion.semitones), f"{number_words(abs(motion.semitones))} semitones")
    way = "rises" if motion.semitones > 0 else "falls"
    return f"the {degree} {motion.start} {way} {size} to the {becomes} {motion.goal}"


def names(fingers: Sequence[int]) -> str:
    """Finger names as a list: `index and ring finger`."""
    words = [FINGER_NAMES[finger] for finger in fingers]
    listed = words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
    return f"{listed} finger{'s' if len(words) > 1 else ''}"


def change_sentence(chart: CompingChart, change: PlayedChange) -> str:
    """A change of a chart in words, its chords as the sheet writes them."""
    start, goal = (chart.sheet.chords[index].text for index in (change.start, change.goal))
    return sentence_of(change_in(chart, change), (start, goal))


def practice_lines(chart: CompingChart, bracketed: Collection[str]) -> list[str]:
    """What to practise, from the grip changes of the plan.

    `bracketed` are the kinds of areas that have a bracket on the page.
    """
    lines = ["Say each root and its string aloud, then play the grip, out of time."]
    lines += [
        f"Play to and fro, slowly: {change_sentence(chart, change)}"
        for change in hard_changes(chart)
    ]
    if any(area.kind in bracketed for area in chart.analysis.areas):
        lines.append("Play each bracketed ii–V with its goal four times, one stroke a bar.")
    return [*lines, "Play the whole form in time: one stroke a bar, then two, then four."]


def explanation_lines(chart: CompingChart) -> tuple[str, ...]:
    """The explanation of a chart in lines.

    In order: how far the hand moves, where it rests, how difficult the tune is and why, which
    changes to practise, every change; last a caution if a grip stretches the hand.
    """
    explanation = explain(chart)
    lines = [_travel(chart.plan.travel), _proof(chart)]
    lines += filter(None, [rounds_sentence(chart.sheet, chart.form)])
    lines += _next_best(chart)
    if explanation.changes:
        lines.append(_quiet(explanation, chart))
    lines.append(_difficulty(explanation.difficulty))
    if explanation.hard:
        lines.append("Practise these changes first:")
        lines += _change_lines(chart, explanation.hard)
    lines += _staying(chart, explanation.changes)
    if explanation.changes:
        lines.append("Change by change:")
        lines += _change_lines(chart, explanation.changes)
    if explanation.stretched:
        lines.append(HAND_CAUTION)
    return tuple(lines)


def _travel(travel: Travel) -> str:
    if not travel.changes:
        return "The hand never moves."
    changes = counted(travel.changes, "change")
    shifts = counted(travel.shifts, "shift")
    return (
        f"{changes} in a chorus, {shifts}, {counted(travel.shift_frets, 'fret')} in all; "
        f"frets {travel.lowest_fret} to {travel.highest_fret}, widest reach "
        f"{travel.widest_reach_mm:.0f} mm."
    )


def _proof(chart: CompingChart) -> str:
    travel, added_mm = chart.plan.travel, chart.plan.shared_mm
    if travel.smooth and travel.optimal:
        return (
            "No other plan with taught grips inside the window has an easier hardest change: this "
            "is proved."
        )
    if travel.smooth:
        return "A plan with an easier hardest change could not be ruled out."
    if not travel.optimal:
        return f"A plan with up to {ceil(travel.gap_mm)} mm less effort could not be ruled out."
    if not added_mm:
        return "No other way to play these chords costs less effort: this is proved."
    return (
        "No other way to play these chords with the same grips in repeated phrases costs less "
        f"effort: this is proved. Other grips in each repeat would save {added_mm:.0f} mm of "
        f"{chart.plan.effort_mm:.0f}."
    )


def _next_best(chart: CompingChart) -> list[str]:
    """The plan of least effort with another grip; nothing if all are pinned or none is proved."""
    try:
        other = next_best(chart)
    except PlanError:
        return []
    if other is None:
        return []
    return [
        f"The next best plan costs {more_text(chart, other)}: in bar "
        f"{chart.sheet.bar_number_of(other.chord)} it has {pin_text(chart, other)}."
    ]


def more_text(chart: CompingChart, other: Alternative) -> str:
    """What another plan costs more over the chorus: `30 mm more, 4 frets more`."""
    frets = other.plan.travel.shift_frets - chart.plan.travel.shift_frets
    text = f"{abs(other.added_mm):.0f} mm {'less' if other.added_mm <= -0.5 else 'more'}"
    if not frets:
        return text
    return f"{text}, {counted(abs(frets), 'fret')} {'more' if frets > 0 else 'less'}"


def offer_text(chart: CompingChart, other: Alternative) -> str:
    """What another grip is and costs: `in four-note style, outside the window, 30 mm more`."""
    style = "" if other.style == chart.options.style else f"in {other.style} style, "
    where = "" if other.inside else "outside the window, "
    return f"{style}{where}{more_text(chart, other)}"


def pin_text(chart: CompingChart, other: Alternative) -> str:
    """A grip as it is written behind its chord: `G7<3 x 3 4 x x>`."""
    return f"{chart.sheet.chords[other.chord].symbol}<{frets_text(other.grip.frets)}>"


#: The parts of an added effort in words.
_REASONS: Final = {
    "stretch_mm": "a stretch",
    "crowding_mm": "crowded fingers",
    "little_finger_mm": "the little finger",
    "barre_mm": "a barre",
    "unmuted_mm": "a string that no finger mutes",
    "window_mm": "a grip outside the window",
    "unsaid_mm": "a tone left out",
    "unled_mm": "a voice that no longer moves by step on one string",
    "travel_mm": "longer moves before and after",
}


def _reason(other: Alternative) -> str:
    """What most of the added effort is for."""
    part = EFFORT_PARTS[max(range(len(EFFORT_PARTS)), key=lambda at: other.parts_mm[at])]
    return _REASONS[part]


def position_lines(chart: CompingChart, chord: int) -> tuple[str, ...]:
    """Why the hand is where it is at a chord, a sentence each.

    How it comes from each chord before, what it would cost to stay there, and how it goes on; none
    for silence.
    """
    grip = chart.plan.grips[chord]
    if grip is None:
        return ()
    changes = played_changes(chart)
    coming = [change for change in changes if change.goal == chord]
    leaving = [change for change in changes if change.start == chord and change not in coming]
    lines = [change_sentence(chart, change) for change in coming]
    if not any(change.grips[0].position != grip.position for change in coming):
        lines.append(f"It is in position {grip.position} already.")
    lines += [_stay(chart, change, other) for change, other in staying(chart, coming)]
    lines += [change_sentence(chart, change) for change in leaving]
    return tuple(lines)


def _staying(chart: CompingChart, changes: Sequence[PlayedChange]) -> list[str]:
    """Why the hand does not stay, a line for each change that shifts it, the same ones together."""
    numbers = chart.sheet.bar_numbers
    bars: dict[str, list[int]] = {}
    for change, other in staying(chart, changes):
        bars.setdefault(_stay(chart, change, other), []).append(numbers[change.goal])
    lines = [
        f"  Bar{'s' * (len(set(where)) > 1)} {', '.join(map(str, sorted(set(where))))}, {said}"
        for said, where in bars.items()
    ]
    return ["Why the hand does not stay:", *lines] if lines else []


def _stay(chart: CompingChart, change: PlayedChange, other: Alternative | None) -> str:
    start, goal = (chart.sheet.chords[index].text for index in (change.start, change.goal))
    position = change.grips[0].position
    if other is None:
        return f"{start} to {goal}: no grip of {goal} lies in position {position}."
    return (
        f"{start} to {goal}: staying in position {position} with {pin_text(chart, other)} would "
        f"cost {more_text(chart, other)} over the chorus, most of it for {_reason(other)}."
    )


def _quiet(explanation: Explanation, chart: CompingChart) -> str:
    start, length = explanation.quiet
    grips = [grip for grip in chart.plan.playings if grip is not None]
    position = grips[start].position
    if length == len(grips):
        return f"The hand stays in position {position} from beginning to end."
    chords = counted(length, "chord")
    return f"The longest rest of the hand: {chords} in position {position}."


def _difficulty(difficulty: Difficulty) -> str:
    return (
        f"Difficulty {difficulty.total:.1f} of 10: pace {difficulty.pace:.1f}, shifting "
        f"{difficulty.shifting:.1f}, widest leap {difficulty.leap:.1f}, reach "
        f"{difficulty.reach:.1f}, number of shapes {difficulty.shapes:.1f} (each 0 to 2)."
    )


def _change_lines(chart: CompingChart, changes: Sequence[PlayedChange]) -> list[str]:
    numbers = chart.sheet.bar_numbers
    return [
        f"  Bar {numbers[change.goal]}{_often(change.times)}, {change_sentence(chart, change)}"
        for change in changes
    ]


def _often(times: int) -> str:
    return f" ({times} times)" if times > 1 else ""
