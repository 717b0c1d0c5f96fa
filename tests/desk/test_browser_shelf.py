"""The shelf in a browser: finding, making, naming, copying and importing tunes."""

from __future__ import annotations

import re
from pathlib import Path

import midneck
import pytest
from playwright.sync_api import Locator, Page, expect
from support.axe import violations
from support.served_desk import ServedDesk

pytestmark = pytest.mark.slow

ABC = "X:1\nT:Small Reel\nM:4/4\nL:1/4\nK:G\n" + '"G" G4 | "Am7" A4 | "D7" d4 | "G" G4 |]\n'


def tunes(page: Page) -> Locator:
    """The titles of the shelf."""
    return page.locator(".tune .title")


def at_the_shelf(desk: ServedDesk, page: Page) -> None:
    page.goto(desk.address)
    expect(tunes(page)).to_have_count(5)
    expect(page.locator(".paper svg").first).to_be_visible()


def test_tunes_are_listed_by_title_with_key_and_bars(shared_desk: ServedDesk, page: Page) -> None:
    at_the_shelf(shared_desk, page)
    row = page.locator(".tune", has_text="Harbour at Six")
    expect(row.locator(".facts")).to_have_text("E♭ · 32")
    row.click()
    expect(row).to_have_attribute("aria-current", "true")
    expect(page.locator(".paper").first).to_contain_text("Harbour at Six")


def test_tunes_are_found_by_title_and_by_passage(shared_desk: ServedDesk, page: Page) -> None:
    at_the_shelf(shared_desk, page)
    query = page.get_by_label("Find a tune")
    query.fill("slate")
    expect(tunes(page)).to_have_text(["Slate Roofs"])
    query.fill("turnaround in Eb")
    expect(tunes(page)).to_have_text(["Harbour at Six"])
    row = page.locator(".tune", has_text="Harbour at Six")
    expect(row.locator(".facts")).to_have_text(re.compile(r"bars \d+–\d+"))
    first = re.findall(r"\d+", row.locator(".facts").inner_text())[0]
    row.click()
    expect(page.locator(".paper .cursor-bar")).to_have_attribute("data-bar", first)
    query.fill("nowhere")
    expect(page.get_by_text("No tune is found.")).to_be_visible()


def test_a_broken_tune_is_marked_and_has_nothing_to_play(desk: ServedDesk, page: Page) -> None:
    text = "Title: Broken\nTempo: 90\n\n| H7 | C |\n"
    (desk.folder / "broken.txt").write_text(text, encoding="utf-8")
    page.goto(f"{desk.address}/?tune=ledger_blues.txt")
    labels = page.locator(".player .strip span")
    expect(labels).to_have_text(["1", "9"])
    row = page.locator(".tune", has_text="Broken")
    expect(row.locator(".to-mend")).to_have_text("1 to mend")
    row.click()
    expect(labels).to_have_count(0)
    expect(page.locator(".player.ready")).to_have_count(0)
    page.get_by_text("B7", exact=True).click()
    expect(labels).to_have_text(["1"])
    expect(page.get_by_label("tempo", exact=True)).to_have_value("90")


def test_a_tune_is_begun_renamed_and_copied(desk: ServedDesk, page: Page) -> None:
    at_the_shelf(desk, page)
    page.get_by_role("button", name="New", exact=True).click()
    expect(page.locator(".tune-name")).to_have_text("new_tune.txt")
    expect(page.locator(".paper").first).to_contain_text("New tune")
    page.get_by_role("button", name="Rename").click()
    name = page.get_by_label("New name")
    name.fill("my first")
    name.press("Enter")
    expect(page.locator(".tune-name")).to_have_text("my first.txt")
    assert not (desk.folder / "new_tune.txt").exists()
    page.get_by_role("button", name="Copy").click()
    expect(page.locator(".tune-name")).to_have_text("my_first.txt")
    assert desk.read("my_first.txt") == desk.read("my first.txt")


def test_a_new_tune_is_named_after_its_title_when_it_is_saved(desk: ServedDesk, page: Page) -> None:
    page.emulate_media(reduced_motion="reduce")
    at_the_shelf(desk, page)
    for name in ("quiet_harbour.txt", "quiet_harbour-2.txt"):
        page.get_by_role("button", name="New", exact=True).click()
        expect(page.locator(".tune-name")).to_have_text("new_tune.txt")
        page.locator(".cm-line", has_text="Title:").click()
        page.keyboard.press("Home")
        page.keyboard.press("Shift+End")
        page.keyboard.type("Title: Quiet Harbour")
        expect(page.locator(".text .state")).to_have_text("not saved")
        page.keyboard.press("Control+s")
        expect(page.locator(".tune-name")).to_have_text(name)
        told = page.locator(".q-notification", has_text=f"Saved as {name}, after its title")
        expect(told).to_be_visible()
        assert violations(page) == []
        expect(page.locator(".tune.open .title")).to_have_text("Quiet Harbour")
        expect(page.locator(".text .state")).to_have_text("saved")
        assert page.url.endswith(f"/?tune={name}")
        assert "Title: Quiet Harbour\n" in desk.read(name)
        assert not (desk.folder / "new_tune.txt").exists()
    # It is typed on where it was, and the next time nothing is named.
    page.keyboard.type(" Again")
    expect(page.locator(".paper").first).to_contain_text("Quiet Harbour Again")
    page.reload()
    expect(page.locator(".cm-content")).to_contain_text("Quiet Harbour Again")
    page.get_by_role("button", name="Save").click()
    expect(page.locator(".text .state")).to_have_text("saved")
    expect(page.locator(".tune-name")).to_have_text("quiet_harbour-2.txt")


def test_a_name_outside_the_folder_or_taken_is_refused(desk: ServedDesk, page: Page) -> None:
    at_the_shelf(desk, page)
    before = {path.name: path.read_bytes() for path in desk.folder.iterdir()}
    for wanted, said in (("../away", "no name of a tune"), ("slate_roofs", "already")):
        page.get_by_role("button", name="Rename").click()
        page.get_by_label("New name").fill(wanted)
        page.get_by_label("New name").press("Enter")
        expect(page.locator(".q-notification", has_text=said)).to_be_visible()
        expect(page.get_by_label("New name")).to_have_count(0)
    assert {path.name: path.read_bytes() for path in desk.folder.iterdir()} == before


def test_files_are_imported_and_others_refused(
    desk: ServedDesk, page: Page, tmp_path: Path
) -> None:
    at_the_shelf(desk, page)
    (tmp_path / "reel.abc").write_text(ABC, encoding="utf-8")
    (tmp_path / "photo.txt").write_bytes(b"\x89PNG\r\n\x1a\n" + b"\0" * 100)
    chooser = page.locator(".shelf input[type=file]")
    chooser.set_input_files(tmp_path / "reel.abc")
    expect(page.locator(".tune-name")).to_have_text("reel.txt")
    expect(page.locator(".cm-content")).to_contain_text("Title: Small Reel")
    expect(page.locator(".paper").first).to_contain_text("Small Reel")
    score = midneck.chart(desk.folder / "slate_roofs.txt").files("musicxml")[0][1].decode()
    drop(page, "roofs.musicxml", score)
    expect(page.locator(".tune-name")).to_have_text("roofs.txt")
    expect(page.locator(".paper").first).to_contain_text("Slate Roofs")
    assert "Gm6" in desk.read("roofs.txt")
    chooser.set_input_files(tmp_path / "photo.txt")
    refusal = page.locator(".q-notification", has_text="photo.txt is not imported")
    expect(refusal).to_contain_text("a PNG picture")
    assert not (desk.folder / "photo.txt").exists()


def drop(page: Page, name: str, text: str) -> None:
    """Drop a file on the place for it, as a browser tells the page of it."""
    carried = page.evaluate_handle(
        """([name, text]) => { const carried = new DataTransfer();
            carried.items.add(new File([text], name)); return carried; }""",
        [name, text],
    )
    page.locator(".shelf .q-uploader").dispatch_event("dragover", {"dataTransfer": carried})
    page.locator(".q-uploader__dnd").dispatch_event("drop", {"dataTransfer": carried})


def test_a_file_that_is_too_large_is_refused(desk: ServedDesk, page: Page, tmp_path: Path) -> None:
    at_the_shelf(desk, page)
    (tmp_path / "large.txt").write_bytes(b"x" * 4_000_001)
    page.locator(".shelf input[type=file]").set_input_files(tmp_path / "large.txt")
    expect(page.locator(".q-notification", has_text="at most 4 MB")).to_be_visible()
