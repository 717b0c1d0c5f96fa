"""A visit to the desk without a browser: what is done there, and all that the desk sends back."""

from __future__ import annotations

import re
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any, TypeVar

import pytest
from nicegui import ui
from nicegui.client import Client
from nicegui.testing import User, UserInteraction
from nicegui.testing.user_download import UserDownload

from .desk_user import desk_user
from .loops import came_true, in_thread, sees

Element = TypeVar("Element", bound=ui.element)
#: Scripts longer than this are shown by their beginning and their end.
LONG = 150


class Visit:
    """What a user does at the desk, and the `scripts` and files (`taken`) that its tab is sent."""

    def __init__(
        self, user: User, scripts: list[str], taken: list[tuple[str, bytes]]
    ) -> None:  # fmt: skip
        self.user = user
        self.scripts = scripts
        self.taken = taken
        self.heard = 0

    def each(self, kind: type[Element], part: str = "") -> list[Element]:
        """The elements of a kind that stand there, those of a class where one is named."""
        assert self.user.client is not None
        found = [each for each in self.user.client.elements.values() if isinstance(each, kind)]
        return [each for each in found if not part or part in each.classes]

    def named(self, kind: type[Element], name: str) -> Element:
        """The only element of a kind whose text, label or aria-label is a name."""
        found = [each for each in self.each(kind) if name in _names(each)]
        assert len(found) == 1, f"{len(found)} are named {name!r}"
        return found[0]

    def press(self, name: str) -> None:
        """Click the button of a name."""
        UserInteraction(self.user, {self.named(ui.button, name)}, None).click()

    def event(self, name: str, told: object, element: ui.element | None = None) -> None:
        """Let the browser tell something, of an element or of the whole tab."""
        assert self.user.client is not None
        UserInteraction(self.user, {element or self.user.client.layout}, None).trigger(name, told)

    def labels(self, part: str = "") -> list[str]:
        """The texts of all labels, of those of a class where one is named."""
        return [each.text for each in self.each(ui.label, part)]

    def sent(self) -> list[str]:
        """The scripts that have not been forgotten, sorted, without numbers that differ."""
        return sorted(_plain(script) for script in self.scripts)

    def called(self) -> list[str]:
        """The scripts but for the marks of the text's words."""
        return [each for each in self.sent() if not each.startswith("editor.mark(")]

    def told(self) -> list[str]:
        """The notifications since the last that were looked at."""
        return self.user.notify.messages[self.heard :]

    async def sees(self, condition: Callable[[], bool]) -> None:
        """Wait until something is seen."""
        await sees(condition)

    async def gets(self, *expected: str) -> None:
        """Wait for these scripts, in any order, and no others; then forget them."""
        await came_true(lambda: self.sent() == sorted(expected))
        assert self.sent() == sorted(expected)
        self.scripts.clear()

    async def hears(self, *expected: str) -> None:
        """Wait for these notifications and no others."""
        await came_true(lambda: self.told() == [*expected])
        assert self.told() == [*expected]
        self.heard += len(expected)


def visit(
    folder: Path, monkeypatch: pytest.MonkeyPatch, do: Callable[[Visit], Awaitable[None]],
    query: str = "tune=small.txt",
) -> None:  # fmt: skip
    """Open the desk of a folder, wait for its first page, and do something there."""
    # The player waits less for the end of typing.
    monkeypatch.setattr("midneck.render.desk.player_panel.SILENT_PAUSE_S", 0.02)
    monkeypatch.setenv("XDG_CACHE_HOME", str(folder.parent / "cache"))

    async def there() -> None:
        async with _visited(folder, monkeypatch, query) as found:
            await do(found)

    in_thread(there())


@asynccontextmanager
async def _visited(
    folder: Path, monkeypatch: pytest.MonkeyPatch, query: str
) -> AsyncIterator[Visit]:
    run = Client.run_javascript
    scripts: list[str] = []
    taken: list[tuple[str, bytes]] = []

    def recorded(self: Client, code: str, **options: Any) -> Any:
        # The shelf asks for this each time that it looks at the folder.
        if "q-uploader" not in code and "runMethod" not in code:
            scripts.append(code)
        return run(self, code, **options)

    def downloaded(self: UserDownload, content: bytes, filename: str) -> None:
        taken.append((filename, content))

    monkeypatch.setattr(Client, "run_javascript", recorded)
    monkeypatch.setattr(UserDownload, "content", downloaded)
    async with desk_user(folder) as user:
        await user.open(f"/?{query}")
        found = Visit(user, scripts, taken)
        await found.sees(lambda: any("attach('.player'" in script for script in scripts))
        yield found


def _names(element: ui.element) -> set[str]:
    given = (element.props.get(name) for name in ("label", "aria-label"))
    return {str(name) for name in (getattr(element, "text", None), *given) if name}


def _plain(script: str) -> str:
    """A script without its import and the names of elements and tabs, and without a page in it."""
    call = re.sub(
        r"^import\('/static/(\w+)\.js'\)\.then\(\(\w+\) => \w+\.(.*)\)$", r"\1.\2", script
    )
    call = re.sub(r"^(editor\.\w+\()\d+(, )?", r"\1", call)
    call = re.sub(r"^page\.show\(.*\)$", "page.show()", call)
    call = re.sub(r'^page\.mark\(\.\.\.\["c\d+", (\w+)\]\)$', r"page.mark(\1)", call)
    call = re.sub(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", "TAB", call)
    return call if len(call) <= LONG else f"{call[:60]} … {call[-60:]}"
