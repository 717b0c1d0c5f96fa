"""What a drill says in words, shared by its page and its text: how to practise, what it asks."""

from __future__ import annotations

from ..converter.drill.values import Drill, Practice
from ..converter.practice.rhythm import Pattern

#: How each rhythm is played, by its name (common practice, no source).
_PLAYED = {
    "four-to-the-bar": "a short stroke on every beat, the weak beats a little louder",
    "two-to-the-bar": "a stroke on the first beat of each half, held for a beat",
    "half-notes": "a stroke on the first beat of each half, held until the next",
    "charleston": "a held stroke on 1 and a short one on the “and” of 2",
    "waltz": "a stroke on 1, two lighter ones on 2 and 3",
    "bossa": "a pattern of two bars, even eighths",
}


def rhythm_words(pattern: Pattern) -> str:
    """The name of a rhythm with how it is played: `Four-to-the-bar: a short stroke on …`."""
    name = pattern.name[0].upper() + pattern.name[1:]
    return f"{name}: {_PLAYED[pattern.name]}."


def how_to(drill: Drill) -> list[str]:
    """How a drill is practised, in sentences."""
    practice = drill.practice
    return [
        "Say the key and the string of each root aloud, then play it out of time once.",
        f"{_times(practice)}{_tempos(practice)}",
    ]


def _times(practice: Practice) -> str:
    times = practice.repetitions
    count = "once" if times == 1 else "twice" if times == 2 else f"{times} times"
    return f"In time: play each exercise {count}{' at each tempo' if practice.ladder else ''}"


def _tempos(practice: Practice) -> str:
    if practice.ladder:
        return (
            f", from {practice.ladder[0]} up to {practice.ladder[-1]}. Go on to the next tempo "
            "when this one is easy, and tick it off."
        )
    tempo = "" if practice.tempo is None else f" at tempo {practice.tempo}"
    return f"{tempo}, and tick a box for each time that a key came without a slip."


def drill_facts(drill: Drill) -> tuple[list[str], list[str]]:
    """Meter and tempo in one row; how many keys or exercises, and the frets, in the other."""
    practice = drill.practice
    time = [str(practice.meter)]
    if practice.rhythm is not None:
        time.append(practice.rhythm)
    if practice.ladder:
        time.append(f"tempo {practice.ladder[0]} to {practice.ladder[-1]}")
    elif practice.tempo is not None:
        time.append(f"tempo {practice.tempo}")
    travels = [exercise.chart.plan.travel for exercise in drill.exercises]
    low = min(travel.lowest_fret for travel in travels)
    high = max(travel.highest_fret for travel in travels)
    count, what = len(drill.exercises), "exercise"
    if count == 1:
        count, what = len(drill.exercises[0].stations), "key"
    return time, [f"{count} {what}{'s' * (count != 1)}", f"frets {low}–{high}"]
