"""The Python interface of lessons: a tune's chart, its drills and playback for one student.

It holds `midneck.lesson`, `midneck.Lesson` and `zip_of_lessons`, which puts the lessons of several
tunes into one file; the command line makes its lessons with them too.
"""

from __future__ import annotations

import io
import os
import re
import unicodedata
import zipfile
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import partial
from importlib.util import find_spec
from pathlib import Path
from types import NoneType
from typing import Final, Unpack

from ..converter.chart import CompingChart
from ..converter.drill.drill import Drill, DrillError, Exercise
from ..converter.drill.tune import drill_of
from ..converter.practice.perform import perform
from ..converter.practice.performance import Settings
from ..converter.practice.written import tune_pattern
from ..converter.prose.drill import pattern_of
from ..converter.prose.facts import title_text
from ..grammar.frozen import frozen
from ..grammar.sheet import TEMPOS, USUAL_TEMPO
from .book.book import BookOptions, book_tune
from .book.layout import lay_out_book
from .book.part import BookPart, packed, unbound
from .charts import Chart, chart
from .drill_export import export_drill, perform_exercise
from .drill_options import DrillChoice, OptionMistakes
from .export import OWN, export_chart, export_document, export_performance
from .options import (
    CHART_NAMES,
    OptionError,
    PageOptions,
    check_options,
    in_keywords,
    one_of,
    page_style,
    typed,
)
from .output import OutputError, write_result
from .page.drawing.style import PageStyle
from .page.drill.layout import lay_out_drill
from .page.layout import lay_out
from .sources import Tune
from .stamps import is_stamped, sealed, signature

#: The tempo of slow playback divided by that of the tune (common practice, no source).
SLOW: Final = Fraction(2, 3)
#: The formats of the sound of a lesson; "none" for one that is only printed.
AUDIO: Final = ("ogg", "flac", "mp3", "wav", "none")
#: The time of every file in a zip: the earliest that the format can say.
_ZIP_TIME: Final = (1980, 1, 1, 0, 0, 0)
#: Endings of files that are compressed already.
_COMPRESSED: Final = (".ogg", ".flac", ".mp3")


#: Makes the bytes of a file with a fingerprint stamped into it, None for one not recorded.
Make = Callable[[str | None], bytes]
#: A part of a lesson: the stem of its files' names, and their makers by the ending.
_Part = tuple[str, Mapping[str, Make]]


@frozen
class LessonFile:
    """A file of a lesson: its name, and the function that makes its bytes."""

    name: str
    make: Make


@frozen
class Lesson:
    """A tune's chart, its drills, and both to play along with.

    `name` stands in the names of files. `tempo` is that of the tune in its own beats a minute, None
    for the sheet's. `rhythm` is played, and drawn over the bars of the chart; None for the usual
    one, which is not drawn.
    """

    name: str
    comping: CompingChart
    drill: Drill
    tempo: int | None = None
    rhythm: str | None = None

    @property
    def in_tempo(self) -> int:
        """The tempo of the tune, in its own beats a minute."""
        return self.tempo or self.comping.sheet.header.tempo or USUAL_TEMPO

    @property
    def slowly(self) -> int:
        """The tempo of slow playback, in the tune's own beats a minute."""
        return max(TEMPOS[0], round(SLOW * self.in_tempo))

    def files(self, style: PageStyle, audio: str | None = None) -> Iterator[LessonFile]:
        """The files in the order of their use; their bytes are made later.

        They are the chart with its second page, the drills, the tune slowly and in tempo, each
        exercise slowly. The names say what the files are, and sort in this order. `audio` is one of
        `AUDIO`, None for the usual one. Raises OptionError.
        """
        kind = usual_audio() if audio is None else one_of("audio", audio, AUDIO)
        parts = [*_printed(self, style), *(_played(self, f".{kind}") if kind != "none" else ())]
        digits = len(str(len(parts)))
        for number, (stem, makers) in enumerate(parts, 1):
            for ending, make in makers.items():
                yield LessonFile(f"{number:0{digits}} {stem}{ending}", make)

    def left_in(self, folder: Path, names: Collection[str]) -> list[Path]:
        """The stamped files of this lesson in a folder that are not among the `names` of its files.

        They are left from when it had other drills or another tempo; those of an ending that no
        name has were not asked for now. Where the folder holds the chart of another lesson too,
        there is no telling whose drills are whose, and there are none.
        """
        endings = {Path(name).suffix for name in names}
        numbered = [
            path for path in sorted(folder.iterdir())
            if re.match(r"\d+ ", path.name) and path.is_file() and is_stamped(path)
        ]  # fmt: skip
        charts = {path.name for path in numbered if path.stem.endswith(", chart")}
        if not all(re.fullmatch(rf"\d+ {re.escape(self.name)}, chart\.pdf", at) for at in charts):
            return []
        return [
            path for path in numbered if path.name not in names and path.suffix in endings
        ]  # fmt: skip

    def save(
        self,
        path: str | os.PathLike[str],
        *,
        force: bool = False,
        audio: str | None = None,
        **options: Unpack[PageOptions],
    ) -> tuple[Path, ...]:
        """Write the lesson as a zip or a book if the path ends in .zip or .pdf, else as a folder.

        Gives the files. A book holds what is printed.

        `audio` is "ogg", "flac", "mp3" (extra `audio`), "wav" or "none"; None for ogg, or wav where
        the extra is not installed. The other options are those of a page. Overwrites and raises
        like `Chart.save`.

        >>> lesson = midneck.lesson("Title: Two\\n| Dm7 | G7 |\\n")
        >>> [path.name for path in lesson.save(folder / "anna", audio="none")]
        ['1 Two, chart.pdf', '2 Two, drills.pdf']
        """
        place, style = Path(path), _style(options)
        typed("force", force, bool)
        try:
            data = lesson_file(place, self, style, audio)
            if data is not None:
                write_result(place, data, force)
                return (place,)
            return tuple(
                _written(place / file.name, file, force) for file in self.files(style, audio)
            )
        except OutputError as error:
            raise OutputError(in_keywords(str(error))) from error

    def __repr__(self) -> str:
        return f"<Lesson {self.name!r}: {len(self.drill.exercises)} exercises>"


def lesson(
    tune: Tune | Chart,
    *,
    tempo: int | None = None,
    repetitions: int = 4,
    ladder: str | None = None,
    rhythm: str | None = None,
    name: str | None = None,
) -> Lesson:
    """The lesson of a tune: of a chart, or of anything that `chart` takes.

    `tempo` is that of the tune in its beats a minute, `repetitions` how often each exercise is
    played, `ladder` its rising tempos as "80:140:10", `rhythm` a name. `name` is that of the files,
    None for the title. Raises MidneckError with all wrong options, TypeError.

    >>> midneck.lesson("Title: Two\\n| Dm7 | G7 |\\n", tempo=90).slowly
    60
    """
    given = {"tempo": tempo, "ladder": ladder, "rhythm": rhythm, "name": name}
    for option, value in given.items():
        typed(option, value, int if option == "tempo" else str, NoneType)
    typed("repetitions", repetitions, int)
    made = tune if isinstance(tune, Chart) else chart(tune)
    choice = DrillChoice(repetitions=repetitions, ladder=ladder, rhythm=rhythm)
    try:
        return lesson_of(made, choice, OptionMistakes(), tempo, file_words(name or ""))
    except (OptionError, DrillError) as error:
        raise OptionError(in_keywords(str(error))) from error


def lesson_of(
    made: Chart,
    choice: DrillChoice,
    mistakes: OptionMistakes,
    tempo: int | None = None,
    name: str | None = None,
) -> Lesson:
    """The lesson of a chart with the choices of its drills; `name` as it stands in files' names.

    Raises OptionError with all mistakes so far, PlanError.
    """
    header = made.sheet.header
    mistakes.get(lambda: Settings(tempo=tempo), None)
    route, practice = choice.of_tune(mistakes, header)
    drawn = None if choice.rhythm is None else tune_pattern(made.sheet, choice.rhythm).name
    called = name or file_words(title_text(made.sheet)) or "tune"
    return Lesson(called, made.comping, drill_of(made.comping, route, practice), tempo, drawn)


def usual_audio() -> str:
    """The format of sound that is written unless another is asked for: ogg, or wav without it."""
    return "ogg" if find_spec("soundfile") else "wav"


def zip_of_lessons(
    lessons: Sequence[Lesson],
    style: PageStyle,
    audio: str | None = None,
    fingerprint: str | None = None,
) -> bytes:
    """The lessons as one zip, the same bytes for the same lessons.

    Several lessons have a folder each, named after the tune; one has its files alone. The zip
    carries the mark of Midneck, and the stamp of `fingerprint`, as its comment. Raises OptionError.
    """
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as file:
        file.comment = signature(fingerprint).encode()
        for each, folder in zip(lessons, _folders(lessons), strict=True):
            for part in each.files(style, audio):
                _add(file, folder + part.name, part.make(None))
    return sealed(buffer.getvalue())


def book_of_lessons(
    lessons: Sequence[Lesson], style: PageStyle, fingerprint: str | None = None
) -> bytes:
    """The charts and drills of lessons as one PDF with contents, for printing."""
    first = lessons[0]
    title = (first.comping.sheet.header.title or first.name) if len(lessons) == 1 else "Lessons"
    parts = [_book_part(each, style) for each in lessons]
    document = lay_out_book(parts, BookOptions(title, drills=True, indexes=False), style)
    return export_document(document, "pdf", fingerprint)[0][1]


def _book_part(lesson: Lesson, style: PageStyle) -> BookPart:
    plain = unbound(style)
    pages = lay_out(lesson.comping, replace(plain, second_page=True, rhythm=lesson.rhythm))
    drill = packed(lay_out_drill(lesson.drill, plain))
    return BookPart(book_tune(lesson.comping), packed(pages), drill)


def lesson_file(
    place: Path,
    lesson: Lesson,
    style: PageStyle,
    audio: str | None,
    fingerprint: str | None = None,
) -> bytes | None:
    """The lesson as the one file that a path names by its ending; None for a folder."""
    ending = place.suffix.lower()
    if ending == ".zip":
        return zip_of_lessons([lesson], style, audio, fingerprint)
    return book_of_lessons([lesson], style, fingerprint) if ending == ".pdf" else None


def _add(file: zipfile.ZipFile, name: str, data: bytes) -> None:
    """A file in a zip, without a time, a system or permissions of its own."""
    info = zipfile.ZipInfo(name, _ZIP_TIME)
    info.create_system = 3
    info.external_attr = 0o644 << 16
    stored = name.endswith(_COMPRESSED)
    info.compress_type = zipfile.ZIP_STORED if stored else zipfile.ZIP_DEFLATED
    file.writestr(info, data)


def _folders(lessons: Sequence[Lesson]) -> Iterator[str]:
    """The folder of each lesson in a zip; lessons of one name are numbered.

    Names that differ in case alone are one name, as some file systems take them for the same.
    """
    used: dict[str, int] = {}
    for each in lessons:
        folded = each.name.casefold()
        count = used[folded] = used.get(folded, 0) + 1
        yield "" if len(lessons) == 1 else f"{each.name}{f' ({count})' if count > 1 else ''}/"


def file_words(text: str) -> str:
    """A text as a part of a file's name: letters, digits, blanks, hyphens, commas."""
    plain = unicodedata.normalize("NFC", text).replace("–", "-").replace("/", " of ")
    return " ".join(re.sub(r"[^\w ,#-]+", "", plain).split())[:60]


def _style(options: PageOptions) -> PageStyle:
    names = CHART_NAMES - {"rhythm", "dpi", "second_page"}
    check_options(options, names, "lesson")
    return page_style(options)


def _written(place: Path, file: LessonFile, force: bool) -> Path:
    write_result(place, file.make(None), force)
    return place


def _chart_pdf(lesson: Lesson, style: PageStyle, fingerprint: str | None) -> bytes:
    return export_chart(lesson.comping, style, "pdf", fingerprint=fingerprint)[0][1]


def _drill_pdf(lesson: Lesson, style: PageStyle, fingerprint: str | None) -> bytes:
    return export_drill(lesson.drill, style, "pdf", fingerprint)[0][0][1]


def _printed(lesson: Lesson, style: PageStyle) -> Iterator[_Part]:
    page = replace(style, second_page=True, rhythm=lesson.rhythm)
    yield f"{lesson.name}, chart", {".pdf": partial(_chart_pdf, lesson, page)}
    yield f"{lesson.name}, drills", {".pdf": partial(_drill_pdf, lesson, style)}


def _played(lesson: Lesson, audio: str) -> Iterator[_Part]:
    kinds = (".mid", audio)
    for name, tempo in (("slowly", lesson.slowly), ("in tempo", lesson.in_tempo)):
        makers = {kind: partial(_tune_bytes, lesson, tempo, kind) for kind in kinds}
        yield f"{lesson.name}, {name}, {tempo}", makers
    for number, exercise in enumerate(lesson.drill.exercises):
        makers = {kind: partial(_exercise_bytes, lesson, number, kind) for kind in kinds}
        yield _exercise_name(exercise, lesson), makers


def _exercise_name(exercise: Exercise, lesson: Lesson) -> str:
    """What a recording of an exercise is: its name, key, rhythm and tempo."""
    first = exercise.stations[0].key
    key = "" if len({station.key for station in exercise.stations}) > 1 else f" in {first.short}"
    rhythm = pattern_of(exercise, lesson.drill.practice).name
    return f"{file_words(exercise.name)}{key}, {file_words(rhythm)}, {lesson.slowly}"


def _tune_bytes(lesson: Lesson, tempo: int, kind: str, fingerprint: str | None) -> bytes:
    chart = lesson.comping
    settings = Settings(tempo=tempo, rhythm=lesson.drill.practice.rhythm)
    performance = perform(chart.timeline, chart.plan, settings)
    return export_performance(performance, kind, OWN, fingerprint)


def _exercise_bytes(lesson: Lesson, number: int, kind: str, fingerprint: str | None) -> bytes:
    """An exercise slowly and once, because a player program can repeat it."""
    practice = replace(lesson.drill.practice, repetitions=1, ladder=(), tempo=lesson.slowly)
    performance = perform_exercise(lesson.drill.exercises[number], practice)
    return export_performance(performance, kind, OWN, fingerprint)
