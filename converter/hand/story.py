"""An explanation told in lines that a student reads from top to bottom.

Takes an explanation, its plan and its sheet, gives lines of text: how far the hand goes, where it
rests, where it is hard, how hard the tune is and why, then every change. Renderers print them as
they are; the caution comes last where there is one.
"""

from __future__ import annotations

from ...grammar.sheet import Sheet
from .difficulty import Difficulty
from .explain import ExplainedChange, Explanation
from .plan import GripPlan, Travel


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
