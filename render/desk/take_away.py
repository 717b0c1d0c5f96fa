"""Print and take away: a PDF that the browser prints, and the tune in every format as a file.

The bytes and the names of the tune are those of the command line. A link opens the PDF in a tab of
its own, which no browser takes for an unwanted window; Ctrl-P follows the link (`static/keys.js`).
What a link leads to is made when it is asked for, at `/print/TAB/WHAT/NAME`: the tab has an
unguessable name, and `NAME` is what a browser saves the file as.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final
from urllib.parse import quote

from nicegui import app, ui
from starlette.responses import PlainTextResponse, Response

from ...grammar.errors import MidneckError
from ..charts import Chart
from ..names import stem_of
from .choices import Choices
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
#: What makes the PDF that a tab prints, by the tab and what it is of. It may raise MidneckError.
_MAKERS: Final[dict[tuple[str, str], Callable[[], bytes]]] = {}


class PrintLink(ui.link):
    """A link that opens a PDF to be printed; `make` makes it and may raise MidneckError."""

    def __init__(self, what: str, make: Callable[[], bytes]) -> None:
        super().__init__("Print", "/", new_tab=True)
        self.classes("print-link").props('aria-keyshortcuts="Control+P"')
        self.tooltip("Opens the PDF, to be printed (Ctrl-P)")
        self.key = (self.client.id, what)
        _MAKERS[self.key] = make
        self.client.on_delete(self.forget)

    def name(self, stem: str) -> None:
        """Give the file its name, without its ending."""
        self.props["href"] = f"/print/{'/'.join(self.key)}/{quote(stem, safe='')}.pdf"
        self.update()

    def forget(self) -> None:
        """Nothing is printed from here any more."""
        _MAKERS.pop(self.key, None)


def add_printing() -> None:
    """Register the addresses of what is printed."""
    app.add_api_route("/print/{tab}/{what}/{name}", print_answer)


def print_answer(tab: str, what: str, name: str) -> Response:
    """What a tab prints, as a PDF to be shown."""
    make = _MAKERS.get((tab, what))
    if make is None:
        return PlainTextResponse("That is closed: print it from the desk again.\n", 404)
    try:
        data = make()
    except MidneckError as error:
        return PlainTextResponse(f"Not printed: {error}.\n", 422)
    headers = {"content-disposition": f"inline; filename*=UTF-8''{quote(name, safe='')}"}
    return Response(data, media_type="application/pdf", headers=headers)


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
    return stem_of(desk.name) + desk.choices.in_name()


def page_options(choices: Choices) -> dict[str, Any]:
    """The choices that are options of a page."""
    names = ("paper", "landscape", "large", "grids", "symbols", "second_page")
    return {name: getattr(choices, name) for name in names}
