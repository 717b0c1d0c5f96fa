"""A drill as plain text for a terminal of 80 columns, and as data for other programs.

Takes a `Drill`, gives text that ends with a line end, or a dictionary that `json` can write: the
exercises, each with its stations and the report of its chart, into whose chords the stations point.
"""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap
from typing import Any

from ..converter.drill.values import Drill, Exercise, Practice, Station
from ..converter.hand.cautions import HAND_CAUTION
from .drill_words import bars_of, drill_facts, how_to, notes_of, pattern_of, rhythm_words
from .output import MARK
from .report import report
from .text_chart import WIDTH, lines_of_bars, strings_line


def drill_text(drill: Drill) -> str:
    """The drill as text."""
    time, asked = drill_facts(drill)
    lines = [drill.title, ", ".join([*time, *asked]), ""]
    for said in (*drill.notes, *how_to(drill)):
        lines += wrap(said, WIDTH)
    lines += wrap(rhythm_words(pattern_of(drill.exercises[0], drill.practice)), WIDTH)
    if drill.practice.ladder:
        lines += wrap("Tempo  " + "  ".join(f"[ ] {each}" for each in drill.practice.ladder), WIDTH)
    lines += ["", *wrap(HAND_CAUTION, WIDTH)]
    several = len(drill.exercises) > 1
    for number, exercise in enumerate(drill.exercises, 1):
        name = f"{number}. {exercise.name}"
        lines += ["", *([name, "=" * len(name)] if several else []), *_exercise(exercise, drill)]
    lines += ["", strings_line(drill.exercises[0].chart), "", f"Drill {MARK}"]
    return "\n".join(lines) + "\n"


def _exercise(exercise: Exercise, drill: Drill) -> Iterator[str]:
    yield from wrap(exercise.why, WIDTH)
    rounds = exercise.stations[-1].round
    before = 0
    texts = lines_of_bars(exercise.chart, bars_of(exercise))
    for station, text in zip(exercise.stations, texts, strict=True):
        if rounds > 1 and station.round != before:
            yield from ("", f"Round {station.round} of {rounds}")
        before = station.round
        yield from _station(station, text, drill.practice)


def _station(station: Station, text: list[str], practice: Practice) -> Iterator[str]:
    boxes = "[ ] " * (1 if practice.ladder else min(practice.repetitions, 8))
    yield from ("", f"{boxes}{station.key}")
    for note in notes_of(station):
        yield from wrap(note, WIDTH - 4, initial_indent="    ", subsequent_indent="    ")
    yield from text


def drill_data(drill: Drill) -> dict[str, Any]:
    """The drill as data."""
    practice = drill.practice
    return {
        "title": drill.title,
        "notes": list(drill.notes),
        "practice": {
            "repetitions": practice.repetitions,
            "bars_per_chord": float(practice.bars_per_chord),
            "ladder": list(practice.ladder),
            "tempo": practice.tempo,
            "rhythm": practice.rhythm,
            "time": str(practice.meter),
        },
        "exercises": [_exercise_data(exercise) for exercise in drill.exercises],
    }


def _exercise_data(exercise: Exercise) -> dict[str, Any]:
    progression = exercise.progression
    return {
        "name": exercise.name,
        "why": exercise.why,
        "progression": None if progression is None else str(progression),
        "stations": [_station_data(station) for station in exercise.stations],
        "chart": report(exercise.chart),
    }


def _station_data(station: Station) -> dict[str, Any]:
    return {
        "key": str(station.key),
        "round": station.round,
        "chords": list(station.chords),
        "root_string": station.root_string,
        "pivot": station.pivot,
        "change": station.change,
        "says": station.says,
    }
