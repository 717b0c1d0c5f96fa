"""For whom and on what paper: the choices at the top of the desk.

In narrow windows the choices fold behind a button. A choice is kept in the address of the page, so
that a bookmark brings it back.
"""

from __future__ import annotations

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
from .players import filed_names, with_player
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


def choices_panel(session: Session) -> None:
    """The bar at the top: the choices, and what is printed and taken away."""

    async def choose(name: str, value: Any) -> None:
        now = session.desk.choices
        if value == getattr(now, name):
            return
        try:
            choices = _with(session, name, value)
        except FolderError as error:
            ui.notify(f"{error} The player stays as it was.", type="negative")
            fields[name].value = getattr(now, name)
            return
        _told(lambda: session.choose(choices))
        fields["hand"].value = choices.hand
        _keep_in_address(session)
        await session.work()

    async def choose_key(event: ValueChangeEventArguments[str | None]) -> None:
        text = (event.value or "").strip()
        try:
            key = "" if not text else parse_key(text).short
        except ValueError:
            field.props('error error-message="as in Eb or F#m"')
            return
        field.props(remove="error error-message")
        await choose("key", key)

    with ui.element("header").classes("top"):
        fold_button("Choices")
        with ui.element("div").classes("folded"):
            fields: dict[str, ValueElement[Any]] = {}
            for name, label, words in SELECTS:
                filed = (
                    filed_names(session.folder, session.desk.choices) if name == "player" else {}
                )
                fields[name] = select = ui.select(
                    {**words, **filed},
                    value=getattr(session.desk.choices, name),
                    label=label,
                    on_change=lambda event, name=name: choose(name, event.value),
                )
                select.props("dense options-dense").classes("choice").mark(f"choice-{name}")
            field = ui.input("key", value=session.desk.choices.key, on_change=choose_key)
            field.props('dense debounce=400 stack-label placeholder="as written"')
            field.classes("choice choice-key")
            fields["key"] = field
            for name, label in SWITCHES:
                fields[name] = switch = ui.checkbox(
                    label,
                    value=getattr(session.desk.choices, name),
                    on_change=lambda event, name=name: choose(name, bool(event.value)),
                )
                switch.props("dense")
        take_away_panel(session)

    def show() -> None:
        for name, shown in fields.items():
            shown.value = getattr(session.desk.choices, name)
        keep_name()

    def keep_name() -> None:
        _keep_in_address(session)
        _told(session.keep_tune)

    session.listen("tune", show)
    session.listen("named", keep_name)


def _with(session: Session, name: str, value: Any) -> Choices:
    """The choices with another value; a player file is read. Raises FolderError."""
    choices = session.desk.choices
    if name == "player":
        return with_player(session.folder, choices, value)
    return replace(choices, **{name: value})


def _told(keep: Callable[[], None]) -> None:
    """Keep something for another day; that it cannot be kept is told."""
    try:
        keep()
    except OutputError as error:
        ui.notify(f"What is chosen cannot be kept for another day: {error}", type="negative")


def _keep_in_address(session: Session) -> None:
    """Show the tune and the choices in the address, without a new page."""
    desk = session.desk
    query = "&".join(part for part in (_tune_query(desk.name), desk.choices.to_query()) if part)
    ui.run_javascript(f"history.replaceState(history.state, '', {json.dumps(f'/?{query}')})")


def _tune_query(name: str) -> str:
    return urlencode({"tune": name}) if name else ""
