"""What is practised: drills, lessons and books, made of the choices of the desk.

Pure: takes texts and choices, gives values, pages as SVG and files as bytes. The files are those
that the command line writes with the same choices: `midneck drill`, `lesson` and `book`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import fields, replace
from typing import Final

from ...converter.chart import CompingChart
from ...converter.drill.drill import Drill, Exercise
from ...converter.drill.progressions import CYCLES, PROGRESSIONS
from ...converter.drill.tune import drill_of
from ...converter.make import make_chart
from ...grammar.errors import MidneckError
from ...grammar.frozen import frozen
from ..book.book import ORDERS, BookOptions, book_tune, in_order
from ..books import Book
from ..charts import Chart
from ..drill_export import export_drill
from ..drill_options import DrillChoice, OptionMistakes, drill_of_progression
from ..export import Files, export_document
from ..lessons import Lesson, file_words, lesson_of, zip_of_lessons
from ..names import choices_in_name, stem_of
from ..options import OptionError
from ..page.drawing.items import Document
from ..page.drill.layout import lay_out_drill
from ..page.write.svg import write_svg
from ..sound.schedule import Schedule, schedule
from ..sources import KeyChoice, Source, load
from .choices import Choices

#: The progressions that can be chosen by name, "" for the tune's own.
PROGRESSION_NAMES: Final = {row.name: row.title for row in PROGRESSIONS}
#: The ways round the keys that need nothing else, "" for the usual one.
CYCLE_NAMES: Final = {row.name: row.description for row in CYCLES if row.step}


@frozen
class TuneText:
    """A tune that is charted: the name of its file, and its content."""

    name: str
    data: bytes


@frozen
class DrillWish:
    """What is to be drilled: a `progression` by name or as typed, "" for the tune's own.

    "" and None are the defaults of the command line: `key` is the first key, `keys` those in their
    order, `cycle` the way round them, `strings` the string that rounds start on.
    """

    progression: str = ""
    key: str = ""
    keys: str = ""
    cycle: str = ""
    strings: str = "6"
    repetitions: int = 4
    bars_per_chord: str = "1"
    tempo: int | None = None
    rhythm: str = ""

    def choice(self) -> DrillChoice:
        """The options of the drill."""
        values = {field.name: getattr(self, field.name) for field in fields(self)}
        del values["progression"]
        return DrillChoice(**{name: value for name, value in values.items() if value != ""})


@frozen
class DrillSheet:
    """A drill with its pages as SVG texts, and the stem of the names of its files."""

    drill: Drill
    pages: tuple[str, ...]
    stem: str

    def place_of(self, exercise: int) -> tuple[int, ...]:
        """How many exercises before this one have each of its chords on the page."""
        counts = [len(each.chart.sheet.chords) for each in self.drill.exercises]
        return tuple(
            sum(count > chord for count in counts[:exercise]) for chord in range(counts[exercise])
        )


def drill_sheet(
    wish: DrillWish, choices: Choices, chart: CompingChart | None, name: str = ""
) -> DrillSheet:
    """The sheet of a drill: of a progression, or of the open tune `name` with its chart.

    The tune is in the key of its chart, so that `wish.key` is not for it. Raises MidneckError.
    """
    mistakes, choice = OptionMistakes(), wish.choice()
    player = choices.chosen_player()
    if wish.progression:
        drill, stem = drill_of_progression(wish.progression, choice, player, mistakes)
        stem += choices_in_name(KeyChoice(), player)
    elif chart is None:
        raise OptionError("the text has mistakes: mend them first, or choose a progression")
    else:
        choice = replace(choice, key=None)
        route, practice = choice.of_tune(mistakes, chart.sheet.header)
        drill = drill_of(chart, route, practice)
        stem = f"{stem_of(name)}-drill"
        stem += choices_in_name(choices.key_choice(), player, choices.plan_options())
    pages = svg_pages(lay_out_drill(drill, choices.page_style()))
    return DrillSheet(drill, pages, stem + choice.in_name)


def drill_files(sheet: DrillSheet, choices: Choices, kind: str) -> list[tuple[str, bytes]]:
    """The names and bytes of a drill in a format of `DRILL_FORMATS`. Raises MidneckError."""
    return _named(sheet.stem, export_drill(sheet.drill, choices.page_style(), kind)[0])


def exercise_schedule(drill: Drill, exercise: Exercise) -> Schedule:
    """The schedule of an exercise, played once. Raises SettingsError or RhythmError."""
    practice = drill.practice
    return schedule(exercise.chart, practice.tempo, practice.rhythm)


def svg_pages(document: Document, most: int | None = None) -> tuple[str, ...]:
    """The pages of a document as SVG texts without fonts, at most the first so many."""
    count = len(document.pages) if most is None else min(most, len(document.pages))
    return tuple(write_svg(document, page, fonts=False) for page in range(count))


@frozen
class LessonWish:
    """Lessons to take away: the name of the file, "" for the usual one, and whether with sound."""

    name: str = ""
    sound: bool = True


@frozen
class BookWish:
    """A book to be bound: its title, the maker's name, the order of its tunes, its indexes."""

    title: str = BookOptions().title
    by: str = ""
    order: str = "title"
    indexes: bool = True


def book_document(wish: BookWish, choices: Choices, tunes: Sequence[TuneText]) -> Document:
    """The pages of a book of tunes. Raises MidneckError that names the tune with a mistake."""
    if not tunes:
        raise OptionError("there is no tune to bind")
    order = next(known for known in ORDERS if known == wish.order)
    # As on the command line, a book is for an instrument, and its tunes keep their keys.
    for_instrument = replace(choices, key="")
    charts = [chart_of(tune, for_instrument) for tune in tunes]
    options = BookOptions(wish.title.strip() or BookOptions().title, wish.by.strip(), "", order)
    options = replace(options, indexes=wish.indexes)
    ordered = in_order(charts, lambda chart: book_tune(chart.comping), order)
    book = Book(tuple(ordered), options)
    return book.document(replace(choices.page_style(), binding="book"))


def book_files(wish: BookWish, document: Document) -> list[tuple[str, bytes]]:
    """The name and the bytes of a book."""
    return _named(book_stem(wish), export_document(document, "pdf"))


def book_stem(wish: BookWish) -> str:
    """The name of a book's file, without its ending."""
    return file_words(wish.title).replace(" ", "_") or "book"


def lessons_of(choices: Choices, tunes: Iterable[TuneText]) -> list[Lesson]:
    """The lessons of tunes. Raises MidneckError that names the tune with a mistake."""
    words = choices.in_name()
    lessons = []
    for tune in tunes:
        made = chart_of(tune, choices)
        name = (file_words(made.sheet.header.title) or stem_of(tune.name)) + words
        lessons.append(lesson_of(made, DrillChoice(), OptionMistakes(), name=name))
    return lessons


def lesson_zip(lessons: Sequence[Lesson], choices: Choices, sound: bool) -> bytes:
    """The lessons as one zip, with or without playback."""
    return zip_of_lessons(lessons, choices.page_style(), None if sound else "none")


def chart_of(tune: TuneText, choices: Choices) -> Chart:
    """The chart of a tune. Raises MidneckError that names it."""
    try:
        sheet = load(Source(tune.data, tune.name), choices.key_choice())
        comping = make_chart(sheet, choices.chosen_player(), choices.plan_options())
    except MidneckError as error:
        said = str(error).strip().splitlines()[0] if str(error).strip() else "it has mistakes"
        raise OptionError(said if tune.name in said else f"{tune.name}: {said}") from error
    return Chart(comping)


def _named(stem: str, files: Files) -> list[tuple[str, bytes]]:
    return [(stem + ending, data) for ending, data in files]
