"""The player in a browser: what is given to the audio clock, heard at its output, and shown."""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import pairwise
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from support.served_desk import ServedDesk

pytestmark = pytest.mark.slow

#: Every start of a sound that is given to the audio clock and not taken back, and a tap on what
#: reaches the output.
LISTEN = """
window.starts = [];
const start = AudioBufferSourceNode.prototype.start;
const stop = AudioBufferSourceNode.prototype.stop;
AudioBufferSourceNode.prototype.start = function (when) {
  this.entry = { when, length: this.buffer.duration, now: this.context.currentTime };
  window.starts.push(this.entry);
  return start.call(this, when);
};
AudioBufferSourceNode.prototype.stop = function (when) {
  if (when <= this.entry.when) this.entry.taken = true;
  return stop.call(this, when);
};
const connect = AudioNode.prototype.connect;
AudioNode.prototype.connect = function (to, ...rest) {
  if (to === this.context.destination) {
    window.tap = this.context.createAnalyser();
    window.tap.fftSize = 32768;
    connect.call(this, window.tap);
  }
  return connect.call(this, to, ...rest);
};
window.loudest = () => {
  const heard = new Float32Array(window.tap.fftSize);
  window.tap.getFloatTimeDomainData(heard);
  return Math.max(...heard.map(Math.abs));
};
window.player = () => window.playing.state();
"""


def opened(desk: ServedDesk, page: Page, tune: str = "ledger_blues.txt") -> None:
    """The player with a tune, by default one of twelve bars."""
    page.add_init_script(LISTEN)
    page.goto(f"{desk.address}/?tune={tune}")
    expect(page.locator(".player.ready")).to_be_visible()
    page.evaluate("import('/static/player.js').then((found) => { window.playing = found; })")


def play(page: Page) -> None:
    page.get_by_role("button", name="Play").click()
    expect(page.get_by_role("button", name="Stop")).to_be_visible()


def state(page: Page) -> Any:
    return page.evaluate("player()")


def wait(page: Page, condition: str) -> None:
    """Wait for a condition on the player's state `s`."""
    page.wait_for_function(f"() => {{ const s = player(); return {condition}; }}")


def set_field(page: Page, name: str, value: int) -> None:
    field = page.get_by_label(name, exact=True)
    field.fill(str(value))
    field.press("Tab")


def test_the_tune_is_heard_after_a_bar_of_clicks(shared_desk: ServedDesk, page: Page) -> None:
    opened(shared_desk, page)
    play(page)
    wait(page, "s.heard?.counting")
    wait(page, "s.heard && !s.heard.counting && s.heard.part > 0.3")
    starts = page.evaluate("starts.filter((each) => !each.taken)")
    clicks = [each["when"] for each in starts if each["length"] < 0.1]
    others = [each["when"] for each in starts if each["length"] > 0.1]
    bar = page.evaluate("player().schedule.bars[0].length")
    assert min(others) - clicks[0] == pytest.approx(bar, abs=0.001)
    page.wait_for_function("loudest() > 0.02")


def test_the_cursor_stands_where_the_audio_clock_is(shared_desk: ServedDesk, page: Page) -> None:
    """At each move of the cursor its place on the screen, as a time, against the audio clock."""
    opened(shared_desk, page)
    play(page)
    wait(page, "s.heard && !s.heard.counting")
    differences = page.evaluate(
        """async () => {
          const line = document.querySelector(".play-line");
          const differences = [];
          await new Promise((done) => {
            const observer = new MutationObserver(() => {
              const s = player();
              const bar = s.schedule.bars[s.shown.bar];
              const box = document.querySelector(`g.bar[data-bar="${bar.number}"]`)
                .getBoundingClientRect();
              const x = line.getBoundingClientRect().left + 1;
              const at = bar.at + ((x - box.left) / box.width) * bar.length;
              differences.push(Math.abs(at - s.heard.at));
              if (differences.length >= 60) { observer.disconnect(); done(); }
            });
            observer.observe(line, { attributes: true });
          });
          return differences;
        }"""
    )
    assert max(differences) < 0.020


def test_space_starts_and_stops_and_arrows_go_by_bars(shared_desk: ServedDesk, page: Page) -> None:
    opened(shared_desk, page)
    place = page.locator(".player .place strong")
    page.locator("body").press("ArrowRight")
    page.locator("body").press("ArrowRight")
    expect(place).to_have_text("bar 3")
    page.locator("body").press("ArrowLeft")
    expect(place).to_have_text("bar 2")
    page.locator("body").press("Space")
    wait(page, "s.playing && s.heard?.bar === 1")
    page.locator("body").press("Space")
    expect(page.get_by_role("button", name="Play")).to_be_visible()
    wait(page, "!s.playing")


def test_bars_that_are_played_again_are_told_apart(shared_desk: ServedDesk, page: Page) -> None:
    """Harbour at Six repeats its bars 1 to 6, with two endings."""
    opened(shared_desk, page, "harbour_at_six.txt")
    labels = page.locator(".player .strip span")
    expect(labels).to_have_text(["1", "1 again", "11", "19"])
    loop = page.get_by_label("loop", exact=True)
    sections = ["off", "A, bars 1–10", "B, bars 11–18", "A, bars 19–26"]
    expect(loop.locator("option")).to_have_text(sections)
    for section, bars in (("A, bars 1–10", [0, 15]), ("B, bars 11–18", [16, 23])):
        loop.select_option(section)
        assert state(page)["loop"] == bars
    loop.select_option("off")
    page.locator(".player .strip").click(position={"x": 0.3 * strip_width(page), "y": 10})
    expect(page.locator(".player .place strong")).to_have_text(re.compile(r"^bar [2-5] again$"))
    page.set_viewport_size({"width": 390, "height": 844})
    expect(labels).to_have_text(["1", "11"])


def strip_width(page: Page) -> float:
    box = page.locator(".player .strip").bounding_box()
    assert box is not None
    return box["width"]


def test_space_in_the_text_is_a_letter(shared_desk: ServedDesk, page: Page) -> None:
    opened(shared_desk, page)
    page.locator(".cm-line", has_text="Title:").click()
    page.keyboard.press("End")
    page.keyboard.type(" Two")
    expect(page.locator(".cm-content")).to_contain_text("Blues Two")
    assert not state(page)["playing"]
    # Unsaved text would come back in the tests that follow.
    for _ in " Two":
        page.keyboard.press("Backspace")
    expect(page.locator(".text .state")).to_have_text("saved")


def test_a_drag_over_bars_of_the_page_makes_a_loop(shared_desk: ServedDesk, page: Page) -> None:
    opened(shared_desk, page)
    for number, then in ((2, page.mouse.down), (4, page.mouse.up)):
        box = page.locator(f'.pages g.bar[data-bar="{number}"]').bounding_box()
        assert box is not None
        page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        then()
    wait(page, "s.loop && s.loop[0] === 1 && s.loop[1] === 3")
    expect(page.get_by_label("loop from bar")).to_have_value("2")
    loop = page.get_by_label("loop", exact=True)
    expect(loop.locator("option:checked")).to_have_text("bars 2–4")
    loop.select_option("off")
    wait(page, "s.loop === null")


def test_a_new_tempo_sounds_within_half_a_second(shared_desk: ServedDesk, page: Page) -> None:
    """From 60 to 240 a minute: the clicks, a second apart, are a quarter of one apart."""
    opened(shared_desk, page)
    set_field(page, "tempo", 60)
    play(page)
    wait(page, "s.heard && !s.heard.counting && s.tempo === 60 && s.heard.part > 0.3")
    changed = state(page)["time"]
    page.get_by_label("tempo", exact=True).fill("240")
    sounding = page.evaluate("player().time") - changed
    wait(page, f"s.time > {changed + sounding + 1.2}")
    starts = page.evaluate("starts.filter((each) => !each.taken && each.length < 0.1)")
    clicks = [each["when"] for each in starts]
    after = [when for when in clicks if when > changed + sounding]
    assert after[0] < changed + sounding + 0.5
    assert after[1] - after[0] == pytest.approx(0.25, abs=0.01)


def test_a_loop_is_played_faster_each_time_up_to_a_goal(
    shared_desk: ServedDesk, page: Page
) -> None:
    """A bar in a loop at 300, 330 and then 340 a minute, as the clicks of four beats sound it."""
    opened(shared_desk, page)
    page.get_by_label("count in").uncheck()
    set_field(page, "tempo", 300)
    set_field(page, "loop from bar", 2)
    with page.expect_response("**/schedule/**"):
        page.evaluate("playing.changed(false)")
    set_field(page, "to", 2)
    for name, value in (("each time faster by", 30), ("up to", 340)):
        set_field(page, name, value)
    play(page)
    expect(page.get_by_label("tempo", exact=True)).to_have_value("340")
    wait(page, "s.tempo === 340 && s.heard?.part > 0.5")
    begun = state(page)["time"]
    wait(page, f"s.time > {begun + 1.5}")
    assert state(page)["tempo"] == 340
    starts = page.evaluate("starts.filter((each) => !each.taken && each.length < 0.1)")
    clicks = [each["when"] for each in starts]
    beats = [round(60 / (after - before)) for before, after in pairwise(clicks)]
    # On a machine that is busy a click may come late.
    tempos = [tempo for tempo in dict.fromkeys(beats) if tempo in (300, 330, 340)]
    assert tempos == [300, 330, 340]
    assert beats.count(340) > 4


def test_a_tempo_that_is_typed_into_the_text_is_played_until_one_is_chosen(
    shared_desk: ServedDesk, page: Page
) -> None:
    opened(shared_desk, page)
    tempo = page.get_by_label("tempo", exact=True)
    expect(tempo).to_have_value("112")
    page.locator(".cm-line", has_text="Tempo:").click()
    page.keyboard.press("End")
    page.keyboard.press("Backspace")
    page.keyboard.type("8")
    expect(tempo).to_have_value("118")
    tempo.fill("90")
    page.locator(".cm-line", has_text="Tempo:").click()
    page.keyboard.press("End")
    page.keyboard.press("Backspace")
    page.keyboard.type("4")
    expect(page.locator(".paper").first).to_contain_text("tempo 114")
    expect(tempo).to_have_value("90")
    page.keyboard.press("Backspace")
    page.keyboard.type("2")
    expect(page.locator(".text .state")).to_have_text("saved")


def test_what_was_typed_last_is_what_is_played(shared_desk: ServedDesk, page: Page) -> None:
    """A silent player asks for what it plays when typing pauses, or at the latest when it plays."""
    opened(shared_desk, page)
    page.locator(".cm-line", has_text="Tempo:").click()
    page.keyboard.press("End")
    page.keyboard.press("Backspace")
    page.keyboard.type("9")
    expect(page.locator(".paper").first).to_contain_text("tempo 119")
    assert state(page)["tempo"] == 112
    play(page)
    assert state(page)["tempo"] == 119
    page.get_by_role("button", name="Stop").click()
    page.locator(".cm-line", has_text="Tempo:").click()
    page.keyboard.press("End")
    page.keyboard.press("Backspace")
    page.keyboard.type("2")
    expect(page.locator(".text .state")).to_have_text("saved")


def test_play_waits_for_a_tune_that_is_not_there_yet(shared_desk: ServedDesk, page: Page) -> None:
    opened(shared_desk, page)
    # In one go, so that no schedule comes between.
    page.evaluate(
        """() => {
          playing.changed(true);
          if (player().schedule === null) document.querySelector("[data-player=play]").click();
        }"""
    )
    expect(page.get_by_role("button", name="Stop")).to_be_visible()
    wait(page, "s.playing && s.schedule !== null")


def test_another_name_leaves_tempo_and_loop(desk: ServedDesk, page: Page) -> None:
    opened(desk, page)
    set_field(page, "tempo", 90)
    set_field(page, "loop from bar", 2)
    set_field(page, "to", 4)
    page.get_by_role("button", name="Rename").click()
    page.get_by_label("New name").fill("ferry")
    page.get_by_label("New name").press("Enter")
    expect(page.locator(".tune-name")).to_have_text("ferry.txt")
    with page.expect_response("**/schedule/**"):
        page.locator(".cm-line", has_text="Title:").click()
        page.keyboard.press("End")
        page.keyboard.type("x")
    expect(page.locator(".paper").first).to_contain_text("Ledger Bluesx")
    assert state(page)["tempo"] == 90
    assert state(page)["loop"] == [1, 3]


def test_tracks_are_switched_off_one_by_one(shared_desk: ServedDesk, page: Page) -> None:
    opened(shared_desk, page)
    play(page)
    page.wait_for_function("loudest() > 0.02")
    for part in ("guitar", "bass", "click"):
        page.get_by_label(part, exact=True).uncheck()
    page.wait_for_function("loudest() < 0.0005")
    page.get_by_label("bass", exact=True).check()
    page.wait_for_function("loudest() > 0.005")


def test_a_browser_without_a_way_out_for_sound_says_so(
    shared_desk: ServedDesk, new_page: Callable[..., Page]
) -> None:
    """Firefox never wakes the clock of a computer without a sound device."""
    page = new_page()
    page.add_init_script("AudioContext.prototype.resume = () => new Promise(() => {});")
    page.goto(f"{shared_desk.address}/?tune=ledger_blues.txt")
    expect(page.locator(".player.ready")).to_be_visible()
    play = page.get_by_role("button", name="Play")
    play.click()
    expect(page.locator(".player .said")).to_contain_text("no way out for sound")
    expect(play).not_to_have_attribute("aria-busy", "true")
    page.get_by_role("button", name="Drills").click()
    hear = page.locator(".practice .hear").first
    hear.click()
    expect(page.locator(".practice-said")).to_contain_text("no way out for sound")
    expect(hear).to_have_attribute("aria-pressed", "false")
