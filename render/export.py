"""Charts, drills, performances and lessons as the bytes of files, by format.

Takes a `CompingChart`, `Drill` or `Performance` and a `PageStyle`, gives pairs of a name's ending
and bytes: one pair, or one for each page or exercise if a file of the format holds only one.
Writers are imported when their format is needed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from pathlib import Path
from typing import Final

from ..converter.chart import CompingChart
from ..converter.drill.drill import Drill, Exercise, Practice
from ..converter.practice.perform import perform
from ..converter.practice.performance import Performance, Settings
from ..converter.prose.facts import HAND_CAUTION, HEARING_CAUTION
from ..grammar.errors import MidneckError
from ..grammar.sheet import TEMPOS, USUAL_TEMPO
from .output import stamp
from .page.drawing.items import Document
from .page.drawing.style import USUAL_DPI, PageStyle

#: Pairs of the part of a name after its stem, and bytes.
Files = list[tuple[str, bytes]]
#: The formats of a chart, by the ending of the name.
CHART_FORMATS: Final = ("pdf", "svg", "png", "txt", "musicxml")


def export_chart(
    chart: CompingChart,
    style: PageStyle,
    kind: str,
    tab: bool = False,
    fingerprint: str | None = None,
) -> Files:
    """The files of a chart in a format of `CHART_FORMATS`.

    `tab` adds tablature to MusicXML. `fingerprint` is stamped into each file, None for no stamp.
    """
    mark = "" if fingerprint is None else stamp(fingerprint)
    if kind == "txt":
        from .text import text_chart

        footnote = "" if fingerprint is None else f"{mark}\n"
        return [(".txt", (text_chart(chart, style.analysis is not False) + footnote).encode())]
    if kind == "musicxml":
        from .musicxml.write import write_musicxml

        return [(".musicxml", write_musicxml(chart, tab, mark))]
    from .page.layout import lay_out

    return export_document(lay_out(chart, style), kind, fingerprint, style.dpi)


def export_document(
    document: Document, kind: str, fingerprint: str | None = None, dpi: int | None = None
) -> Files:
    """The files of a document as pdf, svg or png, stamped with a fingerprint, if any.

    `dpi` is dots an inch of a png, None for the usual.
    """
    count = 1 if kind == "pdf" else len(document.pages)
    files: Files = []
    for number in range(1, count + 1):
        stamped = replace(
            document, stamp="" if fingerprint is None else stamp(fingerprint, number, count)
        )
        ending = f"-{number}.{kind}" if count > 1 else f".{kind}"
        files.append((ending, _page_bytes(stamped, kind, number - 1, dpi)))
    return files


def _page_bytes(document: Document, kind: str, page: int, dpi: int | None) -> bytes:
    """All pages as pdf, or one of them as svg or png."""
    if kind == "pdf":
        from .page.write.pdf import write_pdf

        return write_pdf(document)
    if kind == "svg":
        from .page.write.svg import write_svg

        return write_svg(document, page).encode()
    from .page.write.png import write_png

    return write_png(document, page, dpi or USUAL_DPI)


#: The endings of files that hold a performance.
PLAYBACK_FORMATS: Final = (".mid", ".wav")
#: The minimum length in minutes of a performance that has a caution for the hands.
LONG_MINUTES: Final = 5


class PlaybackError(MidneckError, ValueError):
    """An option does not belong to the format; the message names the format of the option."""


@dataclass(frozen=True, slots=True)
class Instruments:
    """The instruments of playback.

    In sound, `soundfont` is the path of a SoundFont, None for our own strings; in MIDI,
    `strings_apart` puts each guitar string on its own channel.
    """

    soundfont: Path | None = None
    strings_apart: bool = False

    def check(self, kind: str) -> None:
        """Raise PlaybackError when an option does not belong to a file of this kind."""
        if self.soundfont is not None and kind != ".wav":
            raise PlaybackError(f"--soundfont plays a .wav file, not a {kind} file")
        if self.strings_apart and kind != ".mid":
            raise PlaybackError(f"--strings-apart is for a .mid file, not a {kind} file")


OWN: Final = Instruments()


def export_performance(
    performance: Performance, kind: str, instruments: Instruments = OWN
) -> bytes:
    """The bytes of a `.mid` or `.wav` file.

    Raises PlaybackError when the instruments do not fit it, SynthesizerError when the SoundFont
    cannot be played.
    """
    instruments.check(kind)
    if kind == ".mid":
        from .midi import write_midi

        return write_midi(performance, instruments.strings_apart)
    from .sound.wav import write_wav

    return write_wav(performance, instruments.soundfont)


def cautions(performance: Performance, ladder: bool = False) -> list[str]:
    """The cautions that belong to a performance: for hearing, and for the hands if it is long."""
    minutes = performance.seconds(performance.length) / 60
    hands = [HAND_CAUTION] if ladder or minutes > LONG_MINUTES else []
    return [*hands, HEARING_CAUTION]


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


@dataclass(frozen=True, slots=True)
class Lesson:
    """The input of a folder of files for one student about one tune.

    `tempo` None is the tune's own; `sound`: with MIDI and sound files.
    """

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
        """The tempo of slow playback, in the tune's own beats a minute."""
        return max(TEMPOS[0], round(SLOW * self.in_tempo))


@dataclass(frozen=True, slots=True)
class LessonFile:
    """A file of a lesson: its name and the function that makes its bytes."""

    name: str
    make: Callable[[], bytes]


def lesson_files(lesson: Lesson) -> Iterator[LessonFile]:
    """The files of a lesson in the order of their use; their bytes are made later.

    They are the chart with its second page, the drills, the tune slowly and in tempo, each exercise
    slowly. The names describe the files and sort in this order.
    """
    chart_style = replace(lesson.style, second_page=True)
    yield LessonFile(
        f"{lesson.name}-1-chart.pdf", lambda: export_chart(lesson.chart, chart_style, "pdf")[0][1]
    )
    yield LessonFile(
        f"{lesson.name}-2-drills.pdf",
        lambda: export_drill(lesson.drill, lesson.style, "pdf")[0][0][1],
    )
    if lesson.sound:
        yield from _sound_files(lesson)


def _sound_files(lesson: Lesson) -> Iterator[LessonFile]:
    for name, tempo in (("3-slow", lesson.slowly), ("4-in-tempo", lesson.in_tempo)):
        for kind in PLAYBACK_FORMATS:
            yield LessonFile(
                f"{lesson.name}-{name}{kind}", partial(_tune_bytes, lesson, tempo, kind)
            )
    for number in range(len(lesson.drill.exercises)):
        for kind in PLAYBACK_FORMATS:
            name = f"{lesson.name}-5-drill-{number + 1}{kind}"
            yield LessonFile(name, partial(_exercise_bytes, lesson, number, kind))


def _tune_bytes(lesson: Lesson, tempo: int, kind: str) -> bytes:
    chart = lesson.chart
    settings = Settings(tempo=tempo, rhythm=lesson.drill.practice.rhythm)
    return export_performance(perform(chart.timeline, chart.plan, settings), kind)


def _exercise_bytes(lesson: Lesson, number: int, kind: str) -> bytes:
    """An exercise slowly and once, because a player program can repeat it."""
    practice = replace(lesson.drill.practice, repetitions=1, ladder=(), tempo=lesson.slowly)
    return export_performance(perform_exercise(lesson.drill.exercises[number], practice), kind)
