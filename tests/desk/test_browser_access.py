"""The desk for everyone: axe-core finds nothing wrong, all works by keyboard and at any width.

Sources: Web Content Accessibility Guidelines 2.2 (W3C, 2023): 1.4.10 Reflow (320 CSS pixels wide,
or 400 % of 1280), 2.1.1 Keyboard, 2.4.7 Focus Visible.
"""

from __future__ import annotations

import signal
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect
from support.axe import violations
from support.served_desk import ServedDesk

pytestmark = pytest.mark.slow


def opened(desk: ServedDesk, page: Page) -> None:
    page.goto(f"{desk.address}/?tune=ledger_blues.txt")
    expect(page.locator(".paper svg").first).to_be_visible()
    expect(page.locator(".tune .title")).to_have_count(5)
    expect(page.locator(".w-chord").first).to_be_visible()


@pytest.mark.parametrize("width", [1440, 1024, 390])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing(
    shared_desk: ServedDesk, new_page: Callable[..., Page], width: int, scheme: str
) -> None:
    page = new_page(width=width, height=900, color_scheme=scheme)
    opened(shared_desk, page)
    assert violations(page) == []


def test_axe_finds_nothing_in_mistakes_and_conflicts(desk: ServedDesk, page: Page) -> None:
    opened(desk, page)
    page.locator(".cm-content").click()
    page.keyboard.press("Control+a")
    page.keyboard.insert_text("Title: Wrong\n\n| Gmaj8 | H7 |\n")
    expect(page.locator(".mistake")).to_have_count(2)
    (desk.folder / "ledger_blues.txt").write_text("Title: Theirs\n\n| C |\n", encoding="utf-8")
    expect(page.locator(".conflict")).to_contain_text("has changed in the folder")
    assert violations(page) == []


def test_axe_finds_nothing_in_the_question_for_a_name(shared_desk: ServedDesk, page: Page) -> None:
    opened(shared_desk, page)
    page.get_by_role("button", name="Rename").click()
    expect(page.get_by_label("New name")).to_be_focused()
    page.emulate_media(reduced_motion="reduce")
    assert violations(page) == []


@pytest.mark.parametrize("width", [320, 390, 720, 1024])
def test_nothing_is_cut_at_any_width(
    shared_desk: ServedDesk, new_page: Callable[..., Page], width: int
) -> None:
    page = new_page(width=width, height=900)
    opened(shared_desk, page)
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_a_tune_is_found_opened_and_mended_by_keyboard(desk: ServedDesk, page: Page) -> None:
    (desk.folder / "broken.txt").write_text("Title: Broken\n\n| C | Gmaj8 |\n", encoding="utf-8")
    page.goto(desk.address)
    expect(page.locator(".tune .title")).to_have_count(6)
    focus_on(page, "Find a tune")
    page.keyboard.type("broken")
    expect(page.locator(".tune .title")).to_have_text(["Broken"])
    focus_on(page, "Broken")
    page.keyboard.press("Enter")
    expect(page.locator(".tune-name")).to_have_text("broken.txt")
    focus_on(page, "Change it to Gmaj9")
    outline = "getComputedStyle(document.activeElement).outlineStyle"
    assert page.evaluate(outline) == "solid"
    page.keyboard.press("Enter")
    expect(page.locator(".cm-content")).to_contain_text("Gmaj9")


def focus_on(page: Page, name: str) -> None:
    """Press Tab (Escape and Tab in the editor) until what has the focus has this name."""
    read = """() => { const e = document.activeElement;
        return e === document.body ? ['', ''] :
            [e.className, e.getAttribute('aria-label') || e.innerText || ''] }"""
    for _ in range(80):
        classes, text = page.evaluate(read)
        if name in text:
            return
        if "cm-content" in classes:
            page.keyboard.press("Escape")
        page.keyboard.press("Tab")
    raise AssertionError(f"Tab does not reach {name}")


def test_ctrl_c_ends_it_while_a_page_is_open(desk: ServedDesk, page: Page) -> None:
    opened(desk, page)
    assert desk.stop(signal.SIGINT) in (0, 130)
    assert "Traceback" not in (desk.cache / "stderr.txt").read_text()
