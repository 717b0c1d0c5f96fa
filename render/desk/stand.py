"""The stand view: a tune for a tablet or a telephone on a music stand, large and without tools.

Plain pages that only read, from the folder as it is saved. `stand_routes` gives them for the desk
and for the class (`share`). The page, the player and the turning of pages are `static/stand.js`.
While a tab of the desk plays the tune, the stand shows the bar that is heard there (`playback`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from html import escape
from pathlib import Path
from typing import Final
from urllib.parse import quote, urlencode

from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, PlainTextResponse, Response
from starlette.routing import Route

from ...grammar.sheet import TEMPOS
from ..page.drawing.fonts import TYPEFACES, typeface_data
from .choices import Choices
from .folder import FolderError, TuneFolder
from .playback import PLAYBACK
from .player_panel import schedule_answer, sound_answer
from .players import choices_of
from .work import Work, work_out

STATIC: Final = Path(__file__).with_name("static")
STYLES: Final = ("desk.css", "player.css", "stand.css")


def stand_routes(folder: TuneFolder) -> list[Route]:
    """The stand's pages, schedules and sounds of a folder, below the address they are put at."""
    return [
        Route("/stand/{name}", _answer(folder, stand_page)),
        Route("/stand-schedule/{name}", _answer(folder, _schedule)),
        Route("/stand-place/{name}", _place),
        Route("/stand-sound/{sound}.wav", _sound),
    ]


def font_routes() -> list[Route]:
    """The typefaces of the pages, once for all pictures."""

    def font(request: Request) -> Response:
        face = request.path_params["face"]
        if face not in TYPEFACES:
            return PlainTextResponse("There is no such typeface.\n", 404)
        headers = {"cache-control": "max-age=31536000"}
        return Response(typeface_data(face), media_type="font/ttf", headers=headers)

    return [Route("/fonts/{face}.ttf", font)]


def tune_list(folder: TuneFolder, root: str) -> str:
    """The page that names the tunes of a folder."""
    links = "".join(
        f'<li><a href="{root}/stand/{quote(name)}">{escape(title_of(folder, name))}</a></li>'
        for name in folder.names()
    )
    body = f'<main class="stand-list"><h1>Tunes</h1><ul>{links}</ul></main>'
    return _page("Tunes", body, root)


def title_of(folder: TuneFolder, name: str) -> str:
    """The title of a tune as far as it can be read, else its name."""
    try:
        sheet = work_out(folder.read(name).text, Choices(), name).sheet
    except FolderError:
        return name
    return name if sheet is None else sheet.header.title or name


def stand_page(work: Work, request: Request) -> Response:
    """The page of one tune: its pages as they print, the turning and a small player."""
    name, root = request.path_params["name"], root_of(request)
    if not work.good:
        text = work.message or "This tune cannot be read: mend it at the desk."
        body = f'<main class="stand-list"><h1>{escape(name)}</h1><p>{escape(text)}</p></main>'
        return HTMLResponse(_page(name, body, root), 422)
    title = work.sheet.header.title if work.sheet is not None else name
    papers = "".join(
        f'<div class="paper" id="page-{number}">{page}</div>'
        for number, page in enumerate(work.pages, 1)
    )
    query = urlencode([pair for pair in request.query_params.items() if pair[0] != "tempo"])
    schedule = f"{root}/stand-schedule/{quote(name)}" + (f"?{query}" if query else "")
    body = (
        f'<main class="pages stand-pages" tabindex="0" aria-label="{escape(title or name)}">'
        f'<h1 class="unseen">{escape(title or name)}</h1>{papers}</main>'
        f'<section class="player stand-player" aria-label="Player" data-root="{escape(root)}" '
        f'data-schedule="{escape(schedule)}" '
        f'data-place="{escape(f"{root}/stand-place/{quote(name)}")}">'
        f"{_controls()}</section>"
        f'<script type="module" src="{root}/static/stand.js"></script>'
    )
    return HTMLResponse(_page(title or name, body, root))


def root_of(request: Request) -> str:
    """The address below which the stand is put, without a slash at its end."""
    return str(request.scope.get("root_path", "")).rstrip("/")


def _controls() -> str:
    low, high = TEMPOS
    return (
        '<button type="button" class="play" data-player="play" aria-label="Play"></button>'
        '<div class="place"><strong data-player="place">bar 1</strong>'
        '<span class="quiet" data-player="beats"></span></div>'
        f'<label>tempo <input type="number" min="{low}" max="{high}" data-player="tempo"></label>'
        '<label><input type="checkbox" checked data-player="count">count in</label>'
        '<div class="said" data-player="said" role="status"></div>'
    )


def _page(title: str, body: str, root: str) -> str:
    links = "".join(f'<link rel="stylesheet" href="{root}/static/{name}">' for name in STYLES)
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(title)}</title>{links}</head><body>{body}</body></html>"
    )


def _answer(
    folder: TuneFolder, make: Callable[[Work, Request], Response]
) -> Callable[[Request], Response]:
    """Answers with what is made of a tune as it is saved, with the choices of the address."""

    def answer(request: Request) -> Response:
        name = request.path_params["name"]
        try:
            text = folder.read(name).text
        except FolderError as error:
            return PlainTextResponse(f"{error}\n", 404)
        choices, mistake = choices_of(folder, request.query_params)
        if mistake:
            return make(Work(message=mistake), request)
        return make(work_out(text, replace(choices, large=True), name), request)

    return answer


def _schedule(work: Work, request: Request) -> Response:
    return schedule_answer(work.chart, request.query_params)


def _place(request: Request) -> Response:
    """The bar that the desk plays of a tune, null where it plays none."""
    return JSONResponse(PLAYBACK.place(request.path_params["name"]))


def _sound(request: Request) -> Response:
    return sound_answer(request.path_params["sound"])
