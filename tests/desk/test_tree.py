"""All that stands on the desk, element by element: what a screen reader and a style sheet find.

After a change of the desk that is meant run `MIDNECK_WRITE_TREES=1 pytest tests/desk/test_tree.py`
and read the difference (`git diff tests/desk/trees`).
"""

from __future__ import annotations

import os
import re
from collections.abc import Awaitable, Callable, Iterator
from pathlib import Path

import pytest
from midneck.render.desk.page_panel import Papers
from nicegui import ui
from nicegui.testing import User, UserInteraction
from support.desk_user import desk_user
from support.loops import in_thread, sees

FOLDER = Path(__file__).parent / "trees"
FILES = {
    "small.txt": "Title: Small Steps\nBy: Oda Farrow\nKey: C\n\nA:\n| Dm7 | G7 | Cmaj7 | A7 ||\n",
    "weir.txt": "Title: Weir\nKey: F\nTempo: 90\n\n| Gm7 | C7 | F6 | % |\n",
    "wrong.txt": "Title: Wrong\n\n| Gmaj8 |\n",
}
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
            # A timer that runs once is there or gone.
            if not isinstance(child, ui.timer):
                yield from tree(child, depth + 1)


def _short(value: object) -> str:
    """A value as text; only the beginning of a page or a script."""
    text = repr(value)
    return text if len(text) <= LONG else f"{text[:40]}…"


def shown(user: User) -> list[Papers]:
    """The pages of the open tune."""
    return [each for each in walk(user) if isinstance(each, Papers)]


def pages(user: User) -> list[ui.html]:
    """The pictures of pages in dialogs."""
    return [each for each in walk(user) if isinstance(each, ui.html) and "paper" in each.classes]


def labels(user: User) -> list[str]:
    """The texts of all labels."""
    return [each.text for each in walk(user) if isinstance(each, ui.label)]


async def opened(user: User, name: str, done: Callable[[], bool]) -> None:
    """Click a row of what can be practised, and wait."""
    button(user, name).click()
    await sees(done)


async def start(user: User) -> None:
    """Nothing is done but to wait for the shelf."""
    await sees(lambda: "1 to mend" in labels(user))


async def card(user: User) -> None:
    """A chord of the page is chosen."""
    await start(user)
    [place] = [each for each in walk(user) if "pages" in each.classes]
    UserInteraction(user, {place}, None).trigger("choose", {"chord": 1, "bar": 2})
    await sees(lambda: any("Use " in each.props.get("aria-label", "") for each in walk(user)))
    await sees(lambda: "Why the hand is here" in labels(user))
    ticks = [each for each in walk(user) if isinstance(each, ui.checkbox)]
    for tick in ticks:
        if tick.text == "hear when pointed at":
            tick.value = False


async def mistake(user: User) -> None:
    """The text gets a mistake."""
    await start(user)
    [editor] = [each for each in walk(user) if isinstance(each, ui.codemirror)]
    editor.value = FILES["small.txt"].replace("G7", "Gmaj8")
    await sees(lambda: any("not part of a chord" in text for text in labels(user)))


async def lesson(user: User) -> None:
    """The dialog of lessons."""
    await start(user)
    await opened(user, "Lesson folder", lambda: any(".pdf" in text for text in labels(user)))


async def book(user: User) -> None:
    """The dialog of books."""
    await start(user)
    before = len(pages(user))
    await opened(user, "Book of all tunes", lambda: len(pages(user)) > before)


def button(user: User, name: str) -> UserInteraction[ui.button]:
    """The button of a name."""
    [found] = [each for each in walk(user) if isinstance(each, ui.button) and each.text == name]
    return UserInteraction(user, {found}, None)


def fields(user: User) -> Iterator[str]:
    """The names of all fields."""
    return (each.props.get("label", "") for each in walk(user))


def field(user: User, name: str) -> ui.input:
    """The field for typing of a name."""
    [found] = [each for each in walk(user) if each.props.get("label") == name]
    assert isinstance(found, ui.input)
    return found


async def found(user: User) -> None:
    """A passage is searched for."""
    await start(user)
    field(user, "Find a tune").value = "ii-V-I in C"
    await sees(lambda: any(text.startswith("bars ") for text in labels(user)))


async def many(user: User) -> None:
    """The text gets more mistakes than are listed."""
    await start(user)
    [editor] = [each for each in walk(user) if isinstance(each, ui.codemirror)]
    editor.value = FILES["small.txt"].replace("| G7 ", "| Gmaj8 " * 22)
    await sees(lambda: any(" more" in text for text in labels(user)))


async def ticked(user: User) -> None:
    """Two tunes are ticked and bound, the open one with a text that is not saved."""
    await start(user)
    [editor] = [each for each in walk(user) if isinstance(each, ui.codemirror)]
    editor.value = FILES["small.txt"].replace("Small Steps", "Smaller Steps")
    for name in ("Small Steps", "Weir"):
        [tick] = [each for each in walk(user) if each.props.get("aria-label") == f"Tick {name}"]
        assert isinstance(tick, ui.checkbox)
        tick.value = True
    await sees(lambda: "Book of 2 tunes" in texts(user))
    button(user, "Lessons of 2 tunes").click()
    await sees(lambda: any(".pdf" in text for text in labels(user)))


async def typed(user: User) -> None:
    """A progression is typed in the dialog of drills."""
    await start(user)
    await opened(user, "Drills", lambda: "Only in C F …" in [*fields(user)])
    [choice] = [each for each in walk(user) if each.props.get("label") == "Progression"]
    assert isinstance(choice, ui.select)
    assert choice.options[choice.value].startswith("This tune")
    choice.value = next(key for key, label in choice.options.items() if label.startswith("Typed"))
    field(user, "Progression, as in ii7 V7 | I6").value = "ii7 | V7"
    field(user, "Only in C F …").value = "C F"
    await sees(lambda: any(text.startswith("ii7 | V7") for text in texts(user)))


def texts(user: User) -> list[str]:
    """The texts of all buttons."""
    return [each.text for each in walk(user) if isinstance(each, ui.button)]


DONE: dict[str, Callable[[User], Awaitable[None]]] = {
    "start": start, "card": card, "mistake": mistake, "lesson": lesson,
    "book": book, "found": found, "many": many, "ticked": ticked,
    "typed": typed,
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
            await sees(lambda: any(papers.pages for papers in shown(user)))
            await DONE[name](user)
            assert user.client is not None
            lines.extend(line.replace(user.client.id, "TAB") for line in tree(user.client.layout))

    in_thread(visit())
    told = "".join(f"{line}\n" for line in lines).replace(str(tmp_path), "/tmp")
    frozen(name, told)


def test_every_frozen_state_is_visited() -> None:
    assert sorted(path.stem for path in FOLDER.glob("*.txt")) == sorted(["answers", *DONE])


#: Addresses of the stand, the player and what they load, also of what is not there.
ADDRESSES = (
    "/stand/small.txt", "/stand/small.txt?key=Eb&player=small-hand&tempo=90", "/stand/wrong.txt",
    "/stand/gone.txt", "/stand-schedule/small.txt", "/stand-schedule/small.txt?tempo=5",
    "/stand-schedule/wrong.txt", "/stand-place/small.txt", "/stand-sound/guitar-43-10.wav",
    "/stand-sound/guitar-900-10.wav", "/sound/bass-40-9.wav", "/sound/horn-40-9.wav",
    "/schedule/nobody", "/practice/nobody/0",
    "/print/nobody/tune/small.pdf", "/static/desk.css", "/fonts/FiraGO-Bold.ttf",
    "/fonts/Other.ttf", "/nothing",
)  # fmt: skip


HEADS = ("cache-control", "content-type", "content-security-policy", "x-content-type-options")


def test_an_address_has_the_frozen_answer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    for file, text in FILES.items():
        (tmp_path / file).write_text(text, encoding="utf-8")
    lines: list[str] = []

    async def ask() -> None:
        async with desk_user(tmp_path) as user:
            for address in ADDRESSES:
                answer = await user.http_client.get(address)
                kind = answer.headers.get("content-type", "")
                lines.append(f"{address}: {answer.status_code}")
                heads = sorted(answer.headers.items())
                lines.extend(f"  {name}: {value}" for name, value in heads if name in HEADS)
                if ("text/html" in kind and answer.status_code < 404) or "json" in kind:
                    body = re.sub(r"<svg.*?</svg>", "<svg/>", answer.text, flags=re.DOTALL)
                    lines.append(body.replace("><", ">\n<").replace("}, {", "},\n{"))

    in_thread(ask())
    frozen("answers", "\n".join(lines) + "\n")


def frozen(name: str, told: str) -> None:
    """What is told is what stands in a file."""
    path = FOLDER / f"{name}.txt"
    if "MIDNECK_WRITE_TREES" in os.environ:
        path.write_text(told, encoding="utf-8")
    assert told.splitlines() == path.read_text(encoding="utf-8").splitlines()
