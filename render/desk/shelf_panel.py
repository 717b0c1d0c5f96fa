"""The shelf: the tunes of the folder, found by title, key or passage; new, rename, copy, import.

What is dropped on it is read in memory: at most `MAX_TEXT_BYTES` a file, which the server refuses
before it is read (`server.LocalOnly`), and the browser before it is sent.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable

from nicegui import ui
from nicegui.events import UiEventArguments, UploadEventArguments, ValueChangeEventArguments

from ...grammar.errors import MidneckError
from ...grammar.limits import MAX_TEXT_BYTES
from ..page.drawing.signs import with_signs
from .dialog import OPEN
from .fold import close_fold, fold_button
from .folder import ENDING, FolderError
from .practice_panel import practice_panel
from .session import Session
from .shelf import NEW_STEM, NEW_TUNE, Entry, entries, imported, search
from .text_places import place_of

#: How often the shelf looks for tunes that came or went, in seconds.
LOOK_S = 3.0
#: The place to drop files on: the whole of it is the input of files, which takes the keys as well.
_IMPORT = """
<label class="import">
  Import: drop or choose text, MusicXML or ABC
  <q-uploader-add-trigger />
</label>
"""
_REACH_IMPORT = """
document.querySelector('.shelf .q-uploader__input')?.setAttribute('tabindex', '0');
"""


def shelf_panel(session: Session) -> Callable[[], Awaitable[None]]:
    """The list of the folder's tunes; a click opens one.

    Gives what opens the dialog again that was open when the page of the tab was loaded anew.
    """
    return _ShelfPanel(session).open_dialog_again


class _ShelfPanel:
    """The elements of the panel and what they do."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.client = ui.context.client
        self.entries: tuple[Entry, ...] = ()
        self.found: tuple[Entry, ...] = ()
        self.shown: tuple[tuple[Entry, ...], str] | None = None
        with ui.element("nav").classes("shelf").props('aria-label="Tunes"'):
            with ui.element("h1"):
                ui.label("Midneck")
            fold_button("Tunes", is_open=True)
            with ui.element("div").classes("folded"):
                self.query = ui.input("Find a tune", on_change=self.searched)
                self.query.props('outlined dense clearable debounce="150" type="search"')
                self.query.tooltip("By title, key or name, or a passage: ii-V in Gb")
                self.rows = ui.element("ul").classes("tunes")
                self.none = ui.label().classes("quiet").props('role="status"')
                self.practise = practice_panel(session, lambda: self.entries)
                with ui.element("div").classes("shelf-tools"):
                    ui.button("New", on_click=self.new).props("flat no-caps")
                    rename = ui.button("Rename", on_click=self.ask_name)
                    rename.props("flat no-caps").classes("rename")
                    ui.button("Copy", on_click=self.copy).props("flat no-caps")
                self.ask = ui.element("div").classes("ask")
                self.upload = ui.upload(
                    multiple=True,
                    auto_upload=True,
                    max_file_size=MAX_TEXT_BYTES,
                    on_upload=self.dropped,
                    on_rejected=self.rejected,
                ).props("flat bordered")
                self.upload.add_slot("header", _IMPORT)
        session.listen("tune", lambda: close_fold(".shelf"))
        session.listen("tune", self.show)
        session.listen("saved", self.look_soon)
        ui.timer(LOOK_S, self.look)

    def look_soon(self) -> None:
        """Look at the folder again as soon as the shelf's turn comes."""
        with self.client.layout:
            ui.timer(0, self.look, once=True)

    async def open_dialog_again(self) -> None:
        """Open the dialog that was open in the tab, of the tunes that are there now."""
        if self.session.recalled(OPEN, ""):
            await self.look()
            await self.practise()

    async def look(self) -> None:
        """Read the folder again, and show what has changed."""
        try:
            self.entries = await asyncio.to_thread(entries, self.session.folder)
        except FolderError as error:
            self.none.text = str(error)
            return
        there = {entry.name for entry in self.entries}
        for name in self.session.ticked:
            if name not in there:
                self.session.tick(name, False)
        self.client.run_javascript(_REACH_IMPORT)
        await self.searched()

    async def searched(self, _: ValueChangeEventArguments[str] | None = None) -> None:
        """Show what the query finds."""
        query = self.query.value or ""
        folder = self.session.folder
        try:
            self.found = await asyncio.to_thread(search, folder, self.entries, query)
        except OSError as error:
            self.none.text = str(error)
            return
        self.show()

    def show(self) -> None:
        """The rows of the tunes that are found, if they are others than those that stand there."""
        name = self.session.desk.name
        if self.shown == (self.found, name):
            return
        self.shown = (self.found, name)
        self.rows.clear()
        with self.rows:
            for entry in self.found:
                with ui.element("li"):
                    self.tick(entry)
                    self.row(entry, entry.name == name)
        self.none.text = "" if self.found or not self.entries else "No tune is found."

    def tick(self, entry: Entry) -> None:
        """The tick of a tune, for a book or lessons."""
        tick = ui.checkbox(value=entry.name in self.session.ticked).props("dense").classes("tick")
        tick.props["aria-label"] = f"Tick {entry.title}"
        tick.on_value_change(lambda event: self.session.tick(entry.name, bool(event.value)))

    def row(self, entry: Entry, is_open: bool) -> None:
        """One tune: its title, and its key and bars or that it is broken."""
        row = ui.button(color=None, on_click=lambda: self.open(entry)).props(
            "flat no-caps align=left"
        )
        row.classes("tune open" if is_open else "tune")
        if is_open:
            row.props('aria-current="true"')
        with row:
            ui.label(entry.title).classes("title")
            if entry.mistakes:
                ui.label(f"{entry.mistakes} to mend").classes("to-mend")
            elif entry.found:
                more = f" +{len(entry.found) - 1}" if len(entry.found) > 1 else ""
                ui.label(f"bars {entry.found[0][2]}{more}").classes("facts")
            elif entry.score:
                ui.label("import").classes("facts")
            else:
                facts = (with_signs(entry.key), str(entry.bars))
                ui.label(" · ".join(filter(None, facts))).classes("facts")

    async def open(self, entry: Entry) -> None:
        """Open a tune; a score is imported as a sheet of its own."""
        if entry.score:
            await self.take(entry.name, self.session.folder.data(entry.name))
            return
        await self.guarded(lambda: self.session.open(entry.name))
        self.go_to_passage(entry)

    def go_to_passage(self, entry: Entry) -> None:
        """Go to the passage that an entry was found by, if it is still there."""
        desk = self.session.desk
        sheet = desk.shown.sheet
        if not entry.found or sheet is None or desk.name != entry.name:
            return
        numbers = [bar.number for bar in sheet.bars]
        if entry.found[0][0] in numbers:
            bar = numbers.index(entry.found[0][0])
            self.session.go_to(place_of(sheet, desk.text, bar))

    async def new(self) -> None:
        """Begin a new tune."""
        await self.add(NEW_STEM, NEW_TUNE, self.session.begin)

    async def copy(self) -> None:
        """Copy the open tune, as it stands in the editor."""
        desk = self.session.desk
        if desk.name:
            await self.add(desk.name, desk.text)

    async def add(self, wanted: str, text: str, then: Callable[[str], None] | None = None) -> None:
        """Save a text under a free name, and open it or do something else with it."""

        def save() -> None:
            folder = self.session.folder
            name = folder.free_name(wanted)
            folder.save(name, text, None)
            (then or self.session.open)(name)

        await self.guarded(save)

    def ask_name(self) -> None:
        """Ask for a new name of the open tune's file."""
        desk = self.session.desk
        if not desk.name:
            return
        self.ask.clear()
        with self.ask:
            name = ui.input("New name", value=desk.name.removesuffix(ENDING))
            name.props("outlined dense autofocus")

            async def rename() -> None:
                self.ask.clear()
                wanted = (name.value or "").strip().removesuffix(ENDING) + ENDING
                await self.guarded(lambda: self.session.rename(wanted))

            # What is typed comes in place of the name.
            name.on("focus", js_handler="(event) => event.target.select()")
            name.on("keydown.enter", rename)
            name.on("keydown.escape", self.ask.clear)
            ui.button("Give this name", on_click=rename).props("flat no-caps")
            ui.button("Leave it", on_click=self.ask.clear).props("flat no-caps")

    async def dropped(self, event: UploadEventArguments) -> None:
        """Import a file that was dropped."""
        await self.take(event.file.name, await event.file.read())
        self.upload.reset()

    async def take(self, name: str, data: bytes) -> None:
        """Import a file: its text, or a sheet made of a score; what it is not is told."""
        try:
            text = await asyncio.to_thread(imported, name, data)
        except MidneckError as error:
            self.tell(f"{name} is not imported. {error}")
            return
        await self.add(name, text)

    def rejected(self, _: UiEventArguments) -> None:
        """Tell that a file is too large."""
        self.tell(f"Not imported: a file may have at most {MAX_TEXT_BYTES // 1_000_000} MB.")

    async def guarded(self, change: Callable[[], object]) -> None:
        """Make a change of the folder or of the open tune; what stands against it is told."""
        try:
            change()
        except MidneckError as error:
            self.tell(str(error))
            return
        await asyncio.gather(self.session.work(), self.look())

    def tell(self, message: str) -> None:
        """Tell what could not be done."""
        with self.client:
            ui.notify(message, type="negative", timeout=10_000, multi_line=True)
