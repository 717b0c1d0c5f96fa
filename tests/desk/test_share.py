"""The stand for a class, without a browser: only with the token, only for reading."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import httpx
import pytest
from midneck.render.desk.folder import TuneFolder
from midneck.render.desk.share import WithToken, qr_text, shared_app
from support.loops import in_thread
from support.served_desk import ServedDesk

TUNE = "Title: Tram <b>Stop</b>\nKey: C\nTempo: 120\n\nA:\n| Dm7 | G7 | C6 | % ||\n"


@dataclass
class Classmate:
    """A machine of the class."""

    app: WithToken

    def request(self, method: str, path: str) -> httpx.Response:
        """Ask the shared stand for something."""

        async def ask() -> httpx.Response:
            transport = httpx.ASGITransport(self.app)  # type: ignore[arg-type]
            async with httpx.AsyncClient(transport=transport, base_url="http://desk") as client:
                return await client.request(method, path)

        return in_thread(ask())

    def get(self, path: str) -> httpx.Response:
        """Read something."""
        return self.request("GET", path)


@pytest.fixture
def client(tmp_path: Path) -> Classmate:
    """A machine of the class, shown a folder of one tune."""
    (tmp_path / "folder").mkdir()
    (tmp_path / "folder" / "tram stop.txt").write_text(TUNE, encoding="utf-8")
    (tmp_path / "outside.txt").write_text(TUNE, encoding="utf-8")
    return Classmate(shared_app(TuneFolder(tmp_path / "folder"), "token"))


def test_the_tunes_are_listed_with_their_titles_as_text(client: Classmate) -> None:
    text = client.get("/token/").text
    assert "Tram &lt;b&gt;Stop&lt;/b&gt;" in text
    assert 'href="/token/stand/tram%20stop.txt"' in text


@pytest.mark.parametrize(
    "path",
    ["stand/tram%20stop.txt", "stand-schedule/tram%20stop.txt?tempo=90", "static/stand.js",
     "static/desk.css", "fonts/FiraGO-Regular.ttf", "stand-sound/guitar-60-10.wav"],
)  # fmt: skip
def test_what_the_stand_needs_is_there_with_the_token_alone(client: Classmate, path: str) -> None:
    answer = client.get(f"/token/{path}")
    assert answer.status_code == 200
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    assert client.get(f"/{path}").status_code == 404
    assert client.get(f"/tokem/{path}").status_code == 404


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH", "OPTIONS"])
def test_nothing_can_be_changed(client: Classmate, method: str) -> None:
    assert client.request(method, "/token/stand/tram%20stop.txt").status_code == 404


@pytest.mark.parametrize("name", ["..%2Foutside.txt", "../outside.txt", "%2e%2e/outside.txt", "x"])
def test_nothing_outside_the_folder_is_read(client: Classmate, name: str) -> None:
    assert client.get(f"/token/stand/{name}").status_code == 404


def test_a_title_is_inert_on_its_page(client: Classmate) -> None:
    assert "<b>" not in client.get("/token/stand/tram%20stop.txt").text


def test_a_schedule_has_the_tempo_that_is_asked_for(client: Classmate) -> None:
    answer = client.get("/token/stand-schedule/tram%20stop.txt?tempo=90").json()
    assert answer["tempo"] == 90
    assert [bar["number"] for bar in answer["bars"]] == [1, 2, 3, 4]


def test_a_tempo_out_of_range_is_refused(client: Classmate) -> None:
    answer = client.get("/token/stand-schedule/tram%20stop.txt?tempo=9999")
    assert answer.status_code == 422


def test_the_code_of_an_address_is_square() -> None:
    """A QR code is a square with a quiet zone (ISO/IEC 18004); a line holds two rows."""
    lines = qr_text("http://192.0.2.7:8000/token/").splitlines()
    assert len({len(line) for line in lines if line}) == 1


@pytest.mark.slow
def test_share_tells_the_address_and_the_desk_stays_on_this_machine(
    desk_on: Callable[..., ServedDesk], tmp_path: Path
) -> None:
    """The desk listens at 127.0.0.1 alone, the class's address at every one of this machine."""
    (tmp_path / "tunes").mkdir()
    served = desk_on(tmp_path / "tunes", "--share")
    assert served.process is not None
    assert served.process.stdout is not None
    told = re.search(r"http://[^:]+:(\d+)(/\S+)", served.process.stdout.readline())
    assert told is not None
    assert httpx.get(f"http://127.0.0.2:{told[1]}{told[2]}").status_code == 200
    assert httpx.get(f"http://127.0.0.2:{told[1]}/").status_code == 404
    with pytest.raises(httpx.ConnectError):
        httpx.get(f"http://127.0.0.2:{served.port}/")
