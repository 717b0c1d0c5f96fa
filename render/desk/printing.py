"""PDFs that the browser shows in a tab of its own, to print them: those that are taken away.

A link opens the tab, which no browser takes for an unwanted window; Ctrl-P follows the link
(`static/keys.js`). What a link leads to is made when it is asked for, at `/print/TAB/WHAT/NAME`:
the tab has an unguessable name, and `NAME` is what a browser saves the file as.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final
from urllib.parse import quote

from nicegui import app, ui
from starlette.responses import PlainTextResponse, Response

from ...grammar.errors import MidneckError

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
