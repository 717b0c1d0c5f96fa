"""Who may ask the desk for what: this machine's own pages, and nothing larger than a tune."""

from __future__ import annotations

import http.client
import signal
import socket
from collections.abc import Mapping
from pathlib import Path

import pytest
from midneck.render.desk.server import MAX_BODY, is_bounded, is_local
from support.run_command import midneck
from support.served_desk import ServedDesk


@pytest.mark.parametrize(
    ("host", "origin", "allowed"),
    [
        ("127.0.0.1:8000", None, True),
        ("localhost:8000", "http://localhost:8000", True),
        ("[::1]:8000", "http://[::1]:8000", True),
        ("127.0.0.1:8000", "http://127.0.0.1:9000", False),
        ("127.0.0.1:8000", "http://elsewhere.example", False),
        ("127.0.0.1:8000", "https://127.0.0.1:8000", False),
        ("127.0.0.1:8000", "null", False),
        ("elsewhere.example", None, False),
        ("127.0.0.1.elsewhere.example:8000", None, False),
        ("", None, False),
    ],
)
def test_only_pages_of_this_server_may_ask(host: str, origin: str | None, allowed: bool) -> None:
    assert is_local(host, origin) is allowed


@pytest.mark.parametrize(
    ("headers", "allowed"),
    [
        ({}, True),
        ({"content-length": str(MAX_BODY)}, True),
        ({"content-length": str(MAX_BODY + 1)}, False),
        ({"content-length": "-1"}, False),
        ({"transfer-encoding": "chunked"}, False),
    ],
)
def test_bodies_are_bounded(headers: Mapping[str, str], allowed: bool) -> None:
    assert is_bounded(headers) is allowed


def asked(desk: ServedDesk, path: str, headers: Mapping[str, str]) -> http.client.HTTPResponse:
    connection = http.client.HTTPConnection("127.0.0.1", desk.port, timeout=60)
    connection.request("GET", path, headers=dict(headers))
    answer = connection.getresponse()
    answer.read()
    connection.close()
    return answer


@pytest.mark.slow
@pytest.mark.parametrize("path", ["/", "/static/desk.css", "/fonts/FiraGO-Bold.ttf"])
def test_a_page_from_elsewhere_can_read_nothing(shared_desk: ServedDesk, path: str) -> None:
    assert asked(shared_desk, path, {}).status == 200
    for headers in ({"Host": "elsewhere.example"}, {"Origin": "http://elsewhere.example"}):
        assert asked(shared_desk, path, headers).status == 403


@pytest.mark.slow
def test_a_page_from_elsewhere_can_open_no_socket(shared_desk: ServedDesk) -> None:
    path = "/_nicegui_ws/socket.io/?EIO=4&transport=websocket"
    upgrade = {
        "Connection": "Upgrade",
        "Upgrade": "websocket",
        "Sec-WebSocket-Version": "13",
        "Sec-WebSocket-Key": "dGhlIHNhbXBsZSBub25jZQ==",
        "Origin": "http://elsewhere.example",
    }
    assert asked(shared_desk, path, upgrade).status == 403


@pytest.mark.slow
def test_it_listens_on_this_machine_alone(shared_desk: ServedDesk) -> None:
    outward = socket.gethostbyname(socket.gethostname())
    if outward.startswith("127."):
        outward = "127.0.0.2"
    with socket.socket() as probe:
        probe.settimeout(10)
        assert probe.connect_ex((outward, shared_desk.port)) != 0


@pytest.mark.slow
def test_ctrl_c_ends_it_without_a_trace(tmp_path: Path) -> None:
    desk = ServedDesk(tmp_path, tmp_path)
    desk.start()
    assert desk.stop(signal.SIGINT) in (0, 130)
    assert "Traceback" not in (desk.cache / "stderr.txt").read_text()


@pytest.mark.slow
def test_a_taken_port_and_a_missing_folder_are_told(
    shared_desk: ServedDesk, tmp_path: Path
) -> None:
    taken = midneck("desk", str(tmp_path), "--no-browser", "--port", str(shared_desk.port))
    assert taken.returncode == 2
    assert b"is taken: give another with --port" in taken.stderr
    missing = midneck("desk", str(tmp_path / "none"), "--no-browser")
    assert missing.returncode == 2
    assert b"there is no folder" in missing.stderr
