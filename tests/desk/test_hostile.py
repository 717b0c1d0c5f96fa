"""Requests of somebody who means harm, to the whole application without a process: nothing outside
the folder is read, nothing is answered to another Host or Origin, nothing large is taken."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from pathlib import Path

import httpx
import pytest
from support.desk_user import desk_user
from support.loops import in_thread

SECRET = "the secret of another folder"
#: Names of the secret, as they can be written in an address (RFC 3986, 2.1: any byte as %XX).
AWAY = (
    "../secret.txt", "..%2Fsecret.txt", "%2e%2e/secret.txt", "%2e%2e%2fsecret.txt",
    "..%5csecret.txt", "%252e%252e%252fsecret.txt", "....//secret.txt", "..;/secret.txt",
    "link.txt", "sub%2Flink.txt", "./../secret.txt", "%00../secret.txt", "..%c0%afsecret.txt",
    "secret.txt", "/secret.txt", "file:///secret.txt", ".%2e/secret.txt", "~/secret.txt",
)  # fmt: skip
#: Where a name of a tune, a file or a tab stands in an address.
DOORS = (
    "/{}", "/stand/{}", "/stand-schedule/{}", "/stand-sound/{}.wav", "/static/{}",
    "/fonts/{}.ttf", "/sound/{}.wav", "/schedule/{}", "/_nicegui/3.18.0/static/{}",
    "/_nicegui/3.18.0/components/{}", "/_nicegui/3.18.0/resources/{}", "/_nicegui/client/{}",
)  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a tune and two links out of it, beside the secret."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    tunes = tmp_path / "tunes"
    (tunes / "sub").mkdir(parents=True)
    (tunes / "tune.txt").write_text("Title: <i>Tune</i>\n\n| C | F |\n", encoding="utf-8")
    (tmp_path / "secret.txt").write_text(f"Title: {SECRET}\n\n| C |\n", encoding="utf-8")
    (tunes / "link.txt").symlink_to(tmp_path / "secret.txt")
    (tunes / "sub" / "link.txt").symlink_to(tmp_path / "secret.txt")
    return tunes


def answers(folder: Path, requests: Sequence[httpx.Request]) -> list[httpx.Response]:
    """What the desk on a folder answers."""

    async def ask() -> list[httpx.Response]:
        async with desk_user(folder) as user:
            return [await user.http_client.send(request) for request in requests]

    return in_thread(ask())


def get(path: str, **headers: str) -> httpx.Request:
    return httpx.Request("GET", f"http://127.0.0.1{path}", headers=headers)


def test_no_name_leads_out_of_the_folder(folder: Path) -> None:
    away = [*AWAY, str(folder.parent / "secret.txt"), f"%2F{folder.parent / 'secret.txt'}"]
    requests = [get(door.format(name)) for door in DOORS for name in away]
    found = answers(folder, requests)
    assert [str(answer.url) for answer in found if SECRET in answer.text] == []
    assert {answer.status_code for answer in found} <= {307, 400, 404, 422}
    moved = [answer.headers["location"] for answer in found if answer.status_code == 307]
    assert [place for place in moved if not place.startswith("http://127.0.0.1/")] == []


def test_the_tune_itself_is_answered_with_its_title_as_text(folder: Path) -> None:
    page, stand = answers(folder, [get("/?tune=tune.txt"), get("/stand/tune.txt")])
    assert page.status_code == stand.status_code == 200
    assert "&lt;i&gt;Tune&lt;/i&gt;" in stand.text
    assert "<i>" not in stand.text
    assert "<i>" not in page.text


def test_pages_from_elsewhere_read_nothing(folder: Path) -> None:
    """Host and Origin (RFC 6454, 7) of pages that are none of this server's."""
    hosts = ("elsewhere.example", "127.0.0.1.elsewhere.example", "127.0.0.1@elsewhere.example")
    origins = (
        "http://elsewhere.example", "null", "", "http://127.0.0.1:1", "https://127.0.0.1",
        "http://127.0.0.1.elsewhere.example", "file://127.0.0.1",
    )  # fmt: skip
    paths = ("/", "/stand/tune.txt", "/stand-schedule/tune.txt", "/static/desk.css", "/nothing")
    requests = [
        get(path, **header)
        for path in paths
        for header in (*({"Host": host} for host in hosts), *({"Origin": o} for o in origins))
    ]
    found = answers(folder, requests)
    assert [answer.status_code for answer in found] == [403] * len(requests)
    assert {answer.text for answer in found} == {"The desk answers only this machine.\n"}


def test_nothing_large_is_taken_and_nothing_is_changed_by_a_method(folder: Path) -> None:
    before = {path: path.read_bytes() for path in folder.glob("*.txt")}
    large = httpx.Request(
        "POST", "http://127.0.0.1/_nicegui/client/x/upload/1", content=b"x" * 5_000_000
    )
    others = [
        httpx.Request(method, f"http://127.0.0.1{path}", content=b"x")
        for method in ("POST", "PUT", "DELETE", "PATCH")
        for path in ("/", "/stand/tune.txt", "/static/desk.css", "/tune.txt")
    ]
    first, *rest = answers(folder, [large, *others])
    assert first.status_code == 413
    assert {answer.status_code for answer in rest} <= {404, 405}
    assert {path: path.read_bytes() for path in folder.glob("*.txt")} == before


def test_every_answer_says_what_it_may_load(folder: Path) -> None:
    for answer in answers(folder, [get("/"), get("/stand/tune.txt"), get("/nothing")]):
        policy = answer.headers["content-security-policy"]
        rules = {rule.split()[0]: rule.split()[1:] for rule in policy.split(";")}
        assert rules["default-src"] == rules["connect-src"] == ["'self'"]
        assert rules["frame-ancestors"] == rules["object-src"] == ["'none'"]
        assert not any("http" in word or "*" in word for words in rules.values() for word in words)
        assert answer.headers["x-content-type-options"] == "nosniff"


def test_the_typefaces_of_the_page_are_served(folder: Path) -> None:
    """A TrueType file begins with version 1.0 (OpenType 1.9, "Table Directory")."""
    faces = ("FiraGO-Regular", "FiraGO-Bold", "MidneckSigns")
    fonts = answers(folder, [get(f"/fonts/{face}.ttf") for face in faces])
    assert {font.content[:4] for font in fonts} == {b"\0\1\0\0"}


@pytest.mark.parametrize("origin", ["http://elsewhere.example", "null", None])
def test_a_socket_is_opened_for_pages_of_this_server_alone(
    folder: Path, origin: str | None
) -> None:
    """A handshake of RFC 6455 with a Host of this machine, and an Origin (4.1, 8) or none."""
    path = "/_nicegui_ws/socket.io/"
    headers = [(b"host", b"127.0.0.1"), (b"upgrade", b"websocket"), (b"connection", b"upgrade")]
    headers += [(b"origin", origin.encode())] if origin else []
    scope = {
        "type": "websocket", "path": path, "raw_path": path.encode(), "root_path": "",
        "scheme": "ws", "query_string": b"EIO=4&transport=websocket", "headers": headers,
        "subprotocols": [], "client": ("127.0.0.1", 1), "server": ("127.0.0.1", 80),
        "state": {}, "asgi": {"version": "3.0"}, "http_version": "1.1",
    }  # fmt: skip
    sent: list[dict[str, object]] = []

    async def ask() -> None:
        received = iter([{"type": "websocket.connect"}, {"type": "websocket.disconnect"}])

        async def receive() -> dict[str, object]:
            return dict(next(received, {"type": "websocket.disconnect"}))

        async def send(message: dict[str, object]) -> None:
            sent.append(message)

        async with desk_user(folder):
            from nicegui import app

            await asyncio.wait_for(app(scope, receive, send), 20)  # type: ignore[arg-type]

    in_thread(ask())
    assert sent[0]["type"] == ("websocket.accept" if origin is None else "websocket.close")
