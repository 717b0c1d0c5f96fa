"""The logic of the desk's panels, without a browser: NiceGUI's simulated user types and clicks."""

from __future__ import annotations

import gc
from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest
from midneck.converter.chart import CompingChart
from midneck.render.desk.drafts import drafts_of
from midneck.render.desk.page_panel import Papers
from midneck.render.desk.text_panel import LISTED
from midneck.render.desk.work import work_out
from nicegui import app, ui
from nicegui.testing import User, UserInteraction
from support.desk_user import desk_user
from support.loops import in_thread, sees

TUNE = "Title: Small Steps\nKey: C\nTempo: 120\n\nA:\n| Dm7 | G7 | Cmaj7 | % ||\n"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with one tune that reads well and one that does not."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    tunes = tmp_path / "tunes"
    tunes.mkdir()
    (tunes / "small.txt").write_text(TUNE, encoding="utf-8")
    (tunes / "wrong.txt").write_text("Title: Wrong\n\n| Gmaj8 |\n", encoding="utf-8")
    return tunes


def at_the_desk(folder: Path, do: Callable[[User], Awaitable[None]], query: str = "") -> None:
    """Open the desk and do something at it."""

    async def visit() -> None:
        async with desk_user(folder) as user:
            await user.open(f"/?tune=small.txt{query}")
            await sees(lambda: "<svg" in page_text(user))
            await do(user)

    in_thread(visit())


def elements(user: User, kind: type[ui.element], part: str = "") -> list[ui.element]:
    """The elements of a kind that stand on the page, those of a class where one is named."""
    assert user.client is not None
    found = [each for each in user.client.elements.values() if isinstance(each, kind)]
    return [each for each in found if not part or part in each.classes]


def page_text(user: User) -> str:
    """The pictures of all pages."""
    [papers] = elements(user, Papers)
    assert isinstance(papers, Papers)
    return "".join(papers.pages)


def editor(user: User) -> ui.codemirror:
    """The editor of the open tune."""
    found = elements(user, ui.codemirror)[-1]
    assert isinstance(found, ui.codemirror)
    return found


def labels(user: User) -> list[str]:
    """The texts of all labels."""
    return [each.text for each in elements(user, ui.label) if isinstance(each, ui.label)]


def test_typing_draws_the_page_and_saving_writes_the_file(folder: Path) -> None:
    async def do(user: User) -> None:
        assert "not saved" not in labels(user)
        editor(user).value = TUNE.replace("Small Steps", "Smaller Steps")
        await sees(lambda: "Smaller Steps" in page_text(user))
        assert "not saved" in labels(user)
        assert (folder / "small.txt").read_text(encoding="utf-8") == TUNE
        user.find("Save").click()
        await sees(lambda: "saved" in labels(user))
        assert "Smaller Steps" in (folder / "small.txt").read_text(encoding="utf-8")

    at_the_desk(folder, do)


def test_a_mistake_is_listed_and_a_click_mends_it(folder: Path) -> None:
    async def do(user: User) -> None:
        before = page_text(user)
        editor(user).value = TUNE.replace("G7", "Gmaj8")
        await sees(lambda: any("not part of a chord" in text for text in labels(user)))
        assert page_text(user) == before
        user.find("Gmaj9").click()
        await sees(lambda: "G major nine" in page_text(user))

    at_the_desk(folder, do)


def test_as_many_mistakes_as_are_listed_leave_none_to_count(folder: Path) -> None:
    async def do(user: User) -> None:
        editor(user).value = TUNE.replace("| G7 ", "| Gmaj8 " * LISTED)
        await sees(lambda: sum("not part of a chord" in text for text in labels(user)) == LISTED)
        assert not [text for text in labels(user) if text.endswith(" more")]

    at_the_desk(folder, do)


def test_choices_change_the_page(folder: Path) -> None:
    async def do(user: User) -> None:
        assert "E flat major" in page_text(user)
        before = page_text(user)
        user.find(kind=ui.checkbox, content="large print").click()
        await sees(lambda: page_text(user) != before)

    at_the_desk(folder, do, "&key=Eb")


@pytest.mark.parametrize(
    ("label", "value", "seen"),
    [("instrument", "Bb", "D major"), ("symbols", "signs", "△"), ("paper", "letter", "612")],
)
def test_each_choice_has_its_own_effect(folder: Path, label: str, value: str, seen: str) -> None:
    async def do(user: User) -> None:
        assert seen not in page_text(user)
        [select] = [each for each in elements(user, ui.select) if each.props["label"] == label]
        assert isinstance(select, ui.select)
        select.value = value
        await sees(lambda: seen in page_text(user))

    at_the_desk(folder, do)


def test_tunes_are_found_marked_opened_and_begun(folder: Path) -> None:
    async def do(user: User) -> None:
        await sees(lambda: "1 to mend" in labels(user))
        rows = elements(user, ui.button, "tune")
        (wrong,) = [
            row
            for row in rows
            if "Wrong" in [label.text for label in row.descendants() if isinstance(label, ui.label)]
        ]
        UserInteraction(user, {wrong}, None).click()
        await sees(lambda: "wrong.txt" in labels(user))
        user.find("Find a tune").type("small")
        await sees(lambda: "Wrong" not in labels(user))
        user.find("New").click()
        await sees(lambda: "new_tune.txt" in labels(user))
        assert (folder / "new_tune.txt").exists()

    at_the_desk(folder, do)


def test_a_tune_gets_the_name_that_is_typed_with_or_without_its_ending(folder: Path) -> None:
    async def do(user: User) -> None:
        for typed, name in ((" smaller ", "smaller.txt"), ("least.txt", "least.txt")):
            user.find("Rename").click()
            await sees(lambda: any("New name" in each for each in fields(user)))
            user.find("New name").elements.pop().value = typed
            user.find("Give this name").click()
            await sees(lambda name=name: name in labels(user))
        assert sorted(path.name for path in folder.glob("*.txt")) == ["least.txt", "wrong.txt"]

    at_the_desk(folder, do)


def test_a_visit_that_fails_stops_the_desk_before_it_says_so(folder: Path) -> None:
    """What the desk leaves running is waited for, so that a failure would show only much later."""
    stopped: list[bool] = []

    async def do(_: User) -> None:
        app.on_shutdown(lambda: stopped.append(True))
        raise ValueError("this is wrong")

    with pytest.raises(ValueError, match="this is wrong"):
        at_the_desk(folder, do)
    assert stopped == [True]


def fields(user: User) -> list[str]:
    """The names of all fields."""
    return [each.props.get("label", "") for each in elements(user, ui.input)]


def test_a_grip_of_a_chords_card_is_written_into_the_text(folder: Path) -> None:
    async def do(user: User) -> None:
        UserInteraction(user, set(elements(user, ui.element, "pages")), None).trigger(
            "choose", {"chord": 1, "bar": 2}
        )
        await sees(lambda: bool(uses(user)))
        UserInteraction(user, {uses(user)[0]}, None).click()
        frets = uses(user)[0].props["aria-label"].removeprefix("Use ")
        await sees(lambda: f"G7<{frets}>" in str(drafts_of(folder).all()))
        await sees(lambda: f"frets {frets}" in page_text(user))

    at_the_desk(folder, do)


def uses(user: User) -> list[ui.element]:
    """The buttons that choose a grip."""
    buttons = elements(user, ui.button)
    return [each for each in buttons if each.props.get("aria-label", "").startswith("Use ")]


def charts() -> int:
    """How many charts are held by anything but the last results."""
    work_out.cache_clear()
    gc.collect()
    return sum(isinstance(each, CompingChart) for each in gc.get_objects())


def test_a_closed_tab_holds_no_chart(folder: Path) -> None:
    async def do(user: User) -> None:
        with_tab = charts()
        assert user.client is not None
        user.client.delete()
        user.client = None
        assert charts() < with_tab
        assert charts() == before

    before = charts()
    at_the_desk(folder, do)
