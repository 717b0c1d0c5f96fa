"""A lesson: all that a student takes home about one tune, as files that are made when asked for.

Takes the tune's chart, its practice sheet and what is asked for, gives named files in the order in
which they are used: the chart with its second page, the drills, the tune slowly and in tempo, each
exercise. A name says what is in the file and sorts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from typing import Final

from ..converter.chart import CompingChart
from ..converter.drill.values import Drill
from ..converter.practice.performance import perform
from ..converter.practice.timing import Settings
from ..grammar.sheet import TEMPOS, USUAL_TEMPO
from .drafts import drafts
from .drill_files import drill_files, performed
from .page.style import PageStyle
from .playback import KINDS, played

#: How fast slow playback is, beside the tempo of the tune (common practice, no source).
SLOW: Final = Fraction(2, 3)


@dataclass(frozen=True, slots=True)
class Lesson:
    """One tune for one student. `tempo` None: the tune's own; `sound`: with files to play."""

    name: str
    chart: CompingChart
    drill: Drill
    style: PageStyle
    tempo: int | None = None
    sound: bool = True

    @property
    def in_tempo(self) -> int:
        """The tempo of the tune, in its own beats a minute."""
        return self.tempo or self.chart.sheet.header.tempo or USUAL_TEMPO

    @property
    def slowly(self) -> int:
        """The tempo to begin with."""
        return max(TEMPOS[0], round(SLOW * self.in_tempo))


@dataclass(frozen=True, slots=True)
class LessonFile:
    """A file of a lesson: its name and how its bytes are made."""

    name: str
    make: Callable[[], bytes]


def lesson_files(lesson: Lesson) -> Iterator[LessonFile]:
    """The files of a lesson, in the order in which they are used."""
    chart_style = replace(lesson.style, second_page=True)
    yield LessonFile(
        f"{lesson.name}-1-chart.pdf", lambda: drafts(lesson.chart, chart_style, "pdf")[0][1]
    )
    yield LessonFile(
        f"{lesson.name}-2-drills.pdf",
        lambda: drill_files(lesson.drill, lesson.style, "pdf")[0][0][1],
    )
    if lesson.sound:
        yield from _sounds(lesson)


def _sounds(lesson: Lesson) -> Iterator[LessonFile]:
    for name, tempo in (("3-slow", lesson.slowly), ("4-in-tempo", lesson.in_tempo)):
        for kind in KINDS:
            yield LessonFile(f"{lesson.name}-{name}{kind}", partial(_tune, lesson, tempo, kind))
    for number in range(len(lesson.drill.exercises)):
        for kind in KINDS:
            name = f"{lesson.name}-5-drill-{number + 1}{kind}"
            yield LessonFile(name, partial(_exercise, lesson, number, kind))


def _tune(lesson: Lesson, tempo: int, kind: str) -> bytes:
    chart = lesson.chart
    settings = Settings(tempo=tempo, rhythm=lesson.drill.practice.rhythm)
    return played(perform(chart.sheet, chart.form, chart.plan, settings), kind)


def _exercise(lesson: Lesson, number: int, kind: str) -> bytes:
    """An exercise slowly and once through: a player can repeat it."""
    practice = replace(lesson.drill.practice, repetitions=1, ladder=(), tempo=lesson.slowly)
    return played(performed(lesson.drill.exercises[number], practice), kind)
