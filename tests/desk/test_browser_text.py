"""The text of a tune in a browser: typing, mending, undoing, saving, and losing nothing."""

from __future__ import annotations

import shutil
import signal
import subprocess
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect
from support.served_desk import ServedDesk

pytestmark = pytest.mark.slow

TUNE = "ledger_blues.txt"


def opened(desk: ServedDesk, page: Page, name: str = TUNE) -> Locator:
    """The line of the title, with the cursor at its end."""
    page.goto(f"{desk.address}/?tune={name}")
    title = page.locator(".cm-line", has_text="Title:")
    title.click()
    page.keyboard.press("End")
    return title


def replace_all(page: Page, text: str) -> None:
    """Type a whole text in place of the one there."""
    page.locator(".cm-content").click()
    page.keyboard.press("Control+a")
    page.keyboard.insert_text(text)


def test_a_typo_is_underlined_told_on_hover_and_mended_by_a_click(
    desk: ServedDesk, page: Page
) -> None:
    opened(desk, page)
    replace_all(page, "Title: Small\n\n| Cmaj7 | Gmaj8 |\n")
    expect(page.locator(".w-wrong")).to_have_text("j8")
    page.locator(".w-wrong").hover()
    expect(page.locator(".cm-tooltip-hover")).to_contain_text("not part of a chord")
    expect(page.locator(".cm-tooltip-hover")).to_contain_text("Gmaj9")
    expect(page.locator(".mistakes")).to_contain_text("Line 3")
    expect(page.locator(".pages")).to_have_class("pages stale")
    page.get_by_role("button", name="Change it to Gmaj9").click()
    expect(page.locator(".cm-content")).to_contain_text("| Cmaj7 | Gmaj9 |")
    expect(page.locator(".w-wrong")).to_have_count(0)
    expect(page.locator(".pages")).to_have_class("pages")
    expect(page.locator(".cm-content")).to_be_focused()
    page.keyboard.press("Control+z")
    expect(page.locator(".cm-content")).to_contain_text("| Cmaj7 | Gmaj8 |")


def test_control_s_saves_what_is_typed(desk: ServedDesk, page: Page) -> None:
    opened(desk, page)
    page.keyboard.type(" Again")
    expect(page.locator(".text .state")).to_have_text("not saved")
    assert "Again" not in desk.read(TUNE)
    page.keyboard.press("Control+s")
    expect(page.locator(".text .state")).to_have_text("saved")
    assert "Title: Ledger Blues Again\n" in desk.read(TUNE)
    assert list(desk.folder.glob(".*")) == []


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of its own of 256 kB, which can be full and read-only for root as well."""
    place = tmp_path / "disk"
    place.mkdir()
    try:
        mount("-t", "tmpfs", "-o", "size=256k", "tmpfs", str(place))
    except (OSError, subprocess.CalledProcessError) as error:
        pytest.skip(f"no disk can be mounted here: {error}")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)


def fill(path: Path) -> None:
    """Write a file until there is no room for more of it."""
    with path.open("wb", 0) as file, suppress(OSError):
        while True:
            file.write(b"x" * 4096)
    assert shutil.disk_usage(path.parent).free == 0


def mount(*options: str) -> None:
    subprocess.run(["mount", *options], check=True, capture_output=True)


def test_a_full_disk_and_a_read_only_folder_are_told_and_lose_nothing(
    small_disk: Path, desk_on: Callable[..., ServedDesk], page: Page
) -> None:
    (small_disk / TUNE).write_text("Title: Ledger Blues\n\n| F7 | Bb7 ||\n", encoding="utf-8")
    desk = desk_on(small_disk)
    opened(desk, page)
    page.keyboard.type(" Again")
    expect(page.locator(".text .state")).to_have_text("not saved")
    fill(small_disk / "filler")
    for said in ("no space left on device", "is read-only"):
        page.keyboard.press("Control+s")
        told = page.locator(".q-notification", has_text=f"Not saved: {TUNE} cannot be saved")
        expect(told.filter(has_text=said)).to_be_visible()
        expect(page.locator(".text .state")).to_have_text("not saved")
        assert "Again" not in desk.read(TUNE)
        if "space" in said:
            (small_disk / "filler").unlink()
            mount("-o", "remount,ro", str(small_disk))
    mount("-o", "remount,rw", str(small_disk))
    assert [path.name for path in small_disk.iterdir()] == [TUNE]
    page.keyboard.press("Control+s")
    expect(page.locator(".text .state")).to_have_text("saved")
    assert "Title: Ledger Blues Again\n" in desk.read(TUNE)


def test_fast_typing_arrives_whole(desk: ServedDesk, page: Page) -> None:
    opened(desk, page)
    words = " the quick brown fox jumps over the lazy dog" * 5
    page.keyboard.type(words)
    page.keyboard.press("Control+s")
    expect(page.locator(".text .state")).to_have_text("saved")
    assert f"Title: Ledger Blues{words}\n" in desk.read(TUNE)
    expect(page.locator(".cm-content")).to_contain_text(words)


def test_words_are_completed(desk: ServedDesk, page: Page) -> None:
    opened(desk, page)
    replace_all(page, "")
    page.keyboard.type("Ti")
    page.locator(".cm-tooltip-autocomplete li", has_text="Title:").click()
    expect(page.locator(".cm-content")).to_contain_text("Title: ")
    replace_all(page, "Title: Small\n\n| Cmaj7 | F6 | ")
    page.keyboard.type("D.")
    expect(page.locator(".cm-tooltip-autocomplete")).to_contain_text("D.C. al Fine")
    page.keyboard.type("C. al F")
    page.keyboard.press("Enter")
    expect(page.locator(".cm-content")).to_contain_text("D.C. al Fine")


def test_unsaved_text_survives_a_reload(desk: ServedDesk, page: Page) -> None:
    opened(desk, page)
    page.keyboard.type(" Again")
    expect(page.locator(".paper").first).to_contain_text("Ledger Blues Again")
    page.reload()
    expect(page.locator(".cm-content")).to_contain_text("Ledger Blues Again")
    expect(page.locator(".text .state")).to_have_text("not saved")
    assert "Again" not in desk.read(TUNE)


def test_unsaved_text_survives_a_killed_server_and_a_lost_browser(
    desk: ServedDesk, page: Page, new_page: Callable[..., Page]
) -> None:
    opened(desk, page)
    page.keyboard.type(" Again")
    expect(page.locator(".paper").first).to_contain_text("Ledger Blues Again")
    desk.stop(signal.SIGKILL)
    page.context.close()
    desk.start()
    other = new_page()
    other.goto(f"{desk.address}/?tune={TUNE}")
    expect(other.locator(".cm-content")).to_contain_text("Ledger Blues Again")
    other.locator(".cm-content").press("Control+s")
    expect(other.locator(".text .state")).to_have_text("saved")
    assert "Ledger Blues Again" in desk.read(TUNE)


def test_a_file_changed_meanwhile_is_shown_and_both_are_kept(desk: ServedDesk, page: Page) -> None:
    opened(desk, page)
    page.keyboard.type(" Mine")
    theirs = desk.read(TUNE).replace("Ledger Blues", "Ledger Blues Theirs")
    (desk.folder / TUNE).write_text(theirs, encoding="utf-8")
    page.keyboard.press("Control+s")
    expect(page.locator(".conflict")).to_contain_text("has changed in the folder")
    expect(page.locator(".conflict .theirs")).to_contain_text("Ledger Blues Theirs")
    expect(page.locator(".cm-content")).to_contain_text("Ledger Blues Mine")
    page.get_by_role("button", name="Save mine under a name of its own").click()
    expect(page.locator(".tune-name")).to_have_text("ledger_blues-2.txt")
    assert desk.read(TUNE) == theirs
    assert "Ledger Blues Mine" in desk.read("ledger_blues-2.txt")


def test_two_tabs_do_not_overwrite_each_other(
    desk: ServedDesk, page: Page, new_page: Callable[..., Page]
) -> None:
    other = new_page()
    opened(desk, page)
    opened(desk, other)
    page.keyboard.type(" One")
    other.keyboard.type(" Two")
    page.keyboard.press("Control+s")
    expect(page.locator(".text .state")).to_have_text("saved")
    expect(other.locator(".conflict")).to_contain_text("has changed in the folder")
    other.locator(".cm-content").press("Control+s")
    expect(other.locator(".cm-content")).to_contain_text("Ledger Blues Two")
    assert "Ledger Blues One" in desk.read(TUNE)
    other.get_by_role("button", name="Take the one in the folder").click()
    expect(other.locator(".cm-content")).to_contain_text("Ledger Blues One")
    other.locator(".cm-content").press("Control+z")
    expect(other.locator(".cm-content")).to_contain_text("Ledger Blues Two")


def test_a_clean_tab_follows_the_file(desk: ServedDesk, page: Page) -> None:
    opened(desk, page)
    changed = desk.read(TUNE).replace("Ledger Blues", "Ledger Blues Anew")
    (desk.folder / TUNE).write_text(changed, encoding="utf-8")
    expect(page.locator(".cm-content")).to_contain_text("Ledger Blues Anew")
    expect(page.locator(".paper").first).to_contain_text("Ledger Blues Anew")
    expect(page.locator(".text .state")).to_have_text("saved")


def test_markup_in_a_tune_is_inert(desk: ServedDesk, page: Page) -> None:
    evil = "<img src=x onerror=alert(1)><script>alert(2)</script>"
    dialogs: list[str] = []
    page.on("dialog", lambda dialog: (dialogs.append(dialog.message), dialog.dismiss()))
    opened(desk, page)
    replace_all(page, f"Title: {evil}\n\n| C | H<b>x</b> |\n")
    expect(page.locator(".mistakes")).to_contain_text("Line 3")
    replace_all(page, f"Title: {evil}\n\n| C | F |\n")
    expect(page.locator(".mistakes")).to_be_empty()
    expect(page.locator(".paper").first).to_contain_text("onerror")
    assert page.locator("img[src=x]").count() == 0
    assert dialogs == []
