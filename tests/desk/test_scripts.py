"""What the desk sends to the browser at each step of a visit: scripts, notifications, names.

The scripts of the browser itself are tried in `test_browser_*.py`; here stands which of them are
called when, with what, and that nothing else is.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from nicegui import ui
from nicegui.elements.upload_files import SmallFileUpload
from nicegui.events import UploadEventArguments, handle_event
from nicegui.testing import UserInteraction
from support.desk_visit import Visit, visit

TUNE = "Title: Small Steps\nKey: C\nTempo: 120\n\nA:\n| Dm7 | G7 | Cmaj7 | N.C. ||\n"
WEIR = "Title: Weir\nKey: C\n\n| Dm7 | G7 | C6 | % | Dm7 | G7 | Cmaj7 | % |\n"
ATTACHED = (
    'editor.attach("Text of the tune", {"headers": ["Title: ", "B … '
    'D.S. al Coda", "Segno", "To Coda", "Coda", "Fine", "N.C."]})'
)
THERE = "Your text is still here."


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Two tunes that read well and one that does not."""
    tunes = tmp_path / "tunes"
    tunes.mkdir()
    (tunes / "small.txt").write_text(TUNE, encoding="utf-8")
    (tunes / "weir.txt").write_text(WEIR, encoding="utf-8")
    (tunes / "wrong.txt").write_text("Title: Wrong\n\n| Gmaj8 |\n", encoding="utf-8")
    return tunes


async def begun(it: Visit) -> None:
    """The desk as it is opened, with nothing sent."""
    await it.sees(lambda: len(rows(it)) == 3)
    it.scripts.clear()


def rows(it: Visit) -> list[str]:
    """The rows of the shelf, the open one with a star."""
    found = [each for each in it.each(ui.button, "tune") if not each.text]
    return [
        " ".join(part.text for part in each.descendants() if isinstance(part, ui.label))
        + (" *" if "open" in each.classes and "aria-current" in each.props else "")
        for each in found
    ]


def choose_row(it: Visit, title: str) -> None:
    """Click a row of the shelf."""
    [row] = [
        each
        for each in it.each(ui.button, "tune")
        if title in [part.text for part in each.descendants() if isinstance(part, ui.label)]
    ]
    UserInteraction(it.user, {row}, None).click()


def test_what_is_sent_when_a_tune_is_opened(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async def do(it: Visit) -> None:
        marks = [each for each in it.sent() if each.startswith("editor.mark(")]
        assert len(marks) == 2
        await it.gets(
            ATTACHED, *marks, 'fold.close(".shelf")', "page.show()", "page.mark(1)",
            "history.replaceState(history.state, '', \"/?tune=small.txt&large=1\")",
            "player.attach('.player', "
            '{"schedule": "/schedule/TAB", "sounds": "/sound", "tools": true})',
        )  # fmt: skip
        await it.sees(lambda: len(rows(it)) == 3)
        for title, name, marks in (
            ("Weir", "weir.txt", []),
            ("Wrong", "wrong.txt", ["page.mark(null)"]),
            ("Small Steps", "small.txt", ["page.mark(1)"]),
        ):
            choose_row(it, title)
            opened = (
                f"history.replaceState(history.state, '', \"/?tune={name}&large=1\")",
                ATTACHED, 'fold.close(".shelf")', "page.show()", "player.changed(true)", *marks,
            )  # fmt: skip
            await it.sees(lambda opened=opened: it.called() == sorted(opened))
            it.scripts.clear()

    visit(folder, monkeypatch, do, "tune=small.txt&large=1")


#: Clicks on the page: what the browser tells, the column the cursor goes to, the bar it is in, and
#: whether the card of a chord is opened.
CLICKS = (
    ({"chord": 1, "bar": 2}, 9, 2, True),
    ({"bar": 3}, 14, 3, False),
    ({"share": 0.99}, 22, 4, False),
    ({"share": 0}, 3, 1, False),
    ({"chord": 3}, 22, 4, True),
    ({"chord": 4, "bar": 1}, 3, 1, False),
    ({"chord": 0}, 3, 1, True),
    ({"chord": -1}, None, 0, False),
    ({"chord": "1"}, None, 0, False),
    ({"bar": 99}, None, 0, False),
    ({}, None, 0, False),
)


def test_a_click_on_the_page_moves_the_cursor_and_opens_the_card(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def do(it: Visit) -> None:
        await begun(it)
        [page] = it.each(ui.element, "pages")
        marked = 1
        for told, column, bar, card in CLICKS:
            it.event("choose", told, page)
            moved = [f"editor.goTo(6, {column}, false)"] if column else []
            moved += [f"page.mark({bar})"] if column and bar != marked else []
            marked = bar if column else marked
            await it.gets(*moved, *(("grips.shown()",) if card else ()))
        for line, column, marks in (
            (6, 16, ["page.mark(3)"]), (6, 17, []), (6, 8, ["page.mark(2)"]),
            (1, 1, ["page.mark(1)"]),
        ):  # fmt: skip
            it.event("desk_cursor", {"line": line, "column": column})
            await it.gets(*marks)

    visit(folder, monkeypatch, do)


def test_the_view_of_the_page_by_keys_and_buttons(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Sizes end at 50 and 220 per cent; any other key than + and − gives 100."""

    async def do(it: Visit) -> None:
        [page] = it.each(ui.element, "pages")

        def view() -> tuple[str, str, bool, str]:
            [size] = [text for text in it.labels() if text.endswith(" %")]
            pressed = str(it.named(ui.button, "Two pages").props["aria-pressed"])
            return size, str(page.style["--zoom"]), "two" in page.classes, pressed

        seen = []
        for key in "++++-20-----+":
            it.event("view", key, page)
            seen.append(view())
        one, two = (False, "false"), (True, "true")
        assert seen == [
            ("130 %", "1.3", *one), ("170 %", "1.7", *one), ("220 %", "2.2", *one),
            ("220 %", "2.2", *one), ("170 %", "1.7", *one), ("170 %", "1.7", *two),
            ("100 %", "1.0", *two), ("80 %", "0.8", *two), ("60 %", "0.6", *two),
            ("50 %", "0.5", *two), ("50 %", "0.5", *two), ("50 %", "0.5", *two),
            ("60 %", "0.6", *two),
        ]  # fmt: skip
        for name, expected in (
            ("Smaller page", ("50 %", "0.5", *two)),
            ("Larger page", ("60 %", "0.6", *two)),
            ("Two pages", ("60 %", "0.6", *one)),
        ):
            it.press(name)
            assert view() == expected

    visit(folder, monkeypatch, do)


def test_typing_mending_and_saving(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async def do(it: Visit) -> None:
        await begun(it)
        save = it.named(ui.button, "Save")
        [editor] = it.each(ui.codemirror)
        assert (it.labels()[5:7], save.enabled) == (["small.txt", "saved"], False)
        editor.value = TUNE.replace("G7", "Gmaj8")
        await it.sees(lambda: any("not part of a chord" in text for text in it.labels()))
        assert it.called() == []
        assert (it.labels()[5:7], save.enabled) == (["small.txt", "not saved"], True)
        assert "The page shows the tune as it last read well." in it.labels("quiet")
        assert "stale" in it.each(ui.element, "pages")[0].classes
        it.scripts.clear()
        it.press("Line 6")
        await it.gets("editor.goTo(6, 12, true)")
        it.press("Change it to Gmaj9")
        better = TUNE.replace("G7", "Gmaj9")
        written = f"editor.rewrite({better!r})".replace("'", '"')
        sent = sorted([written, "page.show()", "player.changed(false)"])
        await it.sees(lambda: it.called() == sent)
        assert "stale" not in it.each(ui.element, "pages")[0].classes
        it.press("Save")
        await it.sees(lambda: it.labels()[6] == "saved")
        assert not save.enabled
        assert (folder / "small.txt").read_text(encoding="utf-8") == better
        assert it.told() == []

    visit(folder, monkeypatch, do)


def test_a_conflict_is_told_and_ended_either_way(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = folder / "small.txt"

    async def do(it: Visit) -> None:
        await begun(it)
        [editor] = it.each(ui.codemirror)

        def alert() -> list[str]:
            [place] = it.each(ui.element, "conflict")
            return [str(part.text) for part in place.descendants() if hasattr(part, "text")]

        assert alert() == []
        editor.value = TUNE.replace("G7", "G9")
        await it.sees(lambda: "not saved" in it.labels())
        file.write_text("| F |\n", encoding="utf-8")
        it.press("Save")
        await it.hears("Not saved: small.txt has changed since you opened it")
        beside = "Save mine under a name of its own"
        assert alert() == [
            f"small.txt has changed in the folder. {THERE}", "| F |\n",
            "Take the one in the folder", beside,
        ]  # fmt: skip
        assert "changed in the folder" in it.labels()
        it.press("Take the one in the folder")
        await it.sees(lambda: "saved" in it.labels())
        assert alert() == []
        assert 'editor.rewrite("| F |\\n")' in it.sent()
        editor.value = TUNE.replace("G7", "G13")
        await it.sees(lambda: "not saved" in it.labels())
        file.unlink()
        it.press("Save")
        await it.hears("Not saved: small.txt is gone since you opened it")
        assert alert() == [f"small.txt is gone from the folder. {THERE}", beside]
        it.press(beside)
        await it.hears("Saved as small.txt")
        assert alert() == []
        assert file.read_text(encoding="utf-8") == TUNE.replace("G7", "G13")

    visit(folder, monkeypatch, do)


def test_tunes_are_found_begun_copied_and_named(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def do(it: Visit) -> None:
        small, weir, wrong = "Small Steps C · 4", "Weir C · 8", "Wrong 1 to mend"
        await it.sees(lambda: rows(it) == [f"{small} *", weir, wrong])
        query = it.named(ui.input, "Find a tune")
        for text, found, said in (
            ("WEIR", [weir], ""),
            ("nothing", [], "No tune is found."),
            ("ii-V-I in C", ["Small Steps bars 1–3 *", "Weir bars 1–3 +1"], ""),
            ("", [f"{small} *", weir, wrong], ""),
        ):
            query.value = text
            await it.sees(lambda found=found: rows(it) == found)
            await it.sees(lambda said=said: it.labels("quiet")[0] == said)
        for button, name, top in (
            ("New", "new_tune.txt", ["New tune C · 4 *"]),
            ("Copy", "new_tune-2.txt", ["New tune C · 4 *", "New tune C · 4"]),
        ):
            it.press(button)
            await it.sees(lambda top=top: rows(it) == [*top, small, weir, wrong])
            assert name in it.labels()
        asked = "New name"
        for typed, told in (
            ("weir", "there is a weir.txt already: choose another name"),
            ("a/b", "'a/b.txt' is no name of a tune: letters, digits, blanks, then .txt"),
        ):
            it.press("Rename")
            assert it.named(ui.input, asked).value == "new_tune-2"
            it.named(ui.input, asked).value = typed
            it.press("Give this name")
            await it.hears(told)
        it.press("Rename")
        it.event("keydown.escape", None, it.named(ui.input, asked))
        it.press("Rename")
        it.press("Leave it")
        it.press("Rename")
        it.named(ui.input, asked).value = " My Tune.txt "
        it.event("keydown.enter", None, it.named(ui.input, asked))
        await it.sees(lambda: "My Tune.txt" in it.labels())
        assert asked not in [each.props.get("label") for each in it.each(ui.input)]
        assert sorted(path.name for path in folder.iterdir()) == [
            "My Tune.txt", "new_tune.txt", "small.txt", "weir.txt", "wrong.txt",
        ]  # fmt: skip

    visit(folder, monkeypatch, do)


#: Files that are dropped on the shelf: name, content, what becomes of it (a name and its text), and
#: what is told.
DROPPED = (
    ("more.txt", b"\xef\xbb\xbfTitle: More\r\n| C |\r", ("more.txt", "Title: More\n| C |\n"), ""),
    ("bad.txt", b"| H |\r\n", ("bad.txt", "| H |\n"), ""),
    ("more.txt", b"| F |\n", ("more-2.txt", "| F |\n"), ""),
    (
        "s.abc", b'X:1\nT:From ABC\nM:4/4\nL:1/4\nK:C\n"C"C4|\n',
        ("s.txt", "Title: From ABC\nKey: C\nTime: 4/4\n\n| C |\n"), "",
    ),
    (
        "old.txt", "Title: Café\r\n| C |\n".encode("cp1252"),
        ("old.txt", "Title: Café\n| C |\n"), "",
    ),
    ("wide.txt", "\ufeff| C |\n".encode("utf-16-le"), ("wide.txt", "| C |\n"), ""),
    ("x.pdf", b"%PDF\n", None, "x.pdf is not imported. x.pdf: this is a PDF file, not a sheet"),
)  # fmt: skip


def test_files_are_imported_or_refused_in_words(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def do(it: Visit) -> None:
        await begun(it)
        [upload] = it.each(ui.upload)
        assert it.user.client is not None
        for name, data, made, told in DROPPED:
            file = SmallFileUpload(name, "text/plain", data)
            given = UploadEventArguments(sender=upload, client=it.user.client, file=file)
            for handler in upload._upload_handlers:
                handle_event(handler, given)
            if made is None:
                await it.sees(lambda told=told: it.told() and it.told()[-1].startswith(told))
                continue
            await it.sees(lambda made=made: made[0] in it.labels())
            assert (folder / made[0]).read_text(encoding="utf-8") == made[1]
        it.heard = len(it.user.notify.messages)
        it.event("rejected", None, upload)
        await it.hears("Not imported: a file may have at most 4 MB.")

    visit(folder, monkeypatch, do)


def test_a_folder_that_is_gone_is_told_on_the_shelf(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("midneck.render.desk.shelf_panel.LOOK_S", 0.1)

    async def do(it: Visit) -> None:
        await begun(it)
        it.named(ui.checkbox, "Tick Weir").value = True
        book = it.named(ui.button, "Book of 1 tune")
        (folder / "weir.txt").unlink()
        await it.sees(lambda: book.text == "Book of all tunes")
        await it.sees(lambda: rows(it) == ["Small Steps C · 4 *", "Wrong 1 to mend"])
        for path in folder.iterdir():
            path.unlink()
        folder.rmdir()
        await it.sees(
            lambda: it.labels("quiet")[0] == f"{folder} cannot be read: no such file or directory"
        )

    visit(folder, monkeypatch, do)
