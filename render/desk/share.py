"""The stand for a class: the folder's tunes on the local network, for reading alone.

A server of its own beside the desk, which stays on this machine. Every address begins with a token
that cannot be guessed; without it nothing answers. Nothing can be changed: only GET is answered,
and only with the stand's pages, schedules, sounds, scripts, styles and typefaces.
"""

from __future__ import annotations

import secrets
import socket
import threading
from collections.abc import Awaitable, Callable
from typing import Any, Final

import segno
import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from .folder import TuneFolder
from .stand import STATIC, font_routes, root_of, stand_routes, tune_list

#: Bytes of the token: 128 bits.
TOKEN_BYTES: Final = 16
#: What a shared page may load: only what this server gives. Styles stand in the pages' drawings.
POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; font-src 'self'; "
    "img-src 'self' data:; connect-src 'self'; frame-ancestors 'none'; base-uri 'none'; "
    "form-action 'none'"
)
_HEADERS: Final = [
    (b"content-security-policy", POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
]

Scope = dict[str, Any]
Send = Callable[[Any], Awaitable[None]]
Receive = Callable[[], Awaitable[Any]]


class WithToken:
    """Answers only addresses that begin with the token, GET and HEAD alone."""

    def __init__(self, inner: Starlette, token: str) -> None:
        self.inner = inner
        self.token = token

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on a request with the token; 404 for every other one."""
        if scope["type"] == "lifespan":
            await self.inner(scope, receive, send)
            return
        given = scope["path"].split("/")[1] if "/" in scope["path"] else ""
        known = secrets.compare_digest(given.encode(), self.token.encode())
        if scope["type"] != "http" or scope["method"] not in ("GET", "HEAD") or not known:
            if scope["type"] == "http":
                await PlainTextResponse("There is nothing here.\n", 404)(scope, receive, send)
            else:
                await send({"type": "websocket.close", "code": 1008})
            return

        async def answer(message: Any) -> None:
            if message["type"] == "http.response.start":
                message = {**message, "headers": [*message["headers"], *_HEADERS]}
            await send(message)

        await self.inner({**scope, "root_path": f"/{self.token}"}, receive, answer)


def shared_app(folder: TuneFolder, token: str) -> WithToken:
    """The application of the class."""

    def tunes(request: Request) -> Response:
        return HTMLResponse(tune_list(folder, root_of(request)))

    routes = [
        Route("/", tunes),
        *stand_routes(folder),
        *font_routes(),
        Mount("/static", StaticFiles(directory=STATIC)),
    ]
    return WithToken(Starlette(routes=routes), token)


def network_address() -> str:
    """The address of this machine on the local network; its own where there is no network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # Connecting sends nothing; it chooses the interface that leads out (RFC 5737 address).
            probe.connect(("192.0.2.1", 9))
        except OSError:
            return "127.0.0.1"
        return str(probe.getsockname()[0])


def share(folder: TuneFolder) -> str:
    """Serve the stand to the local network as long as this process lives; gives its address.

    Raises OSError when no port can be had.
    """
    token = secrets.token_urlsafe(TOKEN_BYTES)
    listener = socket.create_server(("0.0.0.0", 0))
    port = listener.getsockname()[1]
    config = uvicorn.Config(
        shared_app(folder, token), log_level="warning", access_log=False, server_header=False
    )
    server = uvicorn.Server(config)
    threading.Thread(target=server.run, args=([listener],), daemon=True).start()
    return f"http://{network_address()}:{port}/{token}/"


def qr_text(address: str) -> str:
    """The QR code of an address as lines for a terminal."""
    from io import StringIO

    lines = StringIO()
    segno.make(address, error="m").terminal(lines, compact=True)
    return lines.getvalue()
