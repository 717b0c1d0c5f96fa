"""All that stands on the desk, element by element: what a screen reader and a style sheet find.

After a change of the desk that is meant run `MIDNECK_WRITE_TREES=1 pytest tests/desk/test_tree.py`
and read the difference (`git diff tests/desk/trees`).
"""

from __future__ import annotations

import asyncio
import os
from collections.abc import Awaitable, Callable, Iterator
from pathlib import Path

import pytest
from nicegui import ui
from nicegui.testing import User, UserInteraction
from support.desk_user import desk_user
from support.loops import in_thread

FOLDER = Path(__file__).parent / "trees"
FILES = {
    "small.txt": "Title: Small Steps\nBy: Oda Farrow\nKey: C\n\nA:\n| Dm7 | G7 | Cmaj7 | A7 ||\n",
    "weir.txt": "Title: Weir\nKey: F\nTempo: 90\n\n| Gm7 | C7 | F6 | % |\n",
    "wrong.txt": "Title: Wrong\n\n| Gmaj8 |\n",
}
PATIENCE = 300
#: Texts longer than this are pages and scripts, which have tests of their own.
LONG = 300


def walk(user: User) -> Iterator[ui.element]:
    """All elements that stand on the page."""
    assert user.client is not None
    return iter(list(user.client.elements.values()))


#: Classes and properties that belong to NiceGUI, not to the desk.
ITS_OWN = ("nicegui-", "_", "loopback", "error", "decoration", "keymap", "highlight-whitespace")
#: Properties with the numbers of elements and tabs, which differ from run to run.
NUMBERED = ("for", "target", "url", "id")


def tree(element: ui.element, depth: int = 0) -> Iterator[str]:
    """A line for each element: its tag, text, classes, style and properties."""
    names = [name for name in element.classes if not name.startswith(ITS_OWN)]
    props = [pair for pair in sorted(element.props.items()) if not pair[0].startswith(ITS_OWN)]
    parts = [element.tag.removeprefix("nicegui-"), *(f".{name}" for name in names)]
    parts += [name if name in NUMBERED else f"{name}={_short(value)}" for name, value in props]
    parts += [f"{name}:{value}" for name, value in sorted(element.style.items())]
    parts += [f"on {listener.type}" for listener in element._event_listeners.values()]
    text = getattr(element, "text", None)
    yield f"{'  ' * depth}{' '.join(parts)}{f' {_short(text)}' if text else ''}"
    for slot in element.slots.values():
        for child in slot.children:
            yield from tree(child, depth + 1)


def _short(value: object) -> str:
    """A value as text; only the beginning of a page or a script."""
    text = repr(value)
    return text if len(text) <= LONG else f"{text[:40]}…"


async def sees(user: User, condition: Callable[[], bool]) -> None:
    """Wait until a condition on what the user sees holds."""
    for _ in range(PATIENCE):
        if condition():
            return
        await asyncio.sleep(0.02)
    raise AssertionError("it is not seen")


def pages(user: User) -> list[ui.html]:
    """The pictures of pages."""
    return [each for each in walk(user) if isinstance(each, ui.html) and "paper" in each.classes]


def labels(user: User) -> list[str]:
    """The texts of all labels."""
    return [each.text for each in walk(user) if isinstance(each, ui.label)]


async def opened(user: User, name: str, done: Callable[[], bool]) -> None:
    """Click a row of what can be practised, and wait."""
    [row] = [each for each in walk(user) if isinstance(each, ui.button) and each.text == name]
    UserInteraction(user, {row}, None).click()
    await sees(user, done)


async def start(user: User) -> None:
    """Nothing is done but to wait for the shelf."""
    await sees(user, lambda: "1 to mend" in labels(user))


async def card(user: User) -> None:
    """A chord of the page is chosen."""
    await start(user)
    [place] = [each for each in walk(user) if "pages" in each.classes]
    UserInteraction(user, {place}, None).trigger("choose", {"chord": 1, "bar": 2})
    await sees(user, lambda: any("Use " in each.props.get("aria-label", "") for each in walk(user)))


async def mistake(user: User) -> None:
    """The text gets a mistake."""
    await start(user)
    [editor] = [each for each in walk(user) if isinstance(each, ui.codemirror)]
    editor.value = FILES["small.txt"].replace("G7", "Gmaj8")
    await sees(user, lambda: any("not part of a chord" in text for text in labels(user)))


async def drills(user: User) -> None:
    """The dialog of drills."""
    await start(user)
    before = len(pages(user))
    await opened(user, "Drills", lambda: len(pages(user)) > before)


async def lesson(user: User) -> None:
    """The dialog of lessons."""
    await start(user)
    await opened(user, "Lesson folder", lambda: any(".pdf" in text for text in labels(user)))


async def book(user: User) -> None:
    """The dialog of books."""
    await start(user)
    before = len(pages(user))
    await opened(user, "Book of all tunes", lambda: len(pages(user)) > before)


DONE: dict[str, Callable[[User], Awaitable[None]]] = {
    "start": start, "card": card, "mistake": mistake, "drills": drills, "lesson": lesson,
    "book": book,
}  # fmt: skip


@pytest.mark.parametrize("name", sorted(DONE))
def test_a_state_of_the_desk_has_the_frozen_elements(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    folder = tmp_path / "tunes"
    folder.mkdir()
    for file, text in FILES.items():
        (folder / file).write_text(text, encoding="utf-8")
    lines: list[str] = []

    async def visit() -> None:
        async with desk_user(folder) as user:
            await user.open("/?tune=small.txt")
            await sees(user, lambda: any("<svg" in page.content for page in pages(user)))
            await DONE[name](user)
            assert user.client is not None
            lines.extend(tree(user.client.layout))

    in_thread(visit())
    told = "".join(f"{line}\n" for line in lines).replace(str(tmp_path), "/tmp")
    if "MIDNECK_WRITE_TREES" in os.environ:
        (FOLDER / f"{name}.txt").write_text(told, encoding="utf-8")
    assert told.splitlines() == (FOLDER / f"{name}.txt").read_text(encoding="utf-8").splitlines()


def test_every_frozen_state_is_visited() -> None:
    assert sorted(path.stem for path in FOLDER.glob("*.txt")) == sorted(DONE)
