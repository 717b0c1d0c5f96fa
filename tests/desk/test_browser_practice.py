"""Drills, lessons and books at the desk, in a browser, as a person makes them."""

from __future__ import annotations

import re
import signal
import zipfile
from collections.abc import Callable
from pathlib import Path

import midneck
import pytest
from midneck.render.desk.practice_panel import PAUSE_MS
from playwright.sync_api import Page, expect
from support.axe import violations
from support.served_desk import ServedDesk

pytestmark = pytest.mark.slow

PLAYING = "async () => (await import('/static/practice.js')).state()"


def opened(desk: ServedDesk, page: Page, query: str = "") -> None:
    # Without transitions axe never judges a dialog that is half shown.
    page.emulate_media(reduced_motion="reduce")
    page.goto(f"{desk.address}/?tune=ledger_blues.txt{query}")
    expect(page.locator(".paper svg").first).to_be_visible()
    expect(page.locator(".tune .title")).to_have_count(5)
    expect(page.locator(".tune.open")).to_have_count(1)


def test_a_drill_is_chosen_seen_heard_and_taken_away(
    shared_desk: ServedDesk, page: Page, tmp_path: Path
) -> None:
    opened(shared_desk, page, "&hand=left")
    page.get_by_role("button", name="Drills").click()
    printed = page.locator(".practice-pages")
    expect(printed).to_contain_text("Practice sheet: Ledger Blues")
    choose(page, "Progression", "ii–V–i in minor")
    expect(printed.locator(".paper").first).to_contain_text("ii–V–i in minor")
    page.get_by_label("Only in C F").fill("C H")
    expect(page.locator(".practice-said")).to_contain_text("'H' is not a key")
    page.get_by_label("Only in C F").fill("C F")
    hear = page.locator(".hear")
    expect(hear).to_have_text(re.compile("the keys that are named"))
    hear.focus()
    page.keyboard.press("Enter")
    expect(hear).to_have_attribute("aria-pressed", "true")
    page.wait_for_function(f"async () => (await ({PLAYING})()).heard?.bar >= 1")
    expect(printed.locator('.heard[data-chord="1"]')).to_be_visible()
    page.keyboard.press("Enter")
    expect(hear).to_have_attribute("aria-pressed", "false")
    with page.expect_download() as taken:
        page.get_by_role("button", name="PDF", exact=True).click()
    assert taken.value.suggested_filename == "minor-ii-V-i_left_keys-C-F.pdf"
    same = midneck.drill("minor-ii-V-i", hand="left", keys="C F").files("pdf")[0][1]
    assert saved(taken.value, tmp_path) == same
    with page.expect_popup() as printed:
        page.keyboard.press("Control+p")
    assert printed.value.url.endswith("/minor-ii-V-i_left_keys-C-F.pdf")
    assert page.request.get(printed.value.url).body() == same
    assert violations(page, ".q-dialog") == []
    # A page that is loaded again has what was chosen and ticked before.
    page.keyboard.press("Escape")
    expect(page.locator(".practice")).to_have_count(0)
    page.get_by_role("checkbox", name="Tick Slate Roofs").click()
    expect(page.get_by_role("button", name="Book of 1 tune")).to_be_visible()
    page.reload()
    expect(page.get_by_role("checkbox", name="Tick Slate Roofs")).to_be_checked()
    expect(page.get_by_role("button", name="Book of 1 tune")).to_be_visible()
    page.get_by_role("button", name="Drills").click()
    expect(page.get_by_label("Only in C F")).to_have_value("C F")
    expect(page.locator(".practice .paper").first).to_contain_text("ii–V–i in minor")


def test_ticked_tunes_become_a_book_and_lessons(
    shared_desk: ServedDesk, new_page: Callable[..., Page], tmp_path: Path
) -> None:
    page = new_page(width=390, height=844)
    opened(shared_desk, page)
    page.get_by_role("button", name="Tunes", exact=True).click()
    for title in ("Ledger Blues", "Slate Roofs"):
        tick = page.get_by_role("checkbox", name=f"Tick {title}")
        tick.click()
        expect(tick).to_be_checked()
    page.get_by_role("button", name="Book of 2 tunes").click()
    page.get_by_label("Title").fill("Autumn")
    expect(page.locator(".practice-pages .paper").first).to_contain_text("Autumn")
    with page.expect_download() as taken:
        page.get_by_role("button", name="Take away the PDF").click()
    assert taken.value.suggested_filename == "Autumn.pdf"
    tunes = [
        midneck.chart(shared_desk.folder / name) for name in ("ledger_blues.txt", "slate_roofs.txt")
    ]
    same = midneck.book(tunes, title="Autumn", order="title").files("pdf", binding="book")
    assert saved(taken.value, tmp_path) == same[0][1]
    printed = page.locator(".practice .print-link").get_attribute("href")
    assert page.request.get(f"{shared_desk.address}{printed}").body() == same[0][1]
    page.get_by_role("button", name="Close").click()
    page.get_by_role("button", name="Lessons of 2 tunes").click()
    page.get_by_text("with sound and MIDI").click()
    files = page.locator(".files li")
    expect(files).to_have_count(4)
    names = files.all_inner_texts()
    assert violations(page, ".q-dialog") == []
    with page.expect_download() as taken:
        page.get_by_role("button", name="Take away the zip").click()
    assert taken.value.suggested_filename == "lessons.zip"
    with zipfile.ZipFile(taken.value.path()) as file:
        assert [name.rpartition("/")[2] for name in file.namelist()] == names
        assert len({name.partition("/")[0] for name in file.namelist()}) == 2


def test_an_open_dialog_is_open_again_after_a_reload_and_a_killed_server(
    desk: ServedDesk, page: Page
) -> None:
    opened(desk, page)
    page.get_by_role("button", name="Lesson folder").click()
    page.get_by_label("Name of the file").fill("Anna, week 3")
    page.get_by_text("with sound and MIDI").click()
    expect(page.locator(".files li")).to_have_count(2)
    for again in (page.reload, lambda: restarted(desk, page)):
        page.wait_for_timeout(2 * PAUSE_MS)  # what is typed goes to the server after a pause
        again()
        expect(page.get_by_role("dialog", name="Lesson folder")).to_be_visible()
        expect(page.get_by_label("Name of the file")).to_have_value("Anna, week 3")
        expect(page.get_by_role("checkbox", name="with sound")).not_to_be_checked()
        expect(page.locator(".files li")).to_have_count(2)
    with page.expect_download() as taken:
        page.get_by_role("button", name="Take away the zip").click()
    assert taken.value.suggested_filename == "Anna-week-3.zip"
    closed(page)
    page.get_by_role("button", name="Lesson folder").click()
    expect(page.get_by_label("Name of the file")).to_have_value("ledger_blues-lesson")
    closed(page)
    page.get_by_role("button", name="Drills").click()
    choose(page, "Progression", "ii–V–i in minor")
    expect(page.locator(".practice .paper").first).to_contain_text("ii–V–i in minor")
    page.reload()
    expect(page.get_by_role("dialog", name="Drills")).to_be_visible()
    expect(page.locator(".practice .paper").first).to_contain_text("ii–V–i in minor")
    closed(page)
    page.get_by_role("button", name="Book of all tunes").click()
    choose(page, "Order", "by key")
    expect(page.locator(".practice .paper").first).to_be_visible()
    page.reload()
    expect(page.get_by_role("dialog", name="Book")).to_be_visible()
    expect(page.get_by_role("combobox", name="Order")).to_have_value("by key")
    expect(page.locator(".practice .paper").first).to_contain_text("5 tunes")
    closed(page)
    expect(page.get_by_role("button", name="Book of all tunes")).to_be_focused()
    page.reload()
    expect(page.locator(".tune.open")).to_have_count(1)
    expect(page.locator(".practice")).to_have_count(0)


def restarted(desk: ServedDesk, page: Page) -> None:
    """Kill the server and start it again; the page finds it by itself."""
    page.evaluate("document.body.dataset.before = 'yes'")
    port = desk.port
    desk.stop(signal.SIGKILL)
    desk.start(port)
    expect(page.locator("body[data-before]")).to_have_count(0)


def closed(page: Page) -> None:
    """Close the dialog by a key."""
    page.keyboard.press("Escape")
    expect(page.locator(".practice")).to_have_count(0)


def test_axe_finds_nothing_in_the_dialogs_in_the_dark(
    shared_desk: ServedDesk, new_page: Callable[..., Page]
) -> None:
    page = new_page(color_scheme="dark")
    opened(shared_desk, page)
    for name, made in (("Drills", ".hear"), ("Lesson folder", ".files li"), ("Book of", ".paper")):
        page.get_by_role("button", name=name).click()
        expect(page.locator(f".practice {made}").first).to_be_visible()
        assert violations(page, ".q-dialog") == []
        page.keyboard.press("Escape")
        expect(page.locator(".practice")).to_have_count(0)


def choose(page: Page, label: str, option: str) -> None:
    """Choose an option of a select by keys."""
    page.get_by_role("combobox", name=label).click()
    page.get_by_role("option", name=option, exact=True).click()


def saved(download: object, folder: Path) -> bytes:
    """The bytes of a download."""
    path = folder / "taken"
    download.save_as(path)  # type: ignore[attr-defined]
    return path.read_bytes()
