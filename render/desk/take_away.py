"""Print and take away: the tune as a PDF that the browser prints, and in every format as a file.

The bytes and the names are those of the command line.
"""

from __future__ import annotations

from typing import Any, Final
from urllib.parse import quote

from nicegui import ui

from ...grammar.errors import MidneckError
from ..charts import Chart
from ..names import choices_in_name, stem_of
from .choices import Choices
from .printing import PrintLink
from .session import Session

#: What can be taken away: the ending, and what it is.
FORMATS: Final = (
    ("pdf", "PDF to print"),
    ("png", "PNG picture"),
    ("musicxml", "MusicXML"),
    ("mid", "MIDI"),
    ("wav", "Sound (WAV)"),
    ("txt", "Text chart"),
)
#: A text chart is named apart from the sheet that it is made of.
_APART: Final = {"txt": "_chart"}


def take_away_panel(session: Session) -> None:
    """The link to the stand, the link that prints, and the menu of formats."""
    with ui.element("div").classes("outputs"):
        stand = ui.link("Stand view", "/", new_tab=True).classes("output")
        printed = PrintLink("tune", lambda: taken(session, "pdf")[0][1])
        printed.classes("output")
        button = ui.button("Take away", icon="expand_more").props("flat no-caps")
        with button.classes("output"), ui.menu():
            for kind, label in FORMATS:
                item = ui.menu_item(label, lambda kind=kind: take_away(session, kind))
                item.props("role=menuitem")

    def show() -> None:
        desk = session.desk
        query = desk.choices.to_query()
        stand.props["href"] = f"/stand/{quote(desk.name)}" + (f"?{query}" if query else "")
        stand.update()
        printed.name(file_stem(session))

    for topic in ("tune", "choices", "saved"):
        session.listen(topic, show)


def take_away(session: Session, kind: str) -> None:
    """Download the open tune in a format."""
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
    if desk.shown.chart is None or not desk.work.good:
        raise MidneckError("the text has mistakes: mend them first")
    options = page_options(desk.choices) if kind in ("pdf", "png") else {}
    stem = file_stem(session) + _APART.get(kind, "")
    return [(stem + end, data) for end, data in Chart(desk.shown.chart).files(kind, **options)]


def file_stem(session: Session) -> str:
    """The name of what is made of the open tune: its own, and a word for each choice."""
    desk = session.desk
    choices = desk.choices
    words = choices_in_name(choices.key_choice(), choices.chosen_player(), choices.plan_options())
    return stem_of(desk.name) + words


def page_options(choices: Choices) -> dict[str, Any]:
    """The choices that are options of a page."""
    names = ("paper", "landscape", "large", "grids", "symbols", "second_page")
    return {name: getattr(choices, name) for name in names}
