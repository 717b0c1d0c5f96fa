"""Practise: drills to see, hear and take away, lessons and books of the tunes ticked on the shelf.

Each opens in a dialog: what can be chosen on the left, what is printed on the right. The dialogs
are filled when they are opened. Drills are heard by `static/practice.js`, which asks for the
schedule of an exercise at `/practice/TAB/NUMBER`.
"""

from __future__ import annotations

import json
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import asdict, replace
from functools import partial
from typing import Any, Final

from nicegui import app, ui
from starlette.responses import JSONResponse, PlainTextResponse, Response

from ...converter.practice.rhythm import PATTERNS
from ...converter.prose.facts import HAND_CAUTION, HEARING_CAUTION, counted
from ...grammar.errors import MidneckError
from ..book.book import ORDERS
from ..names import joined_words, stem_of
from ..page.drawing.items import Document
from .dialog import OPEN, Dialog
from .practice import (
    CYCLE_NAMES,
    PROGRESSION_NAMES,
    BookWish,
    DrillSheet,
    DrillWish,
    LessonWish,
    TuneText,
    book_document,
    book_files,
    book_stem,
    drill_files,
    drill_sheet,
    exercise_schedule,
    lesson_zip,
    lessons_of,
    svg_pages,
)
from .session import Session
from .shelf import Entry
from .take_away import PrintLink

#: The choice of the tune's own passages, and of a progression that is typed.
OWN, TYPED = "own", "typed"
#: The most pages of a book that are shown; all of them are taken away.
SHOWN_PAGES: Final = 8
#: The most tunes that are bound without being ticked.
UNTICKED: Final = 60
#: Typing in a field has ended when it has paused so long, in milliseconds.
PAUSE_MS: Final = 400
DRILL_FORMATS: Final = (("pdf", "PDF"), ("wav", "Sound"), ("mid", "MIDI"))
#: The drills that are open, by the name of their tab.
_OPEN: Final[dict[str, DrillSheet]] = {}


def practice_panel(
    session: Session, listed: Callable[[], Sequence[Entry]]
) -> Callable[[], Awaitable[None]]:
    """The list of what can be practised; `listed` gives the tunes of the shelf.

    Gives what opens the dialog again that was open in the tab before its page was loaded anew.
    """
    tunes = _Tunes(session, listed)
    dialogs: dict[str, Callable[[], Dialog]] = {
        _DrillDialog.title: lambda: _DrillDialog(session),
        _LessonDialog.title: lambda: _LessonDialog(session, tunes),
        _BookDialog.title: lambda: _BookDialog(session, tunes),
    }

    def opened(title: str) -> Awaitable[None]:
        return dialogs[title]().open(rows[title])

    with ui.element("section").classes("practise").props('aria-labelledby="practise"'):
        with ui.element("h2").props('id="practise"'):
            ui.label("Practise")
        rows = {title: _row(title, partial(opened, title)) for title in dialogs}
    lesson, book = rows[_LessonDialog.title], rows[_BookDialog.title]

    def name_rows() -> None:
        count = len(session.ticked)
        lesson.text = f"Lessons of {counted(count, 'tune')}" if count > 1 else "Lesson folder"
        book.text = f"Book of {counted(count, 'tune')}" if count else "Book of all tunes"

    async def open_again() -> None:
        title = session.recalled(OPEN, "")
        if title in dialogs:
            await opened(title)

    session.listen("ticked", name_rows)
    name_rows()
    return open_again


def add_practice() -> None:
    """Register the addresses of the schedules of drills."""
    app.add_api_route("/practice/{tab}/{number}", _exercise_answer)


def _exercise_answer(tab: str, number: int) -> Response:
    """The schedule of an exercise of an open drill, as JSON."""
    sheet = _OPEN.get(tab)
    if sheet is None or not 0 <= number < len(sheet.drill.exercises):
        return PlainTextResponse("There is no such exercise.\n", 404)
    try:
        made = exercise_schedule(sheet.drill, sheet.drill.exercises[number])
    except MidneckError as error:
        return PlainTextResponse(f"{error}\n", 422)
    return JSONResponse({**asdict(made), "sounds": made.sounds})


def _row(text: str, then: Callable[[], Any]) -> ui.button:
    row = ui.button(text, color=None, on_click=then).props("flat no-caps align=left")
    return row.classes("tune")


class _Tunes:
    """The tunes for a lesson or a book: those that are ticked."""

    def __init__(self, session: Session, listed: Callable[[], Sequence[Entry]]) -> None:
        self.session = session
        self.listed = listed

    def texts(self, otherwise: Sequence[str]) -> list[TuneText]:
        """The ticked tunes in the order of the shelf, or the `otherwise` named ones.

        The open tune is taken as it stands in the editor. Raises FolderError.
        """
        wanted = set(self.session.ticked) or set(otherwise)
        names = [entry.name for entry in self.listed() if entry.name in wanted]
        return [self._text(name) for name in names]

    def every(self) -> list[str]:
        """The names of all tunes that have no mistakes."""
        return [entry.name for entry in self.listed() if not entry.mistakes]

    def _text(self, name: str) -> TuneText:
        desk = self.session.desk
        if name == desk.name:
            return TuneText(name, desk.text.encode("utf-8", "surrogatepass"))
        return TuneText(name, self.session.folder.data(name))


class _DrillDialog(Dialog):
    """A progression round the keys, or the tune's own passages."""

    title = "Drills"

    def __init__(self, session: Session) -> None:
        self.wish = DrillWish()
        self.sheet: DrillSheet | None = None
        super().__init__(session)

    def choices(self) -> None:
        """The progression and its way round the keys, how it is played, what is taken away."""
        own = {OWN: "This tune’s own ii–V–Is and changes"} if self.session.desk.name else {}
        options = {**own, **PROGRESSION_NAMES, TYPED: "Typed: numerals or chords"}
        first = "" if own else next(iter(PROGRESSION_NAMES))
        self.wish = self.session.recalled(self.title, DrillWish(first))
        self.wish = replace(self.wish, progression=self.wish.progression or first)
        named = self.wish.progression
        usual = named if named in PROGRESSION_NAMES else TYPED if named else OWN
        select = ui.select(options, value=usual, label="Progression")
        select.props("outlined dense options-dense").classes("wide")
        self.typed = ui.input("Progression, as in ii7 V7 | I6", on_change=self.typed_now)
        self.typed.props(f"outlined dense debounce={PAUSE_MS}").classes("wide")
        self.typed.set_value(named if usual == TYPED else "")
        self.typed.set_visibility(usual == TYPED)
        select.on_value_change(lambda event: self.chosen(event.value))
        self.field("cycle", "Round the keys", {"": "the usual way", **CYCLE_NAMES})
        self.text("keys", "Only in C F …")
        self.first_key = self.text("key", "First key")
        self.first_key.set_visibility(usual != OWN)
        self.field("strings", "First root on", {"6": "string 6", "5": "string 5", "any": "either"})
        bars = {"1/2": "half a bar", "1": "a bar", "2": "two bars"}
        self.field("bars_per_chord", "Each chord lasts", bars)
        rhythms = {"": "the usual", **{row.name: row.name.replace("-", " ") for row in PATTERNS}}
        self.field("rhythm", "Rhythm", rhythms)
        tempo = ui.number("Tempo", value=self.wish.tempo, min=20, max=400, precision=0)
        tempo.props(f"outlined dense debounce={PAUSE_MS}")
        tempo.on_value_change(lambda event: self.change(tempo=self.whole(event.value)))
        self.exercises = ui.element("ol").classes("exercises wide")
        with ui.element("div").classes("wide takes"):
            self.printed = PrintLink("drill", lambda: self.pdf()[1])
            self.printed.classes("output")
            for kind, label in DRILL_FORMATS:
                button = ui.button(label, on_click=lambda kind=kind: self.take(kind))
                button.props("flat no-caps")
        ui.label(HEARING_CAUTION).classes("quiet wide")

    def field(self, name: str, label: str, options: dict[str, str]) -> None:
        """A choice of some words for a part of the wish."""
        select = ui.select(options, value=self.offered(name, options), label=label)
        select.props("outlined dense options-dense")
        select.on_value_change(lambda event: self.change(**{name: event.value}))

    def text(self, name: str, label: str) -> ui.input:
        """A field for typing a part of the wish."""
        field = ui.input(label, value=getattr(self.wish, name))
        field.props(f"outlined dense debounce={PAUSE_MS}")
        field.on_value_change(lambda event: self.change(**{name: (event.value or "").strip()}))
        return field

    @staticmethod
    def whole(value: float | None) -> int | None:
        """A number of a field, None for an empty one."""
        return None if value is None else int(value)

    async def chosen(self, name: str) -> None:
        """Take a progression."""
        self.typed.set_visibility(name == TYPED)
        self.first_key.set_visibility(name != OWN)
        if name == TYPED:
            await self.typed_now()
        else:
            await self.change(progression="" if name == OWN else name)

    async def typed_now(self, _: object = None) -> None:
        """Take the progression that is typed."""
        if (self.typed.value or "").strip():
            await self.change(progression=self.typed.value.strip())

    async def make(self) -> None:
        """Plan the drill and show its pages."""
        desk, wish = self.session.desk, self.wish
        chart = desk.shown.chart
        sheet = await self.worked(lambda: drill_sheet(wish, desk.choices, chart, desk.name))
        if sheet is None:
            return
        self.sheet = _OPEN[self.client.id] = sheet
        self.client.run_javascript("import('/static/practice.js').then((it) => it.stop())")
        self.printed.name(sheet.stem)
        self.show(sheet.pages)
        self.exercises.clear()
        with self.exercises:
            for number, exercise in enumerate(sheet.drill.exercises):
                with ui.element("li"):
                    self.hear_button(number, exercise.name)

    def hear_button(self, number: int, name: str) -> None:
        """A button that plays an exercise and stops it."""
        assert self.sheet is not None
        button = ui.button(name, icon="play_arrow", color=None).classes("hear")
        button.props(f'flat no-caps align=left aria-pressed="false" data-exercise={number}')
        place = json.dumps(self.sheet.place_of(number))
        address = json.dumps(f"/practice/{self.client.id}/{number}")
        script = (
            f"import('/static/practice.js').then((it) => it.toggle(pressed, {address}, {place}))"
        )
        button.on(
            "click", js_handler=f"(event) => {{ const pressed = event.currentTarget; {script}; }}"
        )

    def pdf(self) -> tuple[str, bytes]:
        """The name and the bytes of the PDF. Raises MidneckError."""
        if self.sheet is None:
            raise MidneckError("there are no pages yet")
        return drill_files(self.sheet, self.session.desk.choices, "pdf")[0]

    async def take(self, kind: str) -> None:
        """Download the drill in a format."""
        sheet, choices = self.sheet, self.session.desk.choices
        if sheet is None:
            return
        await self.download(lambda: drill_files(sheet, choices, kind))

    def closed(self) -> None:
        """Stop what plays."""
        _OPEN.pop(self.client.id, None)
        self.printed.forget()
        self.client.run_javascript("import('/static/practice.js').then((it) => it.stop())")
        super().closed()


class _LessonDialog(Dialog):
    """The chart, drills and playback of tunes for one student, as one zip."""

    title = "Lesson folder"

    def __init__(self, session: Session, tunes: _Tunes) -> None:
        self.tunes = tunes
        self.wish = session.recalled(self.title, LessonWish())
        super().__init__(session)

    def choices(self) -> None:
        """Whether there is sound in it, the file's name, and what is taken away."""
        name = ui.input("Name of the file", value=self.wish.name or self.usual_name())
        name.props(f"outlined dense debounce={PAUSE_MS}").classes("wide")
        name.on_value_change(lambda event: self.named(event.value or ""))
        sound = ui.checkbox("with sound and MIDI to play along", value=self.wish.sound)
        sound.props("dense").classes("wide")
        sound.on_value_change(lambda event: self.change(sound=bool(event.value)))
        with ui.element("div").classes("wide takes"):
            ui.button("Take away the zip", on_click=self.take).props("no-caps unelevated")
        for text in (_what_for(self.session), HEARING_CAUTION, HAND_CAUTION):
            ui.label(text).classes("quiet wide")

    def usual_name(self) -> str:
        """The name of the zip while none is given."""
        ticked = self.session.ticked
        only = ticked[0] if len(ticked) == 1 else self.session.desk.name
        return "lessons" if len(ticked) > 1 else f"{stem_of(only)}-lesson"

    def named(self, name: str) -> None:
        """Take the name of the zip, which changes nothing of what is in it."""
        self.keep(replace(self.wish, name="" if name == self.usual_name() else name))

    async def make(self) -> None:
        """Show the names of the files, and the page of the first tune's drills."""
        desk, sound = self.session.desk, self.wish.sound
        names = await self.worked(lambda: _file_names(self.found(), desk.choices, sound))
        if names is None:
            return
        self.result.clear()
        with self.result, ui.element("div").classes("files"):
            for title, files in names:
                with ui.element("h3"):
                    ui.label(title)
                with ui.element("ul"):
                    for name in files:
                        with ui.element("li"):
                            ui.label(name)

    def found(self) -> list[TuneText]:
        """The tunes of the lesson: those that are ticked, or the open one."""
        return self.tunes.texts([self.session.desk.name])

    async def take(self) -> None:
        """Download the zip."""
        choices, sound = self.session.desk.choices, self.wish.sound
        name = joined_words(self.wish.name)[1:] or self.usual_name()

        def work() -> list[tuple[str, bytes]]:
            lessons = lessons_of(choices, self.found())
            return [(f"{name}.zip", lesson_zip(lessons, choices, sound))]

        await self.download(work)

    def closing(self) -> None:
        """Forget the name, which was that of these tunes."""
        self.keep(replace(self.wish, name=""))
        super().closing()


class _BookDialog(Dialog):
    """Tunes bound as one PDF."""

    title = "Book"

    def __init__(self, session: Session, tunes: _Tunes) -> None:
        self.tunes = tunes
        self.wish = session.recalled(self.title, BookWish())
        self.document: Document | None = None
        super().__init__(session)

    def choices(self) -> None:
        """The title, the order, the indexes, and what is taken away."""
        for name, label in (("title", "Title"), ("by", "Made by")):
            field = ui.input(label, value=getattr(self.wish, name)).classes("wide")
            field.props(f"outlined dense debounce={PAUSE_MS}")
            field.on_value_change(lambda event, name=name: self.change(**{name: event.value or ""}))
        orders = {order: "as listed" if order == "given" else f"by {order}" for order in ORDERS}
        order = ui.select(orders, value=self.offered("order", orders), label="Order")
        order.props("outlined dense options-dense").classes("wide")
        order.on_value_change(lambda event: self.change(order=event.value))
        indexes = ui.checkbox("indexes of keys, areas, grips", value=self.wish.indexes)
        indexes.props("dense").classes("wide")
        indexes.on_value_change(lambda event: self.change(indexes=bool(event.value)))
        with ui.element("div").classes("wide takes"):
            ui.button("Take away the PDF", on_click=self.take).props("no-caps unelevated")
            self.printed = PrintLink("book", lambda: self.pdf()[1])
            self.printed.classes("output")
        ui.label(_what_for(self.session)).classes("quiet wide")

    async def make(self) -> None:
        """Bind the book and show its first pages."""
        choices, wish = self.session.desk.choices, self.wish

        every = self.tunes.every()
        if not self.session.ticked and len(every) > UNTICKED:
            self.say(f"There are {len(every)} tunes: tick those of the book in the list.", "wrong")
            return

        def work() -> tuple[Document, tuple[str, ...]]:
            document = book_document(wish, choices, self.tunes.texts(every))
            return document, svg_pages(document, SHOWN_PAGES)

        made = await self.worked(work)
        if made is None:
            return
        self.document, pages = made
        self.printed.name(book_stem(wish))
        left = len(self.document.pages) - len(pages)
        self.show(pages, f"… and {counted(left, 'page')} more in the PDF" if left else "")

    def pdf(self) -> tuple[str, bytes]:
        """The name and the bytes of the PDF. Raises MidneckError."""
        if self.document is None:
            raise MidneckError("there are no pages yet")
        return book_files(self.wish, self.document)[0]

    async def take(self) -> None:
        """Download the book."""
        if self.document is not None:
            await self.download(lambda: [self.pdf()])

    def closed(self) -> None:
        """Forget the pages."""
        self.printed.forget()
        super().closed()


def _what_for(session: Session) -> str:
    """Where the tunes of a lesson or a book are chosen."""
    if session.ticked:
        return "Of the tunes that are ticked in the list, with the choices at the top."
    return "Tick tunes in the list to choose others. The choices at the top are those of the page."


def _file_names(tunes: list[TuneText], choices: Any, sound: bool) -> list[tuple[str, list[str]]]:
    """The title of each lesson with the names of its files."""
    audio = None if sound else "none"
    return [
        (lesson.name, [file.name for file in lesson.files(choices.page_style(), audio)])
        for lesson in lessons_of(choices, tunes)
    ]
