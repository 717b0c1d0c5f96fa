"""The desk opens in a browser: a folder's tune, its text and its page."""

from __future__ import annotations

import urllib.request

import pytest
from playwright.sync_api import Page, expect
from support.served_desk import ServedDesk

pytestmark = pytest.mark.slow


def test_a_tune_is_opened_with_its_text_and_its_page(shared_desk: ServedDesk, page: Page) -> None:
    page.goto(f"{shared_desk.address}/?tune=ledger_blues.txt")
    expect(page.locator(".cm-content")).to_contain_text("Ledger Blues")
    expect(page.locator(".paper svg").first).to_contain_text("Ledger Blues")


def test_typing_changes_the_page(shared_desk: ServedDesk, page: Page) -> None:
    page.goto(f"{shared_desk.address}/?tune=ledger_blues.txt")
    title = page.locator(".cm-line", has_text="Title: Ledger Blues")
    title.click()
    page.keyboard.press("End")
    page.keyboard.type(" Again")
    expect(page.locator(".paper svg").first).to_contain_text("Ledger Blues Again")


@pytest.mark.parametrize("name", ["FiraGO-Regular", "FiraGO-Bold", "MidneckSigns"])
def test_the_typefaces_of_the_page_are_served(shared_desk: ServedDesk, name: str) -> None:
    with urllib.request.urlopen(f"{shared_desk.address}/fonts/{name}.ttf") as answer:
        assert answer.read(4) == b"\0\1\0\0"
