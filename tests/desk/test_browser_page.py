"""The page, a chord's card, the choices and what is taken away, in a browser."""

from __future__ import annotations

import json
import re
import signal
from collections.abc import Callable
from pathlib import Path
from typing import Any

import midneck
import pytest
from midneck.render.desk.views import CHECK_S
from playwright.sync_api import Page, WebSocketRoute, expect
from support.axe import violations
from support.served_desk import ServedDesk

pytestmark = pytest.mark.slow

TUNE = "ledger_blues.txt"
PATIENCE = 400


def opened(desk: ServedDesk, page: Page, query: str = "") -> None:
    page.goto(f"{desk.address}/?tune={TUNE}{query}")
    expect(page.locator('.paper [data-chord="0"][role="button"]')).to_be_visible()


def test_a_chosen_grip_is_written_into_the_text_and_let_go_again(
    desk: ServedDesk, page: Page
) -> None:
    opened(desk, page)
    page.locator('.paper [data-chord="0"]').first.click()
    card = page.locator(".card")
    expect(card.locator("h2")).to_have_text("F7")
    expect(card).to_contain_text("the least for the whole tune")
    expect(card).to_contain_text(re.compile(r"\d+ mm more"))
    button = card.get_by_role("button", name="Use ").first
    frets = (button.get_attribute("aria-label") or "").removeprefix("Use ")
    button.click()
    expect(page.locator(".cm-content")).to_contain_text(f"F7<{frets}>")
    expect(card).to_contain_text("fixed by you")
    card.press("Control+s")
    expect(page.locator(".text .state")).to_have_text("saved")
    assert f"F7<{frets}>" in desk.read(TUNE)
    page.locator(".cm-content").press("Control+z")
    expect(page.locator(".cm-content")).not_to_contain_text(f"F7<{frets}>")
    expect(card).to_contain_text("the least for the whole tune")
    page.locator(".cm-content").press("Control+Shift+z")
    expect(card).to_contain_text("fixed by you")
    card.get_by_role("button", name="Let go").click()
    expect(page.locator(".cm-content")).not_to_contain_text(f"F7<{frets}>")
    expect(card).to_contain_text("the least for the whole tune")
    page.keyboard.press("Escape")
    expect(card).to_be_hidden()


def test_a_chord_is_chosen_and_grips_are_heard_by_keys_and_mouse(
    shared_desk: ServedDesk, page: Page
) -> None:
    opened(shared_desk, page)
    page.locator('.paper [data-chord="4"]').first.focus()
    page.keyboard.press("Enter")
    card = page.locator(".card")
    expect(card).to_be_focused()
    expect(page.locator(".paper .cursor-bar")).to_have_count(1)
    expect(card.locator(".why").first).to_contain_text("the hand")
    grips = card.locator("[data-sounds]")
    card.get_by_role("checkbox").focus()
    page.keyboard.press("Tab")
    expect(grips.nth(0).locator(".hear-grip")).to_be_focused()
    wait_heard(page, grips.nth(0).get_attribute("data-sounds"))
    grips.nth(1).hover()
    wait_heard(page, grips.nth(1).get_attribute("data-sounds"))
    assert violations(page) == []
    page.keyboard.press("Escape")
    expect(card).to_be_hidden()
    expect(page.locator('.paper [data-chord="4"]').first).to_be_focused()


def wait_heard(page: Page, sounds: str | None) -> None:
    """Wait until a grip with these sounds was struck."""
    heard = "async (sounds) => (await import('/static/grips.js')).heard() === sounds"
    page.wait_for_function(heard, arg=sounds)


def test_text_page_and_neck_map_follow_each_other(shared_desk: ServedDesk, page: Page) -> None:
    opened(shared_desk, page)
    marked = page.locator(".paper .cursor-bar")
    below_bar(page, 6)
    expect(marked).to_have_attribute("data-bar", "6")
    # The caret stands in bar 6: what is typed there is of it, and the bar stays marked.
    page.keyboard.press("ArrowRight")
    expect(marked).to_have_attribute("data-bar", "6")
    small = page.locator(".paper svg > g.decoration").first.bounding_box() or {}
    page.mouse.click(small["x"] + 0.96 * small["width"], small["y"] + small["height"] / 2)
    expect(marked).to_have_attribute("data-bar", "12")
    page.locator(".w-comment, .w-name").first.click()
    expect(marked).to_have_attribute("data-bar", "1")


def below_bar(page: Page, number: int) -> None:
    """Click on the neck map below a bar."""
    box = page.locator(f'.paper g.bar[data-bar="{number}"]').bounding_box() or {}
    page.mouse.click(box["x"] + 0.6 * box["width"], box["y"] + box["height"] + 12)


def test_a_click_anywhere_on_a_chord_opens_its_card(shared_desk: ServedDesk, page: Page) -> None:
    """Between the lines of the grid as well, where nothing is painted."""
    page.goto(f"{shared_desk.address}/?tune=ledger_blues.txt")
    chord = page.locator('.paper [data-chord="2"]').first
    expect(chord).to_be_visible()
    box = chord.bounding_box()
    assert box is not None
    for across in range(1, 6):
        for down in range(1, 6):
            place = box["x"] + box["width"] * across / 6, box["y"] + box["height"] * down / 6
            page.mouse.click(*place)
            expect(page.locator(".card")).to_contain_text("bar 3, beats 1 to 4")
            page.keyboard.press("Escape")
            expect(page.locator(".card")).to_be_hidden()


def test_choices_change_the_page_and_the_address(desk: ServedDesk, page: Page) -> None:
    opened(desk, page)
    page.get_by_label("key").fill("Bb")
    expect(page.locator(".paper").first).to_contain_text("B♭ major")
    expect(page).to_have_url(f"{desk.address}/?tune={TUNE}&key=Bb")
    page.get_by_text("large print").click()
    expect(page).to_have_url(f"{desk.address}/?tune={TUNE}&key=Bb&large=1")
    page.reload()
    expect(page.locator(".paper").first).to_contain_text("B♭ major")
    page.get_by_label("key").fill("Z")
    expect(page.get_by_text("as in Eb or F#m")).to_be_visible()
    # Another tune has the paper of the folder, and its own key; so it is on another day.
    page.locator(".tune", has_text="Slate Roofs").click()
    expect(page).to_have_url(f"{desk.address}/?tune=slate_roofs.txt&large=1")
    expect(page.get_by_label("key")).to_have_value("")
    desk.stop(signal.SIGKILL)
    desk.start()
    page.goto(desk.address)
    expect(page).to_have_url(f"{desk.address}/?tune=slate_roofs.txt&large=1")
    page.locator(".tune", has_text="Ledger Blues").click()
    expect(page.locator(".paper").first).to_contain_text("B♭ major")
    expect(page.get_by_role("checkbox", name="large print")).to_be_checked()


def test_a_player_file_is_chosen_and_comes_back(desk: ServedDesk, page: Page) -> None:
    file = desk.folder / "anna.toml"
    file.write_text('name = "Anna"\nhand = "left"\n', encoding="utf-8")
    opened(desk, page)
    page.get_by_label("for", exact=True).click()
    page.get_by_role("option", name="Anna").click()
    expect(page).to_have_url(f"{desk.address}/?tune={TUNE}&player=anna.toml")
    expect(page.locator(".paper").first).to_contain_text("Anna")
    page.goto(desk.address)
    expect(page.locator(".paper").first).to_contain_text("Anna")
    expect(page.locator(".choice", has_text="hand").first).to_contain_text("left")
    file.unlink()
    page.reload()
    expect(page.get_by_text("anna.toml cannot be read: no such file")).to_be_visible()
    expect(page).to_have_url(f"{desk.address}/?tune={TUNE}")


def test_what_is_taken_away_and_printed_is_what_the_command_line_writes(
    desk: ServedDesk, page: Page, tmp_path: Path
) -> None:
    opened(desk, page, "&hand=left")
    page.get_by_role("button", name="Take away").click()
    with page.expect_download() as taken:
        page.get_by_text("PDF to print").click()
    assert taken.value.suggested_filename == "ledger_blues_left.pdf"
    path = tmp_path / "taken.pdf"
    taken.value.save_as(path)
    same = midneck.chart(desk.folder / TUNE, hand="left").files("pdf")[0][1]
    assert path.read_bytes() == same
    page.locator(".cm-line", has_text="Title:").click()
    with page.expect_popup() as printed:
        page.keyboard.press("Control+p")
    assert printed.value.url.endswith("/ledger_blues_left.pdf")
    answer = page.request.get(printed.value.url)
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["content-disposition"].startswith("inline")
    assert answer.body() == same
    page.keyboard.insert_text("\n| H7 |\n")
    expect(page.locator(".mistake")).not_to_have_count(0)
    refused = page.request.get(printed.value.url)
    assert (refused.status, "mend them first" in refused.text()) == (422, True)
    # What the browser's own command prints is the page alone.
    page.emulate_media(media="print")
    seen = "[...document.querySelectorAll('.desk > *')].filter((e) => e.checkVisibility()).length"
    assert page.evaluate(seen) == 1
    expect(page.locator(".pages .paper")).to_be_visible()


def test_the_page_is_made_larger_and_two_stand_beside_each_other(
    shared_desk: ServedDesk, page: Page
) -> None:
    opened(shared_desk, page, "&second_page=1")
    papers = page.locator(".pages .paper")
    expect(papers).to_have_count(2)
    size = page.locator(".zoom [role=status]")
    before = wide(page)
    page.get_by_role("button", name="Smaller page").click()
    expect(size).to_have_text("80 %")
    assert wide(page) < before - 20
    page.locator(".pages").focus()
    page.keyboard.press("+")
    page.keyboard.press("+")
    expect(size).to_have_text("130 %")
    assert wide(page) > before + 20
    page.keyboard.press("0")
    page.keyboard.press("2")
    expect(page.get_by_role("button", name="Two pages")).to_have_attribute("aria-pressed", "true")
    expect(size).to_have_text("100 %")
    first, second = (papers.nth(at).bounding_box() or {} for at in (0, 1))
    assert first["y"] == second["y"]
    assert first["x"] + first["width"] < second["x"]
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 1440


def test_a_tune_with_mistakes_says_why_it_has_no_page_until_it_reads_well(
    desk: ServedDesk, page: Page
) -> None:
    (desk.folder / "broken.txt").write_text("Title: Broken\n\n| C | Gmaj8 |\n", encoding="utf-8")
    page.goto(f"{desk.address}/?tune=broken.txt")
    said = page.locator(".pages").get_by_role("status").filter(has_text="No page yet")
    expect(said).to_have_text("No page yet: mend the mistakes below the text.")
    expect(page.locator(".mistakes")).to_contain_text("not part of a chord")
    assert violations(page) == []
    page.get_by_role("button", name="Change it to Gmaj9").click()
    expect(page.locator(".paper").first).to_contain_text("Broken")
    expect(said).to_have_count(0)
    page.locator(".cm-line", has_text="Gmaj9").click()
    page.keyboard.press("End")
    page.keyboard.type(" Gmaj8 |")
    expect(page.locator(".pages")).to_have_class(re.compile("stale"))
    expect(page.locator(".mistakes")).to_contain_text("as it last read well")
    expect(said).to_have_count(0)


def wide(page: Page) -> float:
    """The width of the first page in pixels."""
    return (page.locator(".pages .paper").first.bounding_box() or {})["width"]


def test_a_page_drawn_by_its_parts_is_the_page_drawn_whole(desk: ServedDesk, page: Page) -> None:
    """Bars are added, changed and taken out; then the page is loaded anew."""
    opened(desk, page)
    page.locator(".cm-line", has_text="|").first.click()
    page.keyboard.press("End")
    page.keyboard.type(" Dm7 | G7 |")
    for _ in "7 |":
        page.keyboard.press("Backspace")
    page.keyboard.type("m7 | C9 |")
    for _ in " C9 |":
        page.keyboard.press("Backspace")
    expect(page.locator(".paper").first).to_contain_text("Dm7")
    expect(page.locator(".pages")).to_have_class(re.compile("^pages ?$"))
    expect(page.locator(".state")).to_have_text("not saved")
    page.wait_for_timeout(400)
    by_parts = page.evaluate(PICTURE)
    page.reload()
    expect(page.locator('.paper [data-chord="0"][role="button"]')).to_be_visible()
    expect(page.locator(".paper").first).to_contain_text("Dm7")
    assert page.evaluate(PICTURE) == by_parts


def test_a_page_that_is_not_as_it_was_sent_is_sent_whole(desk: ServedDesk, page: Page) -> None:
    opened(desk, page)
    before = page.evaluate(PICTURE)
    page.evaluate("document.querySelector('.pages .paper svg').lastElementChild.remove()")
    assert page.evaluate(PICTURE) != before
    page.locator(".cm-line", has_text="Title:").click()
    page.keyboard.press("End")
    page.keyboard.type("x")
    expect(page.locator(".paper").first).to_contain_text("Ledger Bluesx")
    page.wait_for_timeout(400)
    assert len(page.evaluate(PICTURE)) == len(before)


def test_a_damaged_page_comes_whole_though_it_is_the_one_that_was_sent_first(
    desk: ServedDesk, page: Page
) -> None:
    opened(desk, page)
    before = page.evaluate(f"JSON.stringify(({PICTURE})())")
    page.locator(".cm-line", has_text="Title:").click()
    page.keyboard.press("End")
    page.keyboard.type("x")
    expect(page.locator(".paper").first).to_contain_text("Ledger Bluesx")
    page.evaluate("document.querySelector('.pages .paper svg').lastElementChild.remove()")
    page.keyboard.press("Backspace")
    page.wait_for_function(f"(before) => JSON.stringify(({PICTURE})()) === before", arg=before)


def test_parts_are_never_put_into_a_page_that_they_do_not_belong_to(
    new_page: Callable[..., Page], desk: ServedDesk
) -> None:
    """The paper is changed while the answer to a key is under way, and both arrive at once."""
    page = new_page()
    held = HeldBack(page)
    opened(desk, page)
    held.holds = True
    page.locator(".cm-line", has_text="Tempo:").click()
    page.keyboard.press("End")
    page.keyboard.press("Backspace")
    page.keyboard.type("6")
    held.until(page, "tempo 116")
    page.get_by_role("combobox", name="paper").click()
    page.get_by_role("option", name="Letter").click()
    held.until(page, "612")
    held.let_go()
    expect(page.locator(".paper svg").first).to_have_attribute("width", "612pt")
    expect(page.locator(".paper").first).to_contain_text("tempo 116")
    same_after_reload(page, "tempo 116")


class HeldBack:
    """Holds messages of the server back, and gives them in the order of one round of sending.

    NiceGUI sends what it has gathered at once: changes of elements first, then scripts.
    """

    def __init__(self, page: Page) -> None:
        self.holds = False
        self.messages: list[list[Any]] = []
        page.route_web_socket(re.compile("socket.io"), self._through)

    def _through(self, socket: WebSocketRoute) -> None:
        self.socket, server = socket, socket.connect_to_server()
        server.on_message(self._given)

    def _given(self, message: str | bytes) -> None:
        if self.holds and isinstance(message, str) and message.startswith("42"):
            self.messages.append(json.loads(message[2:]))
        else:
            self.socket.send(message)

    def until(self, page: Page, part: str) -> None:
        """Wait for a message with this in it."""
        for _ in range(PATIENCE):
            if any(part in str(message) for message in self.messages):
                return
            page.wait_for_timeout(50)
        raise AssertionError(f"no message has {part!r} in it")

    def let_go(self) -> None:
        """Give the messages, and hold none any more."""
        self.holds = False
        first = min(content["_id"] for _, content in self.messages)
        ordered = sorted(self.messages, key=lambda message: message[0] != "update")
        for number, (kind, content) in enumerate(ordered, first):
            self.socket.send("42" + json.dumps([kind, {**content, "_id": number}]))


def test_a_browser_that_lost_its_connection_shows_what_changed_meanwhile(
    desk: ServedDesk, page: Page
) -> None:
    opened(desk, page)
    page.evaluate("() => { window.socket.disconnect(); }")
    text = desk.read(TUNE).replace("Ledger Blues", "Ledger Blues at Noon")
    (desk.folder / TUNE).write_text(text, encoding="utf-8")
    page.wait_for_timeout(1000 * CHECK_S + 500)
    page.evaluate("() => { window.socket.connect(); }")
    expect(page.locator(".paper").first).to_contain_text("Ledger Blues at Noon")
    page.locator(".cm-line", has_text="Title:").click()
    page.keyboard.press("End")
    page.keyboard.type("x")
    expect(page.locator(".paper").first).to_contain_text("Ledger Blues at Noonx")
    same_after_reload(page, "at Noonx")


def test_an_open_page_comes_back_with_its_text_when_the_server_was_killed(
    desk: ServedDesk, page: Page
) -> None:
    opened(desk, page)
    page.locator(".cm-line", has_text="Title:").click()
    page.keyboard.press("End")
    page.keyboard.type("x")
    expect(page.locator(".paper").first).to_contain_text("Ledger Bluesx")
    before = page.evaluate(PICTURE)
    page.evaluate("() => { window.stays = true; }")
    port = desk.port
    desk.stop(signal.SIGKILL)
    desk.start(port)
    page.wait_for_function("!window.stays")
    expect(page.locator(".paper").first).to_contain_text("Ledger Bluesx")
    expect(page.locator(".text .state")).to_have_text("not saved")
    assert page.evaluate(PICTURE) == before


def same_after_reload(page: Page, part: str) -> None:
    """The page as it stands is the one that is drawn when the address is loaded anew."""
    page.wait_for_timeout(400)
    by_parts = page.evaluate(PICTURE)
    page.reload()
    expect(page.locator(".paper").first).to_contain_text(part)
    assert page.evaluate(PICTURE) == by_parts


#: The elements at the top of each page and in its lines, without the cursor's mark.
PICTURE = """() => [...document.querySelectorAll('.pages .paper svg')].flatMap((svg) =>
    [...svg.children].flatMap((one) => one.matches('g.line')
      ? [one.getAttribute('transform'), ...one.children] : [one])
    .map((one) => one.outerHTML?.replace(' cursor-bar', '') ?? one))"""
