"""For whom and on what paper: the choices at the top of the desk.

In narrow windows the choices fold behind a button. A choice is kept in the address of the page, so
that a bookmark brings it back.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, Final
from urllib.parse import urlencode

from nicegui import ui
from nicegui.elements.mixins.value_element import ValueElement
from nicegui.events import ValueChangeEventArguments

from ...grammar.key import parse_key
from ..output import OutputError
from ..page.drawing.style import PAPERS
from .choices import GRIDS, HANDS, PLAYERS, STYLES, SYMBOLS, Choices
from .fold import fold_button
from .folder import FolderError
from .players import filed_names, read_anew, with_player
from .session import Session
from .take_away import take_away_panel

#: The choices of words: the field, its label, and the words for its values.
SELECTS: Final[tuple[tuple[str, str, Mapping[str, str]], ...]] = (
    ("player", "for", {name: name.replace("-", " ") for name in PLAYERS}),
    ("hand", "hand", {name: name for name in HANDS}),
    ("style", "voicings", {name: name.replace("-", " ") for name in STYLES}),
    ("instrument", "instrument", {"": "concert", "Bb": "B♭", "Eb": "E♭", "F": "F"}),
    ("paper", "paper", {name: name.upper() if name != "letter" else "Letter" for name in PAPERS}),
    ("grids", "grids", dict(zip(GRIDS, ("all", "new", "none"), strict=True))),
    ("symbols", "symbols", dict(zip(SYMBOLS, ("letters", "signs"), strict=True))),
)  # fmt: skip
SWITCHES: Final = (
    ("large", "large print"),
    ("landscape", "landscape"),
    ("second_page", "second page"),
)
#: How often it is looked for player files that came, went or changed, in seconds.
LOOK_S: Final = 3.0


def choices_panel(session: Session) -> None:
    """The bar at the top: the choices, and what is printed and taken away."""
    _ChoicesPanel(session)


class _ChoicesPanel:
    """The fields of the choices and what they do."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.client = ui.context.client
        self.fields: dict[str, ValueElement[Any]] = {}
        #: What was told last of the player's file.
        self.told = ""
        with ui.element("header").classes("top"):
            fold_button("Choices")
            with ui.element("div").classes("folded"):
                for name, label, words in SELECTS:
                    self.select(name, label, words)
                key = session.desk.choices.key
                self.key = ui.input("key", value=key, on_change=self.choose_key)
                self.key.props('dense debounce=400 stack-label placeholder="as written"')
                self.key.classes("choice choice-key")
                self.fields["key"] = self.key
                for name, label in SWITCHES:
                    self.switch(name, label)
            take_away_panel(session)
        session.listen("tune", self.show)
        session.listen("named", self.keep_name)
        ui.timer(LOOK_S, self.look)

    def select(self, name: str, label: str, words: Mapping[str, str]) -> None:
        """A choice of words."""
        choices = self.session.desk.choices
        filed = filed_names(self.session.folder, choices) if name == "player" else {}
        self.fields[name] = select = ui.select(
            {**words, **filed},
            value=getattr(choices, name),
            label=label,
            on_change=lambda event: self.choose(name, event.value),
        )
        select.props("dense options-dense").classes("choice").mark(f"choice-{name}")

    def switch(self, name: str, label: str) -> None:
        """A choice of yes or no."""
        self.fields[name] = switch = ui.checkbox(
            label,
            value=getattr(self.session.desk.choices, name),
            on_change=lambda event: self.choose(name, bool(event.value)),
        )
        switch.props("dense")

    async def choose(self, name: str, value: Any) -> None:
        """Take a choice, and work the tune out with it."""
        now = self.session.desk.choices
        if value == getattr(now, name):
            return
        try:
            choices = _with(self.session, name, value)
        except FolderError as error:
            self.tell(f"{error} The player stays as it was.")
            self.fields[name].value = getattr(now, name)
            return
        await self.take(choices)

    async def choose_key(self, event: ValueChangeEventArguments[str | None]) -> None:
        """Take the key that is typed, when it is one."""
        text = (event.value or "").strip()
        try:
            key = "" if not text else parse_key(text).short
        except ValueError:
            self.key.props('error error-message="as in Eb or F#m"')
            return
        self.key.props(remove="error error-message")
        await self.choose("key", key)

    async def take(self, choices: Choices) -> None:
        """Set the choices, keep them and work the tune out with them."""
        self.kept(lambda: self.session.choose(choices))
        self.fields["hand"].value = choices.hand
        _keep_in_address(self.session)
        await self.session.work()

    async def look(self) -> None:
        """Show the player files that the folder has now, and follow that of the player."""
        session, select = self.session, self.fields["player"]
        choices = session.desk.choices
        fresh, mistake = await asyncio.to_thread(read_anew, session.folder, choices)
        if session.desk.choices is choices and fresh is not choices:
            await self.take(fresh)
        if mistake not in ("", self.told):
            self.tell(f"{mistake} The player stays as it was.")
        self.told = mistake
        names = await asyncio.to_thread(filed_names, session.folder, session.desk.choices)
        options = {**SELECTS[0][2], **names}
        assert isinstance(select, ui.select)
        if options != select.options and session.desk.choices.player in options:
            select.set_options(options)

    def show(self) -> None:
        """The choices of the tune that was opened."""
        for name, shown in self.fields.items():
            shown.value = getattr(self.session.desk.choices, name)
        self.keep_name()

    def keep_name(self) -> None:
        """Keep which tune is open."""
        _keep_in_address(self.session)
        self.kept(self.session.keep_tune)

    def kept(self, keep: Callable[[], None]) -> None:
        """Keep something for another day; that it cannot be kept is told."""
        try:
            keep()
        except OutputError as error:
            self.tell(f"What is chosen cannot be kept for another day: {error}")

    def tell(self, message: str) -> None:
        """Tell what could not be done."""
        with self.client:
            ui.notify(message, type="negative")


def _with(session: Session, name: str, value: Any) -> Choices:
    """The choices with another value; a player file is read. Raises FolderError."""
    choices = session.desk.choices
    if name == "player":
        return with_player(session.folder, choices, value)
    return replace(choices, **{name: value})


def _keep_in_address(session: Session) -> None:
    """Show the tune and the choices in the address, without a new page."""
    desk = session.desk
    query = "&".join(part for part in (_tune_query(desk.name), desk.choices.to_query()) if part)
    ui.run_javascript(f"history.replaceState(history.state, '', {json.dumps(f'/?{query}')})")


def _tune_query(name: str) -> str:
    return urlencode({"tune": name}) if name else ""
