"""The browser of the tests and benchmarks: Chromium of the system, else Playwright's own."""

from __future__ import annotations

import shutil

from playwright.sync_api import Browser, Playwright

#: Where distributions put a Chromium; Playwright's own is tried after them.
NAMES = ("chromium", "chromium-browser", "google-chrome")


def launched(playwright: Playwright) -> Browser:
    """A Chromium that may play sound without a gesture. Raises Error where there is none."""
    return playwright.chromium.launch(
        executable_path=next(filter(None, map(shutil.which, NAMES)), None),
        args=["--no-sandbox", "--autoplay-policy=no-user-gesture-required"],
    )
