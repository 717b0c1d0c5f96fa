"""Choices, the card of a chord and what is taken away, step by step, without a browser."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from typing import Any

import midneck
import pytest
from nicegui import ui
from support.desk_visit import Visit, visit

TUNE = "Title: Small Steps\nKey: C\nTempo: 120\n\nA:\n| Dm7 | G7 | Cmaj7 | N.C. ||\n"
#: What the browser tells of a key.
KEY = {
    "action": "keydown", "altKey": False, "ctrlKey": False, "shiftKey": False, "metaKey": False,
    "repeat": False, "location": 0,
}  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Two tunes."""
    tunes = tmp_path / "tunes"
    tunes.mkdir()
    (tunes / "small.txt").write_text(TUNE, encoding="utf-8")
    (tunes / "weir.txt").write_text(TUNE.replace("Small Steps", "Weir"), encoding="utf-8")
    return tunes


async def begun(it: Visit) -> None:
    """The desk as it is opened, with nothing sent."""
    await it.sees(lambda: "C · 4" in it.labels("facts"))
    it.scripts.clear()


#: Choices one after the other: the element, its name, the value, and the query that stands then in
#: the address and in the link to the stand.
CHOSEN: tuple[tuple[type[Any], str, object, str], ...] = (
    (ui.select, "for", "small-hand", "player=small-hand"),
    (ui.select, "hand", "left", "player=small-hand&hand=left"),
    (ui.select, "for", "adult", "hand=left"),
    (ui.select, "voicings", "colour", "hand=left&style=colour"),
    (ui.select, "instrument", "Eb", "hand=left&style=colour&instrument=Eb"),
    (ui.select, "instrument", "", "hand=left&style=colour"),
    (ui.input, "key", " Eb major ", "hand=left&style=colour&key=Eb"),
    (ui.input, "key", "", "hand=left&style=colour"),
    (ui.select, "grids", "new", "hand=left&style=colour&grids=new"),
    (ui.checkbox, "large print", True, "hand=left&style=colour&large=1&grids=new"),
    (ui.checkbox, "large print", False, "hand=left&style=colour&grids=new"),
    (
        ui.checkbox, "second page", True,
        "hand=left&style=colour&grids=new&second_page=1",
    ),
)  # fmt: skip


def test_each_choice_stands_in_the_address_and_in_the_link_to_the_stand(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def do(it: Visit) -> None:
        await begun(it)
        stand = it.named(ui.link, "Stand view")
        assert stand.props["href"] == "/stand/small.txt"
        for kind, name, value, query in CHOSEN:
            it.named(kind, name).value = value
            address = f"history.replaceState(history.state, '', \"/?tune=small.txt&{query}\")"
            await it.sees(lambda address=address: it.called().count(address) == 1)
            await it.sees(lambda: any(each.startswith("player.changed") for each in it.called()))
            assert stand.props["href"] == f"/stand/small.txt?{query}"
            it.scripts.clear()

    visit(folder, monkeypatch, do)


def test_a_key_that_is_none_is_told_at_its_field(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def do(it: Visit) -> None:
        await begun(it)
        key = it.named(ui.input, "key")
        key.value = "q"
        await it.sees(lambda: key.props.get("error-message") == "as in Eb or F#m")
        assert key.props["error"] is True
        key.value = "G"
        await it.sees(lambda: "error" not in key.props and "error-message" not in key.props)
        await it.sees(lambda: "player.changed(false)" in it.called())

    visit(folder, monkeypatch, do)


def test_the_open_tune_is_taken_away_in_each_format(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def do(it: Visit) -> None:
        await begun(it)
        for item in it.each(ui.menu_item):
            it.event("click", None, item)
        kinds = ("pdf", "png", "musicxml", "mid", "wav", "txt")
        await it.sees(lambda: len(it.taken) == len(kinds))
        chart = midneck.chart(TUNE, player="small-hand")
        wanted = [
            chart.files(kind, **({"large": True} if kind in kinds[:2] else {})) for kind in kinds
        ]
        named = [*(f"small_small-hand.{kind}" for kind in kinds[:-1]), "small_small-hand_chart.txt"]
        assert [name for name, _ in it.taken] == named
        assert [data for _, data in it.taken] == [files[0][1] for files in wanted]
        it.taken.clear()
        (folder / "small.txt").write_text("| H |\n", encoding="utf-8")
        [editor] = it.each(ui.codemirror)
        editor.value = "| H |\n"
        await it.sees(lambda: "stale" in it.each(ui.element, "pages")[0].classes)
        it.event("click", None, it.each(ui.menu_item)[0])
        await it.hears("the text has mistakes: mend them first")
        assert it.taken == []

    visit(folder, monkeypatch, do, "tune=small.txt&player=small-hand&large=1")


def test_a_drill_is_taken_away_as_the_command_line_names_it(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def do(it: Visit) -> None:
        await begun(it)
        it.press("Drills")
        await it.sees(lambda: bool(it.each(ui.button, "hear")))
        assert it.called() == ["practice.stop()"]
        first = [each.text for each in it.each(ui.button, "hear")]
        assert first[-1] == "Hard changes"
        it.named(ui.select, "Progression").value = "ii-V-I"
        it.named(ui.input, "Only in C F …").value = "C F"
        for name, value in (("Rhythm", "charleston"), ("First root on", "5")):
            it.named(ui.select, name).value = value
        it.named(ui.number, "Tempo").value = 90
        await it.sees(lambda: [each.text for each in it.each(ui.button, "hear")] != first)
        it.press("PDF")
        await it.sees(lambda: len(it.taken) == 1)
        same = midneck.drill(
            "ii-V-I", hand="left", keys="C F", rhythm="charleston", strings="5", tempo=90
        )
        assert it.taken[0][0] == "ii-V-I_left_keys-C-F_string-5.pdf"
        assert it.taken[0][1] == same.files("pdf")[0][1]

    visit(folder, monkeypatch, do, "tune=small.txt&hand=left")


def test_a_lesson_and_a_book_are_taken_away_under_their_names(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def do(it: Visit) -> None:
        await begun(it)
        it.press("Lesson folder")
        name = it.named(ui.input, "Name of the file")
        assert name.value == "small-lesson"
        name.value = " My  lesson/for Ann "
        it.named(ui.checkbox, "with sound and MIDI to play along").value = False
        it.press("Take away the zip")
        await it.sees(lambda: len(it.taken) == 1)
        assert it.taken[0][0] == "My-lesson-for-Ann.zip"
        with zipfile.ZipFile(io.BytesIO(it.taken[0][1])) as file:
            assert [each.rpartition("/")[2] for each in file.namelist()] == [
                "1 Small Steps, chart.pdf", "2 Small Steps, drills.pdf",
            ]  # fmt: skip
        [dialog] = it.each(ui.dialog)
        it.event("hide", None, dialog)
        await it.sees(lambda: not it.each(ui.dialog))
        it.press("Book of all tunes")
        for label, text in (("Title", "My book: 1"), ("Made by", "Ann")):
            it.named(ui.input, label).value = text
        it.named(ui.select, "Order").value = "key"
        it.named(ui.checkbox, "indexes of keys, areas, grips").value = False
        await it.sees(lambda: len(it.each(ui.html, "paper")) > 1)
        await it.sees(lambda: it.labels("practice-said") == [""])
        it.press("Take away the PDF")
        await it.sees(lambda: len(it.taken) == 2)
        charts = [
            midneck.chart((folder / each).read_text("utf-8")) for each in ("small.txt", "weir.txt")
        ]
        same = midneck.book(charts, title="My book: 1", by="Ann", order="key", indexes=False)
        assert it.taken[1] == ("My_book_1.pdf", same.files("pdf", binding="book")[0][1])

    visit(folder, monkeypatch, do)


def test_a_grip_is_used_let_go_and_the_card_is_closed(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def do(it: Visit) -> None:
        await begun(it)
        [page] = it.each(ui.element, "pages")
        [card] = it.each(ui.element, "card")
        assert not card.visible
        it.event("choose", {"chord": 1, "bar": 2}, page)
        await it.sees(lambda: "Why the hand is here" in it.labels())
        assert card.visible
        assert "the least for the whole tune" in it.labels("quiet")
        assert "grips.shown()" in it.called()
        [first, *_] = [
            str(each.props["aria-label"])
            for each in it.each(ui.button)
            if str(each.props.get("aria-label")).startswith("Use ")
        ]
        pin = TUNE.replace("G7", f"G7<{first.removeprefix('Use ')}>")
        for button, text, said in (
            (first, pin, "fixed by you"),
            ("Let go: plan it again", TUNE, "the least for the whole tune"),
        ):
            it.scripts.clear()
            it.press(button)
            written = f"editor.rewrite({text!r})".replace("'", '"')
            await it.sees(lambda written=written: written in it.called())
            await it.sees(lambda said=said: said in it.labels("quiet"))
        hears = it.named(ui.checkbox, "hear when pointed at")
        for on in (False, True):
            hears.value = on
            assert ("hears" in card.classes) is on
        [keyboard] = it.each(ui.keyboard)
        await it.sees(lambda: "player.changed(false)" in it.called())
        it.scripts.clear()
        for action, key in (("keyup", "Escape"), ("keydown", "Enter")):
            it.event("key", KEY | {"action": action, "key": key, "code": key}, keyboard)
        assert card.visible
        it.event("key", KEY | {"key": "Escape", "code": "Escape"}, keyboard)
        await it.sees(lambda: "grips.closed(1)" in it.called())
        assert not card.visible
        it.event("choose", {"chord": 3, "bar": 4}, page)
        await it.sees(lambda: "Silence: the hand rests." in it.labels())
        it.scripts.clear()
        it.press("Close")
        await it.sees(lambda: "grips.closed(3)" in it.called())

    visit(folder, monkeypatch, do)
