"""The stand view in a browser: turned by taps and pedals, played, and shared with a class."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from midneck.render.desk.folder import TuneFolder
from midneck.render.desk.share import share
from playwright.sync_api import Page, expect
from support.axe import violations
from support.served_desk import ServedDesk

pytestmark = pytest.mark.slow

TUNE = "harbour_at_six.txt"
TOP = "document.querySelector('.stand-pages').scrollTop"


def opened(address: str, page: Page) -> None:
    """The stand of a tune of 32 bars, on a tablet that lies on its side."""
    page.goto(f"{address}/stand/{TUNE}")
    expect(page.locator(".player.ready")).to_be_visible()
    expect(page.locator(".paper svg").first).to_contain_text("Harbour at Six")


@pytest.fixture
def tablet(new_page: Callable[..., Page]) -> Page:
    """A page of a tablet's size."""
    return new_page(width=1024, height=768)


def test_pedals_turn_the_pages(shared_desk: ServedDesk, tablet: Page) -> None:
    opened(shared_desk.address, tablet)
    assert tablet.evaluate(TOP) == 0
    tablet.keyboard.press("PageDown")
    tablet.wait_for_function(f"{TOP} > 300")
    tablet.keyboard.press("PageUp")
    tablet.wait_for_function(f"{TOP} === 0")
    tablet.keyboard.press("ArrowRight")
    tablet.wait_for_function(f"{TOP} > 300")
    tablet.keyboard.press("ArrowLeft")
    tablet.wait_for_function(f"{TOP} === 0")


def test_a_tap_turns_on_and_at_the_left_back(shared_desk: ServedDesk, tablet: Page) -> None:
    opened(shared_desk.address, tablet)
    tablet.mouse.click(800, 300)
    tablet.wait_for_function(f"{TOP} > 300")
    tablet.mouse.click(100, 300)
    tablet.wait_for_function(f"{TOP} === 0")


def test_it_plays_and_the_page_follows(shared_desk: ServedDesk, tablet: Page) -> None:
    """At 300 a minute the last bars come into sight by themselves."""
    opened(shared_desk.address, tablet)
    tablet.get_by_label("tempo").fill("300")
    tablet.get_by_label("count in").uncheck()
    tablet.locator(".stand-pages").focus()
    tablet.keyboard.press("Space")
    expect(tablet.locator(".play-line")).to_be_visible()
    tablet.wait_for_function(f"{TOP} > 200")
    expect(tablet.locator(".play-bar")).to_be_in_viewport()


def test_it_follows_what_the_desk_plays(
    shared_desk: ServedDesk, tablet: Page, new_page: Callable[..., Page]
) -> None:
    opened(shared_desk.address, tablet)
    desk = new_page()
    desk.goto(f"{shared_desk.address}/?tune={TUNE}")
    expect(desk.locator(".player.ready")).to_be_visible()
    desk.get_by_label("count in").uncheck()
    desk.get_by_role("button", name="Play").click()
    expect(tablet.locator(".play-bar")).to_be_visible()
    expect(tablet.get_by_role("button", name="Play")).to_be_visible()
    desk.get_by_role("button", name="Stop").click()
    expect(tablet.locator(".play-bar")).to_be_hidden()


def test_the_screen_is_kept_awake(shared_desk: ServedDesk, tablet: Page) -> None:
    tablet.add_init_script(
        "window.asked = []; Object.defineProperty(Navigator.prototype, 'wakeLock', "
        "{ get: () => ({ request: async (kind) => { window.asked.push(kind); } }) });"
    )
    opened(shared_desk.address, tablet)
    tablet.wait_for_function("window.asked.includes('screen')")
    assert tablet.evaluate("document.documentElement.dataset.awake") == "yes"


@pytest.mark.parametrize(("width", "height"), [(1440, 900), (390, 844)])
def test_axe_finds_nothing(
    shared_desk: ServedDesk, new_page: Callable[..., Page], width: int, height: int
) -> None:
    page = new_page(width=width, height=height)
    opened(shared_desk.address, page)
    assert violations(page) == []


def test_a_tune_that_is_none_is_refused(shared_desk: ServedDesk, page: Page) -> None:
    answer = page.goto(f"{shared_desk.address}/stand/..%2F{TUNE}")
    assert answer is not None
    assert answer.status == 404


@pytest.fixture
def class_address() -> str:
    """The address of the examples, shared; asked by this machine's own name here."""
    examples = Path(__file__).parents[2] / "examples"
    address = share(TuneFolder(examples))
    return re.sub(r"//[^:]+:", "//127.0.0.1:", address)


def test_a_class_opens_a_shared_tune_and_hears_it(class_address: str, page: Page) -> None:
    page.goto(class_address)
    assert violations(page) == []
    page.get_by_role("link", name="Harbour at Six").click()
    expect(page.locator(".player.ready")).to_be_visible()
    assert violations(page) == []
    page.get_by_role("button", name="Play").click()
    expect(page.locator(".play-line")).to_be_visible()


def test_two_shares_have_tokens_of_their_own(class_address: str, tmp_path: Path) -> None:
    other = share(TuneFolder(tmp_path))
    tokens = [each.rstrip("/").rsplit("/", 1)[1] for each in (class_address, other)]
    assert tokens[0] != tokens[1]
    assert min(map(len, tokens)) >= 22
