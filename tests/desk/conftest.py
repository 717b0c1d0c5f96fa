"""The desk in a real browser: a server of its own folder for each test, one Chromium a session.

Tests that ask for `page` are skipped with the reason where no browser is found, unless the
environment variable MIDNECK_REQUIRE_BROWSER is set.
"""

from __future__ import annotations

import os
import shutil
import signal
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Error, Page, expect, sync_playwright
from support.chromium import launched
from support.forge import Forge
from support.served_desk import ServedDesk

EXAMPLES = Path(__file__).parents[2] / "examples"
LOCAL_NAMES = ("127.0.0.1", "localhost")
#: How long a state is waited for on a machine that is busy with other tests.
PATIENCE_MS = 60_000

expect.set_options(timeout=PATIENCE_MS)


@pytest.fixture(scope="session")
def forge() -> Iterator[Forge]:
    """The process that desks are forked from."""
    forge = Forge()
    yield forge
    forge.close()


@pytest.fixture
def desk_on(tmp_path: Path, forge: Forge) -> Iterator[Callable[..., ServedDesk]]:
    """Starts a desk on a folder: `desk_on(folder, *options)`."""
    running: list[ServedDesk] = []

    def start(folder: Path, *options: str) -> ServedDesk:
        running.append(started(forge, folder, tmp_path / "cache", *options))
        return running[-1]

    yield start
    for served in running:
        served.stop(signal.SIGKILL)


@pytest.fixture
def desk(desk_on: Callable[..., ServedDesk], tmp_path: Path) -> ServedDesk:
    """The desk on a copy of the examples that belongs to the test."""
    return desk_on(copied_examples(tmp_path / "tunes"))


@pytest.fixture(scope="session")
def shared_desk(tmp_path_factory: pytest.TempPathFactory, forge: Forge) -> Iterator[ServedDesk]:
    """The desk on a copy of the examples for tests that save nothing, started once."""
    place = tmp_path_factory.mktemp("shared")
    served = started(forge, copied_examples(place / "tunes"), place / "cache")
    yield served
    served.stop(signal.SIGKILL)


def copied_examples(folder: Path) -> Path:
    """A new folder with the sheets of the examples."""
    folder.mkdir()
    for tune in EXAMPLES.glob("*.txt"):
        shutil.copy(tune, folder)
    return folder


def started(forge: Forge, folder: Path, cache: Path, *options: str) -> ServedDesk:
    """A desk that listens."""
    cache.mkdir(exist_ok=True)
    served = ServedDesk(folder, cache, options, forge=forge)
    served.start()
    return served


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One Chromium for the tests of a session."""
    with sync_playwright() as playwright:
        try:
            chromium = launched(playwright)
        except Error as error:
            if os.environ.get("MIDNECK_REQUIRE_BROWSER"):
                raise
            pytest.skip(f"no browser to test the desk in: {error.message.splitlines()[0]}")
        yield chromium
        chromium.close()


@dataclass
class Watch:
    """What the pages of a test asked for and what went wrong in them."""

    foreign: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)

    def over(self, context: BrowserContext) -> None:
        """Watch every page of a context."""
        context.on("request", lambda request: self._asked(request.url))
        context.on("page", self._page)

    def _page(self, page: Page) -> None:
        page.on("websocket", lambda socket: self._asked(socket.url))
        page.on("pageerror", lambda error: self.errors.append(str(error)))

    def _asked(self, address: str) -> None:
        parts = urlsplit(address)
        if parts.scheme in ("http", "https", "ws", "wss") and parts.hostname not in LOCAL_NAMES:
            self.foreign.append(address)


@pytest.fixture
def new_page(browser: Browser) -> Iterator[Callable[..., Page]]:
    """Opens pages, each in a context of its own: `new_page(width=390, height=844)`.

    After the test no page has asked another machine for anything, and no script has failed.
    """
    watch = Watch()
    contexts: list[BrowserContext] = []

    def open_page(width: int = 1440, height: int = 900, **options: object) -> Page:
        context = browser.new_context(viewport={"width": width, "height": height}, **options)  # type: ignore[arg-type]
        watch.over(context)
        context.set_default_timeout(PATIENCE_MS)
        contexts.append(context)
        return context.new_page()

    yield open_page
    for context in contexts:
        context.close()
    assert watch.foreign == []
    assert watch.errors == []


@pytest.fixture
def page(new_page: Callable[..., Page]) -> Page:
    """A page of 1440 by 900 pixels."""
    return new_page()
