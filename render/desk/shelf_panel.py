"""The shelf: the tunes of the folder, one of which is open."""

from __future__ import annotations

from nicegui import ui

from .session import Session


def shelf_panel(session: Session) -> None:
    """The list of the folder's tunes; a click opens one."""

    async def open_tune(name: str) -> None:
        session.open(name)
        await session.work()

    with ui.element("nav").classes("shelf").props('aria-label="Tunes"'):
        ui.html("<h1>Midneck</h1>", sanitize=False)
        for name in session.folder.names():
            ui.button(name, on_click=lambda _, name=name: open_tune(name)).props("flat no-caps")
