"""For whom and on what paper: the choices at the top of the desk, and what can be taken away.

In narrow windows the choices fold behind a button. A choice is kept in the address of the page, so
that a bookmark brings it back.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final
from urllib.parse import quote, urlencode

from nicegui import ui
from nicegui.events import ValueChangeEventArguments

from ...grammar.errors import MidneckError
from ...grammar.key import parse_key
from ..charts import Chart
from ..names import stem_of
from ..page.drawing.style import PAPERS
from .choices import GRIDS, HANDS, PLAYERS, STYLES, SYMBOLS, Choices
from .fold import fold_button
from .session import Session

#: The choices of words: the field, its label, and the words for its values.
SELECTS: Final[tuple[tuple[str, str, Mapping[str, str]], ...]] = (
    ("player", "for", {name: name.replace("-", " ") for name in PLAYERS}),
    ("hand", "hand", {name: name for name in HANDS}),
    ("style", "voicings", {name: name.replace("-", " ") for name in STYLES}),
    ("instrument", "instrument", {"": "concert", "Bb": "B♭", "Eb": "E♭", "F": "F"}),
    ("paper", "paper", {name: name.upper() if name != "letter" else "Letter" for name in PAPERS}),
    ("grids", "grids", dict(zip(GRIDS, ("each chord", "new grips", "none"), strict=True))),
    ("symbols", "symbols", dict(zip(SYMBOLS, ("letters", "signs"), strict=True))),
)  # fmt: skip
SWITCHES: Final = (
    ("large", "large print"),
    ("landscape", "landscape"),
    ("second_page", "second page"),
)
#: What can be taken away: the ending, and what it is.
FORMATS: Final = (
    ("pdf", "PDF to print"),
    ("png", "PNG picture"),
    ("musicxml", "MusicXML"),
    ("mid", "MIDI"),
    ("wav", "Sound (WAV)"),
    ("txt", "Text chart"),
)


def choices_panel(session: Session) -> None:
    """The bar at the top: the choices, the link to the stand and the menu of formats."""

    async def choose(name: str, value: Any) -> None:
        choices = replace(session.desk.choices, **{name: value})
        if choices == session.desk.choices:
            return
        session.choose(choices)
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
            for name, label, words in SELECTS:
                select = ui.select(
                    dict(words),
                    value=getattr(session.desk.choices, name),
                    label=label,
                    on_change=lambda event, name=name: choose(name, event.value),
                )
                select.props("dense options-dense").classes("choice").mark(f"choice-{name}")
            field = ui.input("key", value=session.desk.choices.key, on_change=choose_key)
            field.props("dense debounce=400").classes("choice choice-key")
            for name, label in SWITCHES:
                ui.checkbox(
                    label,
                    value=getattr(session.desk.choices, name),
                    on_change=lambda event, name=name: choose(name, bool(event.value)),
                ).props("dense")
        with ui.element("div").classes("outputs"):
            _stand_link(session)
            with ui.button("Take away").props("flat no-caps"), ui.menu():
                for kind, label in FORMATS:
                    item = ui.menu_item(label, lambda kind=kind: take_away(session, kind))
                    item.props("role=menuitem")
    session.listen("tune", lambda: _keep_in_address(session))


def _keep_in_address(session: Session) -> None:
    """Show the tune and the choices in the address, without a new page."""
    desk = session.desk
    query = "&".join(part for part in (_tune_query(desk.name), desk.choices.to_query()) if part)
    ui.run_javascript(f"history.replaceState(history.state, '', {json.dumps(f'/?{query}')})")


def _stand_link(session: Session) -> None:
    """The link to the tune on a music stand, with the same choices."""
    stand = ui.link("Stand view", "/", new_tab=True).classes("stand-link")

    def show() -> None:
        query = session.desk.choices.to_query()
        stand.props["href"] = f"/stand/{quote(session.desk.name)}" + (f"?{query}" if query else "")
        stand.update()

    session.listen("tune", show)
    session.listen("choices", show)


def _tune_query(name: str) -> str:
    return urlencode({"tune": name}) if name else ""


def take_away(session: Session, kind: str) -> None:
    """Download the open tune in a format: the same bytes as the command line's."""
    try:
        files = taken(session, kind)
    except MidneckError as error:
        ui.notify(str(error), type="negative")
        return
    for name, data in files:
        ui.download.content(data, name)


def taken(session: Session, kind: str) -> list[tuple[str, bytes]]:
    """The names and bytes of the open tune in a format. Raises MidneckError."""
    desk = session.desk
    if desk.shown.chart is None:
        raise MidneckError("the text has mistakes: mend them first")
    options = page_options(desk.choices) if kind in ("pdf", "png") else {}
    stem = stem_of(desk.name)
    return [(stem + end, data) for end, data in Chart(desk.shown.chart).files(kind, **options)]


def page_options(choices: Choices) -> dict[str, Any]:
    """The choices that are options of a page."""
    names = ("paper", "landscape", "large", "grids", "symbols", "second_page")
    return {name: getattr(choices, name) for name in names}
