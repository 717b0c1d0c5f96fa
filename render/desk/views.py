"""The pages of the desk: they put the panels together.

`/` is the desk of the folder; `?tune=NAME` opens a tune, the other names of the query are choices.
"""

from __future__ import annotations

from nicegui import ui
from starlette.requests import Request

from .choices import NAMES, Choices
from .choices_panel import choices_panel
from .chord_card import chord_card
from .drafts import drafts_of, place_of_folder
from .folder import FolderError, TuneFolder
from .kept import Kept, KeptTabs
from .page_panel import page_panel
from .player_panel import player_panel
from .players import choices_of
from .session import Desk, Session
from .shelf_panel import shelf_panel
from .text_panel import text_panel

STYLES = (
    "desk.css", "text.css", "shelf.css", "page.css", "player.css", "practice.css", "fold.css",
    "print.css",
)  # fmt: skip
HEAD = "".join(f'<link rel="stylesheet" href="/static/{name}">' for name in STYLES)
HEAD += "".join(
    f'<script type="module" src="/static/{name}"></script>'
    for name in ("focus.js", "fold.js", "keys.js")
)
#: How often a tab looks whether its tune has changed in the folder, in seconds.
CHECK_S = 2.0


def desk_page(folder: TuneFolder) -> None:
    """Register the desk of a folder at `/`."""
    drafts = drafts_of(folder.path)
    place = place_of_folder(folder.path)
    kept, kept_tabs = Kept(place / "kept" / "choices.json"), KeptTabs(place / "tabs")
    open_tabs: dict[str, str] = {}

    @ui.page("/")
    async def desk(request: Request, tune: str = "") -> None:
        ui.add_head_html(HEAD)
        client = ui.context.client
        named = any(name in request.query_params for name in NAMES)
        wanted = tune or kept.tune
        given = request.query_params if named else kept.query(wanted)
        choices, mistake = choices_of(folder, given)
        session = Session(
            folder,
            Desk(choices=choices),
            drafts=drafts,
            open_tabs=open_tabs.values(),
            kept=kept,
            kept_tabs=kept_tabs,
        )
        with ui.element("div").classes("desk"):
            choices_panel(session)
            open_dialog_again = shelf_panel(session)
            text_panel(session)
            page_panel(session)
            player_panel(session)
            chord_card(session)
        client.on_delete(lambda: open_tabs.pop(client.id, None))
        client.on_delete(session.close)
        # The tab, which finds its own draft again, is known when the page has connected.
        await client.connected()
        open_tabs[client.id] = client.tab_id or client.id
        session.take_tab(open_tabs[client.id])
        if mistake:
            ui.notify(f"{mistake} The desk goes on for an adult.", type="negative")
        await _open_first(session, wanted, choices if named else None)
        await open_dialog_again()
        ui.timer(CHECK_S, lambda: _check(session))


async def _open_first(session: Session, wanted: str, choices: Choices | None) -> None:
    """Open the tune that is asked for, else the first of the folder, with choices of an address."""
    try:
        names = session.folder.names()
        name = wanted if wanted in names else next(iter(names), "")
        if name:
            session.open(name, choices)
            await session.work()
    except FolderError as error:
        ui.notify(str(error), type="negative")


async def _check(session: Session) -> None:
    """Follow a file that changed in the folder."""
    before = session.desk.text
    try:
        session.check()
    except FolderError:
        return
    if session.desk.text != before:
        await session.work()
