"""Drills, and lessons of a tune with its drills, as the bytes of files.

Takes a `Drill` or a `Lesson`, gives pairs of a name's ending and bytes, one for each page or
exercise if a file of the format holds only one; or the files of a lesson by their names.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from functools import partial
from typing import Final

from ..converter.chart import CompingChart
from ..converter.drill.drill import Drill, Exercise, Practice
from ..converter.practice.perform import perform
from ..converter.practice.performance import Performance, Settings
from ..converter.prose.drill import pattern_of
from ..grammar.frozen import frozen
from ..grammar.sheet import TEMPOS, USUAL_TEMPO
from .export import (
    PLAYBACK_FORMATS,
    Files,
    cautions,
    export_chart,
    export_document,
    export_performance,
)
from .page.drawing.style import PageStyle

#: What a drill can be written as, by the ending of the name.
DRILL_FORMATS: Final = ("pdf", "svg", "png", "txt", *(kind[1:] for kind in PLAYBACK_FORMATS))


def export_drill(drill: Drill, style: PageStyle, kind: str) -> tuple[Files, list[str]]:
    """The files of a drill in a format of `DRILL_FORMATS`, and the cautions for those with sound.

    Raises RhythmError or SettingsError when it cannot be played.
    """
    if kind == "txt":
        from .text import drill_text

        return [(".txt", drill_text(drill).encode())], []
    if f".{kind}" in PLAYBACK_FORMATS:
        return _export_exercises(drill, f".{kind}")
    from .page.drill.layout import lay_out_drill

    return export_document(lay_out_drill(drill, style), kind, dpi=style.dpi), []


def _export_exercises(drill: Drill, kind: str) -> tuple[Files, list[str]]:
    """A file for each exercise, and the cautions of all of them."""
    files: Files = []
    all_cautions: set[str] = set()
    for number, exercise in enumerate(drill.exercises, 1):
        performance = perform_exercise(exercise, drill.practice)
        ending = f"-{number}{kind}" if len(drill.exercises) > 1 else kind
        files.append((ending, export_performance(performance, kind)))
        all_cautions |= set(cautions(performance, bool(drill.practice.ladder)))
    return files, sorted(all_cautions, key=len, reverse=True)


def perform_exercise(exercise: Exercise, practice: Practice) -> Performance:
    """The timed strokes of an exercise. Raises RhythmError or SettingsError."""
    chart = exercise.chart
    return perform(chart.timeline, chart.plan, exercise.settings(practice))


#: The tempo of slow playback divided by that of the tune (common practice, no source).
SLOW: Final = Fraction(2, 3)


@frozen
class Lesson:
    """The input of a folder of files for one student about one tune.

    `tempo` None is the tune's own; `sound`: with MIDI and sound files, these of the format `audio`.
    """

    name: str
    chart: CompingChart
    drill: Drill
    style: PageStyle
    tempo: int | None = None
    sound: bool = True
    audio: str = ".wav"

    @property
    def in_tempo(self) -> int:
        """The tempo of the tune, in its own beats a minute."""
        return self.tempo or self.chart.sheet.header.tempo or USUAL_TEMPO

    @property
    def slowly(self) -> int:
        """The tempo of slow playback, in the tune's own beats a minute."""
        return max(TEMPOS[0], round(SLOW * self.in_tempo))


@frozen
class LessonFile:
    """A file of a lesson: its name and the function that makes its bytes."""

    name: str
    make: Callable[[], bytes]


def lesson_files(lesson: Lesson) -> Iterator[LessonFile]:
    """The files of a lesson in the order of their use; their bytes are made later.

    They are the chart with its second page, the drills, the tune slowly and in tempo, each exercise
    slowly. The names say what the files are, and sort in this order.
    """
    chart_style = replace(lesson.style, second_page=True)
    yield LessonFile(
        f"1 {lesson.name}, chart.pdf", lambda: export_chart(lesson.chart, chart_style, "pdf")[0][1]
    )
    yield LessonFile(
        f"2 {lesson.name}, drills.pdf",
        lambda: export_drill(lesson.drill, lesson.style, "pdf")[0][0][1],
    )
    if lesson.sound:
        yield from _sound_files(lesson)


def _sound_files(lesson: Lesson) -> Iterator[LessonFile]:
    for number, name, tempo in (
        (3, "slowly", lesson.slowly),
        (4, "in tempo", lesson.in_tempo),
    ):
        for kind in (".mid", lesson.audio):
            yield LessonFile(
                f"{number} {lesson.name}, {name}, {tempo}{kind}",
                partial(_tune_bytes, lesson, tempo, kind),
            )
    for number, exercise in enumerate(lesson.drill.exercises):
        for kind in (".mid", lesson.audio):
            yield LessonFile(
                f"{number + 5} {_exercise_name(exercise, lesson)}{kind}",
                partial(_exercise_bytes, lesson, number, kind),
            )


def _exercise_name(exercise: Exercise, lesson: Lesson) -> str:
    """What a recording of an exercise is: its name, key, rhythm and tempo."""
    first = exercise.stations[0].key
    key = "" if len({station.key for station in exercise.stations}) > 1 else f" in {first.short}"
    rhythm = pattern_of(exercise, lesson.drill.practice).name
    return f"{file_words(exercise.name)}{key}, {file_words(rhythm)}, {lesson.slowly}"


def file_words(text: str) -> str:
    """A text as a part of a file's name: letters, digits, blanks, hyphens, commas."""
    plain = unicodedata.normalize("NFC", text).replace("–", "-").replace("/", " of ")
    return " ".join(re.sub(r"[^\w ,#-]+", "", plain).split())[:60]


def _tune_bytes(lesson: Lesson, tempo: int, kind: str) -> bytes:
    chart = lesson.chart
    settings = Settings(tempo=tempo, rhythm=lesson.drill.practice.rhythm)
    return export_performance(perform(chart.timeline, chart.plan, settings), kind)


def _exercise_bytes(lesson: Lesson, number: int, kind: str) -> bytes:
    """An exercise slowly and once, because a player program can repeat it."""
    practice = replace(lesson.drill.practice, repetitions=1, ladder=(), tempo=lesson.slowly)
    return export_performance(perform_exercise(lesson.drill.exercises[number], practice), kind)
