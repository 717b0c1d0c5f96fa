"""What every form of a drill says and shows: how to practise, what it asks, which bars are whose.

Takes a `Drill` or parts of it; shared by its page and its text.
"""

from __future__ import annotations

from bisect import bisect_right
from itertools import accumulate
from textwrap import wrap

from ..converter.drill.values import Drill, Exercise, Practice, Station
from ..converter.practice.rhythm import Pattern, find_pattern, usual_pattern

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
    practice, several = drill.practice, len(drill.exercises) > 1
    times = practice.repetitions
    count = {1: "once", 2: "twice"}.get(times, f"{times} times")
    what = f"each exercise {count}" if several else f"it through {count}"
    each = " at each tempo" if practice.ladder else ""
    return [
        "Say the key and the string of each root aloud, then play it out of time once.",
        f"In time: play {what}{each}{_tempos(practice)}",
    ]


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


def notes_of(station: Station) -> list[str]:
    """What is to say of a key: where it is from, how it is reached, why the hand goes elsewhere."""
    return [said for said in (station.says, station.pivot, station.change) if said]


def bars_of(exercise: Exercise) -> tuple[range, ...]:
    """The written bars of each station, as indices: up to where the next one begins."""
    bars = exercise.chart.sheet.bars
    ends = list(accumulate(len(bar.chords) for bar in bars))
    starts = [bisect_right(ends, station.chords[0]) for station in exercise.stations]
    return tuple(range(*pair) for pair in zip(starts, [*starts[1:], len(bars)], strict=True))


def pattern_of(exercise: Exercise, practice: Practice) -> Pattern:
    """The rhythm of an exercise: the one that is asked for, or the usual one of its meter."""
    header = exercise.chart.sheet.header
    if practice.rhythm is None:
        return usual_pattern(header.meter, header.feel)
    return find_pattern(practice.rhythm, header.meter)


def summary_lines(drill: Drill) -> list[str]:
    """What a drill holds, in a few lines of at most 80 columns: exercises, keys, changes of set."""
    lines = [drill.title, *(f"  {note}" for note in drill.notes)]
    for exercise in drill.exercises:
        if len(drill.exercises) > 1:
            lines += wrap(exercise.name, 78, initial_indent="  ", subsequent_indent="  ")
        lines += _row("keys", " | ".join(_keys_by_round(exercise)))
        for station in exercise.stations:
            if station.change is not None:
                lines += _row("change", station.change)
    return lines


def _keys_by_round(exercise: Exercise) -> list[str]:
    rounds: dict[int, list[str]] = {}
    for station in exercise.stations:
        name = f"{station.key.tonic}{'m' * (station.key.mode == 'minor')}"
        rounds.setdefault(station.round, []).append(name)
    return [" ".join(names) for names in rounds.values()]


def _row(name: str, words: str) -> list[str]:
    return wrap(words, 80, initial_indent=f"  {name:<8}", subsequent_indent=" " * 10)
