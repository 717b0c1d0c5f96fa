"""The folder changes while the desk is open: tunes and players are seen without a reload."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect
from support.served_desk import ServedDesk

pytestmark = pytest.mark.slow

TUNE = "Title: {title}\nKey: C\n\n| Dm7 | G7 | C6 | % ||\n"


def opened(desk: ServedDesk, page: Page) -> None:
    page.goto(f"{desk.address}/?tune=ledger_blues.txt")
    expect(page.locator(".paper svg").first).to_be_visible()
    expect(page.locator(".tune .title")).to_have_count(5)


def write(desk: ServedDesk, name: str, text: str) -> None:
    """Write a file as another program does."""
    (desk.folder / name).write_text(text, encoding="utf-8")


def test_tunes_that_come_change_and_go_are_seen_on_the_shelf(desk: ServedDesk, page: Page) -> None:
    opened(desk, page)
    titles = page.locator(".tune .title")
    write(desk, "amber.txt", TUNE.format(title="Amber Court"))
    expect(titles.first).to_have_text("Amber Court")
    row = page.locator(".tune", has_text="Amber Court")
    expect(row.locator(".facts")).to_have_text("C · 4")
    write(desk, "amber.txt", TUNE.format(title="Amber Yard").replace("G7", "H7"))
    expect(titles.first).to_have_text("Amber Yard")
    expect(page.locator(".tune .to-mend")).to_have_text("1 to mend")
    (desk.folder / "amber.txt").unlink()
    expect(titles).to_have_count(5)
    expect(page.locator(".tune.open .title")).to_have_text("Ledger Blues")
    # The open tune may go as well: its text stays, and can be saved again.
    page.locator(".cm-line", has_text="Title:").click()
    page.keyboard.press("End")
    (desk.folder / "ledger_blues.txt").unlink()
    expect(titles).to_have_count(4)
    expect(page.locator(".conflict")).to_contain_text("is gone from the folder")
    page.keyboard.type(" Again")
    expect(page.locator(".paper").first).to_contain_text("Ledger Blues Again")
    page.get_by_role("button", name="Save mine under a name of its own").click()
    expect(page.locator(".tune.open .title")).to_have_text("Ledger Blues Again")
    assert "Ledger Blues Again" in desk.read("ledger_blues.txt")


def test_player_files_that_come_change_and_go_are_seen_in_the_list_of_for(
    desk: ServedDesk, page: Page
) -> None:
    opened(desk, page)
    anna = 'name = "Anna"\nwindow = [1, 5]\n'
    write(desk, "anna.toml", anna)
    choose_player(page, "Anna")
    frets = page.locator(".paper", has_text=re.compile(r"frets 1–5")).first
    expect(frets).to_be_visible()
    write(desk, "anna.toml", anna.replace("[1, 5]", "[7, 11]").replace("Anna", "Hanna"))
    expect(page.get_by_role("combobox", name="for")).to_have_value("Hanna")
    expect(page.locator(".paper").first).to_contain_text("frets 7–11")
    (desk.folder / "anna.toml").unlink()
    write(desk, "zoe.toml", 'name = "Zoe"\n')
    page.locator(".cm-line", has_text="Title:").click()
    page.keyboard.press("End")
    page.keyboard.type(" Again")
    expect(page.locator(".paper").first).to_contain_text("Ledger Blues Again")
    expect(page.locator(".paper").first).to_contain_text("frets 7–11")
    choose_player(page, "Zoe")
    page.get_by_role("combobox", name="for").click()
    expect(page.get_by_role("option", name="Zoe")).to_be_visible()
    expect(page.get_by_role("option", name="Hanna")).to_have_count(0)


def choose_player(page: Page, name: str) -> None:
    """Open the list of players and choose one as soon as it is there."""
    page.get_by_role("combobox", name="for").click()
    page.get_by_role("option", name=name, exact=True).click()
    expect(page.get_by_role("combobox", name="for")).to_have_value(name)
