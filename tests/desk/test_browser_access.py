"""The desk for everyone: axe-core finds nothing wrong, all works by keyboard and at any width.

Sources: Web Content Accessibility Guidelines 2.2 (W3C, 2023): 1.4.10 Reflow (320 CSS pixels wide,
or 400 % of 1280), 2.1.1 Keyboard, 2.4.7 Focus Visible.
"""

from __future__ import annotations

import re
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


@pytest.mark.parametrize(
    ("width", "scheme"), [(1440, "light"), (1440, "dark"), (1024, "light"), (390, "dark")]
)
def test_axe_finds_nothing(
    shared_desk: ServedDesk, new_page: Callable[..., Page], width: int, scheme: str
) -> None:
    """The desk, with a chord's card, and with the menu of what can be taken away."""
    page = new_page(width=width, height=900, color_scheme=scheme, reduced_motion="reduce")
    opened(shared_desk, page)
    assert violations(page) == []
    page.locator('.paper [data-chord="0"]').first.press("Enter")
    expect(page.locator(".card").get_by_role("button", name="Use ").first).to_be_visible()
    if width > 760:
        zoom = page.get_by_role("button", name="Two pages").bounding_box()
        card = page.locator(".card").bounding_box()
        assert zoom is not None
        assert card is not None
        assert zoom["x"] + zoom["width"] <= card["x"]
    for fold in page.locator("button.fold:visible").all():
        fold.press("Enter")
    assert violations(page) == []
    page.locator(".card").press("Escape")
    page.get_by_role("button", name="Take away").click()
    expect(page.get_by_text("PDF to print")).to_be_visible()
    # An open menu stands at the end of the body: that it lies in no landmark breaks no criterion.
    portal = "region: ['#q-portal--menu"
    assert [each for each in violations(page) if not each.startswith(portal)] == []


def test_each_chord_of_the_page_is_named_with_its_bar(shared_desk: ServedDesk, page: Page) -> None:
    opened(shared_desk, page)
    name = re.compile(r"^bar 1 beats 1 to 4, F seven, .*frets [x\d ]+, fingers [\d ]+$")
    expect(page.get_by_role("button", name=name)).to_have_count(1)
    buttons = page.locator(".paper").get_by_role("button", name=re.compile(r"^bar \d+ beat"))
    expect(buttons).to_have_count(page.locator(".paper [data-chord]").count())


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


def test_nothing_is_cut_at_any_width(shared_desk: ServedDesk, page: Page) -> None:
    """720 is a window of 1440 at a zoom of 200 %."""
    opened(shared_desk, page)
    for width in (1024, 720, 390, 320):
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth") <= width


#: The names of controls that are seen and smaller than 24 pixels either way (WCAG 2.2, 2.5.8).
SMALL = """() => [...document.querySelectorAll("button, input, .q-checkbox, .top a")]
  .map((each) => each.closest("label, .q-checkbox, .q-uploader") ?? each)
  .filter((each) => each.checkVisibility())
  .filter((each) => { const box = each.getBoundingClientRect();
    return box.width > 0 && (box.width < 24 || box.height < 24) && each.type !== "range"; })
  .map((each) => each.outerHTML.slice(0, 120))"""


def test_a_narrow_window_leaves_the_room_to_text_and_page(
    shared_desk: ServedDesk, new_page: Callable[..., Page]
) -> None:
    page = new_page(width=390, height=844, reduced_motion="reduce")
    page.goto(f"{shared_desk.address}/?tune=harbour_at_six.txt")
    expect(page.locator(".player.ready")).to_be_visible()
    expect(page.locator(".paper svg")).to_be_in_viewport()
    expect(page.locator(".cm-content")).to_be_in_viewport()
    folds = (("Choices", "hand"), ("Tunes", "Find a tune"), ("More controls", "up to"))
    for name, inside in folds:
        fold, field = page.get_by_role("button", name=name), page.get_by_label(inside, exact=True)
        expect(fold).to_have_attribute("aria-expanded", "false")
        expect(field).to_be_hidden()
    taken = "[...document.querySelectorAll('.top, .shelf, .player')].map((e) => e.offsetHeight)"
    assert sum(page.evaluate(taken)) < 844 / 5
    for name, inside in folds:
        page.get_by_role("button", name=name).press("Enter")
        expect(page.get_by_label(inside, exact=True)).to_be_visible()
    assert page.evaluate(SMALL) == []
    page.get_by_role("button", name="More controls").press("Space")
    expect(page.get_by_label("up to", exact=True)).to_be_hidden()
    page.locator(".tune", has_text="Ledger Blues").click()
    shelf = page.get_by_role("button", name="Tunes", exact=True)
    expect(shelf).to_have_attribute("aria-expanded", "false")
    page.set_viewport_size({"width": 1440, "height": 900})
    for _, inside in folds:
        expect(page.get_by_label(inside, exact=True)).to_be_visible()
    expect(page.locator("button.fold:visible")).to_have_count(0)


#: What has the focus: its name, and whether an outline of 2 pixels or more (or that of the field
#: around it) shows it.
FOCUSED = """() => {
  const at = document.activeElement;
  const shown = [at, at.closest(".q-field, .import, .q-checkbox, .cm-editor")].some((each) => {
    if (!each) return false;
    const style = getComputedStyle(each);
    return style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2;
  });
  const label = at.getAttribute("aria-label") ?? at.labels?.[0]?.textContent ?? at.innerText;
  return [at === document.body ? "" : label || at.outerHTML.slice(0, 80), shown];
}"""


def test_every_control_is_reached_by_tab_with_its_focus_seen(
    shared_desk: ServedDesk, page: Page
) -> None:
    opened(shared_desk, page)
    expect(page.locator(".shelf .q-uploader__input")).to_have_attribute("tabindex", "0")
    names: list[str] = []
    unseen: list[str] = []
    for _ in range(140):
        page.keyboard.press("Tab")
        name, seen = page.evaluate(FOCUSED)
        if not name:  # behind the last control the browser's own come
            break
        names.append(name)
        if not seen:
            unseen.append(name)
        if name == "Text of the tune":
            page.keyboard.press("Escape")
    reached = "\n".join(names)
    for wanted in ("hand", "key", "Take away", "Find a tune", "Ledger Blues", "Rename", "Import",
                   "Text of the tune", "Page of the tune", "Larger page", "bar 12 beat", "Play",
                   "tempo", "Level of the bass", "Stand view"):  # fmt: skip
        assert wanted in reached
    assert unseen == []


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


def test_a_tune_is_made_mended_heard_and_drilled_by_keys_alone(
    desk: ServedDesk, page: Page
) -> None:
    """The focus is always seen, and is back where it was behind a dialog or a card."""
    opened(desk, page)
    press = page.keyboard.press
    text = page.locator(".cm-content")
    focus_on(page, "New")
    press("Enter")
    expect(text).to_be_focused()
    # The title is selected.
    page.keyboard.type("Quiet Harbour")
    expect(page.locator(".paper").first).to_contain_text("Quiet Harbour")
    press("Control+End")
    page.keyboard.type("B:\n| Dm7 | Gmaj8 | H7 | C6 ||")
    expect(page.locator(".w-wrong")).to_have_count(2)
    seen(page, "Text of the tune")
    for fix, left in (("Change it to Gmaj9", "Change it to B7"), ("Change it to B7", "Text of")):
        focus_on(page, fix)
        press("Enter")
        seen(page, left)
    expect(page.locator(".w-wrong")).to_have_count(0)
    press("Control+s")
    expect(page.locator(".tune-name")).to_have_text("quiet_harbour.txt")
    seen(page, "Text of the tune")
    focus_on(page, "bar 6 beat")
    press("Enter")
    seen(page, "Chord")
    expect(page.locator(".card").get_by_role("button", name="Use ").first).to_be_visible()
    focus_on(page, "Use ")
    press("Enter")
    expect(text).to_contain_text("Gmaj9<")
    seen(page, "Chord")
    expect(page.locator(".card").get_by_text("fixed by you")).to_be_visible()
    press("Escape")
    expect(page.locator(".card")).to_be_hidden()
    seen(page, "bar 6 beat")
    focus_on(page, "Play")
    press("Enter")
    expect(page.get_by_role("button", name="Stop")).to_be_focused()
    press("Enter")
    focus_on(page, "Drills", "Shift+Tab")
    press("Enter")
    expect(page.locator(".practice .hear").first).to_be_visible()
    expect(page.locator(".q-dialog__inner")).to_be_focused()
    assert (
        page.locator(".practice").evaluate("(it) => getComputedStyle(it).outlineStyle") == "solid"
    )
    press("Tab")
    seen(page, "Close")
    press("Escape")
    expect(page.locator(".practice")).to_have_count(0)
    seen(page, "Drills")


def test_the_focus_stays_near_what_is_made_anew(
    desk: ServedDesk, new_page: Callable[..., Page]
) -> None:
    page = new_page()
    opened(desk, page)
    press = page.keyboard.press
    for end in ("Enter", "Escape"):
        focus_on(page, "Rename")
        press("Enter")
        expect(page.get_by_label("New name")).to_be_focused()
        page.keyboard.type("my blues")
        press(end)
        expect(page.get_by_label("New name")).to_have_count(0)
        seen(page, "Rename")
    focus_on(page, "Slate Roofs", "Shift+Tab")
    press("Enter")
    expect(page.locator(".tune.open")).to_contain_text("Slate Roofs")
    seen(page, "Slate Roofs")
    focus_on(page, "Text of")
    page.keyboard.type("# ")
    focus_on(page, "Save", "Shift+Tab")
    press("Enter")
    expect(page.get_by_role("button", name="Save", exact=True)).to_be_disabled()
    seen(page, "Text of")
    page.keyboard.type("# ")
    (desk.folder / "slate_roofs.txt").write_text("Title: Theirs\n\n| C |\n", encoding="utf-8")
    expect(page.locator(".conflict")).to_contain_text("has changed in the folder")
    focus_on(page, "Take the one in the folder", "Shift+Tab")
    press("Enter")
    expect(page.locator(".paper").first).to_contain_text("Theirs")
    seen(page, "Text of")
    focus_on(page, "Take away", "Shift+Tab")
    press("Enter")
    expect(page.get_by_text("PDF to print")).to_be_visible()
    for key, item in (("ArrowDown", "PDF to print"), ("ArrowUp", "Text"), ("ArrowUp", "Sound")):
        press(key)
        seen(page, item)
    press("Escape")
    seen(page, "Take away")
    page.set_viewport_size({"width": 390, "height": 844})
    focus_on(page, "Tunes")
    press("Enter")
    focus_on(page, "F · 12")
    press("Enter")
    expect(page.locator(".tune-name")).to_have_text("my blues.txt")
    seen(page, "Tunes")


def seen(page: Page, name: str) -> None:
    """Wait until what has the focus has this name, and shows that it has it."""
    page.wait_for_function(
        f"(name) => {{ const [is] = ({FOCUSED})(); return is.includes(name); }}", arg=name
    )
    assert page.evaluate(FOCUSED)[1]


def focus_on(page: Page, name: str, key: str = "Tab") -> None:
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
        page.keyboard.press(key)
    raise AssertionError(f"Tab does not reach {name}")


def test_ctrl_c_ends_it_while_a_page_is_open(desk: ServedDesk, page: Page) -> None:
    opened(desk, page)
    assert desk.stop(signal.SIGINT) in (0, 130)
    assert "Traceback" not in (desk.cache / "stderr.txt").read_text()
