"""The pages of the desk: they put the panels together.

`/` is the desk of the folder; `?tune=NAME` opens a tune, the other names of the query are choices.
"""

from __future__ import annotations

from nicegui import ui
from starlette.requests import Request

from .choices import from_query
from .folder import FolderError, TuneFolder
from .page_panel import page_panel
from .session import Desk, Session
from .shelf_panel import shelf_panel
from .text_panel import text_panel

HEAD = '<link rel="stylesheet" href="/static/desk.css">'


def desk_page(folder: TuneFolder) -> None:
    """Register the desk of a folder at `/`."""

    @ui.page("/")
    async def desk(request: Request, tune: str = "") -> None:
        ui.add_head_html(HEAD)
        session = Session(folder, Desk(choices=from_query(dict(request.query_params))))
        with ui.element("div").classes("desk"):
            shelf_panel(session)
            text_panel(session)
            page_panel(session)
        names = folder.names()
        name = tune if tune in names else next(iter(names), "")
        if name:
            try:
                session.open(name)
                await session.work()
            except FolderError as error:
                ui.notify(str(error), type="negative")
