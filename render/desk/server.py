"""Serves the desk on this machine: addresses, who may ask, what the browser may load.

Listens on the loopback address alone. A request whose Host is not this machine, or whose Origin is
another page, is refused, so that a page from elsewhere can neither read nor drive the desk. A body
of more than `MAX_BODY` bytes is refused before it is read.

What the content policy does not forbid: NiceGUI's pages hold inline scripts and styles, and Vue
compiles templates in the browser, so inline code and `eval` are allowed. Nothing from another host
can be loaded, sent to, framed or submitted to; texts of tunes reach the page as text, not markup.
"""

from __future__ import annotations

import asyncio
import gc
import socket
from collections.abc import Awaitable, Callable, Mapping
from pathlib import Path
from typing import Any, Final

from nicegui import app, background_tasks, ui
from nicegui.server import Server

from ...grammar.limits import MAX_TEXT_BYTES
from ..page.drawing.fonts import TYPEFACES, typeface_data
from .folder import TuneFolder
from .player_panel import add_sound
from .practice_panel import add_practice
from .stand import stand_routes
from .take_away import add_printing
from .views import desk_page

HOST: Final = "127.0.0.1"
#: The names of this machine in the Host of a request.
LOCAL_NAMES: Final = ("127.0.0.1", "localhost", "[::1]")
STATIC: Final = Path(__file__).with_name("static")
#: The most bytes of a request: one file to import and what a form adds to it.
MAX_BODY: Final = MAX_TEXT_BYTES + 100_000
#: How long a tab whose connection is lost or late may come back as it was, in seconds; it is let go
#: then, and what comes back later is loaded anew, without its steps to undo.
RECONNECT_S: Final = 15.0
#: What a page of the desk may load: only what this server gives.
POLICY: Final = (
    "default-src 'self'; script-src 'self' 'unsafe-inline' 'unsafe-eval'; "
    "style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; font-src 'self' data:; "
    "connect-src 'self'; media-src 'self' blob:; frame-ancestors 'none'; base-uri 'self'; "
    "form-action 'self'; object-src 'none'"
)

Scope = dict[str, Any]
Asgi = Callable[
    [Scope, Callable[[], Awaitable[Any]], Callable[[Any], Awaitable[None]]], Awaitable[None]
]


class LocalOnly:
    """Refuses requests that do not come from a page of this server; adds the policy to answers."""

    def __init__(self, inner: Asgi) -> None:
        self.inner = inner

    async def __call__(
        self,
        scope: Scope,
        receive: Callable[[], Awaitable[Any]],
        send: Callable[[Any], Awaitable[None]],
    ) -> None:
        """Pass on a request of this machine, refuse another."""
        if scope["type"] not in ("http", "websocket"):
            await self.inner(scope, receive, send)
            return
        headers = {
            name.decode("latin-1"): value.decode("latin-1") for name, value in scope["headers"]
        }
        if not is_local(headers.get("host", ""), headers.get("origin")):
            await _refuse(scope, send, 403, "The desk answers only this machine.")
            return
        if not is_bounded(headers):
            await _refuse(scope, send, 413, f"At most {MAX_BODY:,} bytes, and their number first.")
            return

        async def answer(message: Any) -> None:
            if message["type"] == "http.response.start":
                message = {**message, "headers": [*message["headers"], *_POLICY_HEADERS]}
            await send(message)

        await self.inner(scope, receive, answer)


_POLICY_HEADERS: Final = [
    (b"content-security-policy", POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
]


def is_local(host: str, origin: str | None) -> bool:
    """Whether a request names this machine, and comes from no page or from one of this server."""
    name = host.rsplit(":", 1)[0] if not host.endswith("]") else host
    if name not in LOCAL_NAMES:
        return False
    return origin is None or origin == f"http://{host}"


def is_bounded(headers: Mapping[str, str]) -> bool:
    """Whether the body of a request is of a stated size within the limit, or there is none."""
    if "transfer-encoding" in headers:
        return False
    size = headers.get("content-length", "0")
    return size.isdecimal() and int(size) <= MAX_BODY


async def _refuse(
    scope: Scope, send: Callable[[Any], Awaitable[None]], status: int, reason: str
) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008})
        return
    head = [(b"content-type", b"text/plain; charset=utf-8"), (b"connection", b"close")]
    await send({"type": "http.response.start", "status": status, "headers": head})
    await send({"type": "http.response.body", "body": f"{reason}\n".encode()})


def free_port(wanted: int | None) -> int:
    """The port that is asked for, or any free one. Raises OSError when it is taken."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        probe.bind((HOST, wanted or 0))
        port: int = probe.getsockname()[1]
        return port


def serve(folder: TuneFolder, port: int, browser: bool, ready: Callable[[], None]) -> None:
    """Serve the desk of a folder until it is interrupted; calls `ready` when it listens."""

    async def tell_when_it_listens() -> None:
        while not Server.instance.started:
            await asyncio.sleep(0.01)
        # Collections of garbage look at what the tabs make, not at all that is loaded.
        gc.collect()
        gc.freeze()
        ready()

    add_desk(folder)
    app.on_startup(lambda: background_tasks.create(tell_when_it_listens(), name="ready"))
    ui.run(
        host=HOST,
        port=port,
        title="Midneck",
        language="en-US",
        show=browser,
        reload=False,
        show_welcome_message=False,
        tailwind=False,
        dark=None,
        # Pages go no further than this machine: compressing them takes longer than sending them.
        ws_per_message_deflate=False,
        reconnect_timeout=RECONNECT_S,
    )


def add_desk(folder: TuneFolder) -> None:
    """Give NiceGUI's application the pages, files and addresses of a folder's desk."""
    # Quasar's bar at the top while something loads has no name for screen readers.
    app.config.quasar_config["loadingBar"]["skipHijack"] = True
    _add_files()
    app.router.routes.extend(stand_routes(folder))
    desk_page(folder)
    app.add_middleware(LocalOnly)


def _add_files() -> None:
    """The typefaces of the page, once for all pictures, and the desk's own scripts and styles."""
    from fastapi import Response

    app.add_static_files("/static", STATIC)
    add_sound()
    add_practice()
    add_printing()
    for face in TYPEFACES:

        def font(name: str = face) -> Response:
            return Response(
                typeface_data(name),
                media_type="font/ttf",
                headers={"cache-control": "max-age=31536000"},
            )

        app.add_api_route(f"/fonts/{face}.ttf", font)
