"""The desk in Chromium: from a key to the painted page, the start, and twenty tabs at once.

Times are real time, as a person waits, so that other work on the machine counts; what the server
does for a key is processor time. Needs a browser.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from statistics import median, quantiles
from tempfile import TemporaryDirectory
from typing import Final

from benchmarks.rows import Extent, Row, at_most
from midneck.grammar.text.reader import read_sheet
from midneck.grammar.text.writer import write_sheet
from midneck.grammar.transpose import interval_for, transpose_sheet
from midneck.render.desk.server import RECONNECT_S
from playwright.sync_api import Browser, Page, sync_playwright
from support.chromium import launched
from support.served_desk import ServedDesk

#: Four lines that no chart repeats: bars of a tune of any length.
LINES: Final = (
    "| Dm7 | G7 | Cmaj7 | Am7 |",
    "| Fm7 | Bb7 | Ebmaj7 | A7b9 |",
    "| Em7b5 | A7 | Dm7 | G7 |",
    "| Cmaj7 A7 | Dm7 G7 | Em7 A7 | Dm7 G7 |",
)
TABS: Final = 20
#: More roots than the desk keeps texts worked out.
ROOTS: Final = [letter + sign for letter in "CDEFGAB" for sign in ("", "b", "#")]
#: In the page: each key to the first chord of the tune, and how long its new picture takes, in ms.
#: A task behind the next frame's callbacks runs after that frame is painted.
TYPING: Final = """
window.taken = [];
window.typeRoots = async (roots, pause) => {
  const line = [...document.querySelectorAll(".cm-line")].find((each) => /^\\| [A-G][b#]?m7 /.test(each.textContent));
  for (const root of roots) {
    const shown = `, ${root.replace("b", " flat").replace("#", " sharp")} minor seven, `;
    const text = document.createTreeWalker(line, NodeFilter.SHOW_TEXT);
    let node = text.nextNode();
    while (!/[A-G]/.test(node.textContent)) node = text.nextNode();
    const old = /[A-G][b#]?/.exec(node.textContent);
    if (old[0] === root) continue;
    getSelection().setBaseAndExtent(node, old.index, node, old.index + old[0].length);
    await new Promise((done) => setTimeout(done, pause));
    const start = performance.now();
    document.execCommand("insertText", false, root);
    await new Promise((done) => {
      const painted = () =>
        document.querySelector('.paper [data-chord="0"] title')?.textContent.includes(shown);
      const watch = new MutationObserver(() => {
        if (!painted()) return;
        watch.disconnect();
        requestAnimationFrame(() => setTimeout(done, 0));
      });
      watch.observe(document.querySelector(".pages"), { subtree: true, childList: true, attributes: true, characterData: true });
    });
    window.taken.push(performance.now() - start);
  }
  return window.taken;
};
"""  # noqa: E501


def rows(extent: Extent) -> list[Row]:
    """Keys in tunes of 32 and 128 bars, the start, and tabs that type at once."""
    with TemporaryDirectory() as place, sync_playwright() as playwright:
        browser = launched(playwright)
        folder, cache = Path(place, "tunes"), Path(place, "cache")
        folder.mkdir()
        cache.mkdir()
        for bars in (32, 128):
            Path(folder, f"{bars}.txt").write_text(tune(bars))
        for tab in range(TABS):
            Path(folder, f"tab {tab}.txt").write_text(tune(32, tab))
        for tab in range(TABS):
            Path(folder, f"tab{tab}.txt").write_text(tune(32, tab))
        found = []
        with served(folder, cache) as (desk, ready_s):
            found.append(Row("desk ready after the command", ready_s, "s", target=at_most(4)))
            for bars, bound in ((32, 100), (128, 250)):
                if bars <= extent.bars:
                    found += _keys(browser, desk, bars, (8 * extent.rounds, bound))
            found += _tabs(browser, desk, min(TABS, extent.tunes), 2 * extent.rounds)
        browser.close()
    return found


def tune(bars: int, number: int = 0) -> str:
    """A tune of so many bars; of 24 numbers each has its own key or begins with another line."""
    octave, semitones = divmod(number, 12)
    lines = [LINES[(octave + line) % len(LINES)] for line in range(bars // 4)]
    text = "\n".join(["Title: Measured", "Key: C", "", "A:", *lines]) + "\n"
    sheet = read_sheet(text)
    assert sheet.header.key is not None
    return write_sheet(transpose_sheet(sheet, interval_for(sheet.header.key, semitones)))


@contextmanager
def served(folder: Path, cache: Path) -> Iterator[tuple[ServedDesk, float]]:
    """A desk, and how long it took to listen, in seconds."""
    desk, start = ServedDesk(folder, cache), time.perf_counter()
    desk.start()
    try:
        yield desk, time.perf_counter() - start
    finally:
        desk.stop()


def opened(browser: Browser, desk: ServedDesk, tune: str) -> Page:
    """A tab of its own with a tune by its name."""
    page = browser.new_context(viewport={"width": 1440, "height": 900}).new_page()
    page.add_init_script(TYPING)
    page.goto(f"{desk.address}/?tune={tune}.txt")
    page.wait_for_selector('.paper [data-chord="0"][role="button"]', timeout=120_000)
    page.wait_for_selector(".cm-line .w-chord", timeout=120_000)
    page.locator(".cm-content").focus()
    return page


def _keys(browser: Browser, desk: ServedDesk, bars: int, asked: tuple[int, float]) -> list[Row]:
    """One tab: each key is waited for. `asked`: how many keys, and the bound of the 95th part."""
    count, bound = asked
    page = opened(browser, desk, str(bars))
    page.evaluate("([roots]) => typeRoots(roots, 50)", [roots(12)])
    page.evaluate("window.taken = []")
    before = processor_s(desk)
    times = page.evaluate("([roots]) => typeRoots(roots, 50)", [roots(count)])
    used = 1000 * (processor_s(desk) - before) / count
    page.context.close()
    work = f"key to painted page, {bars} bars"
    return [
        Row(f"{work}, median", median(times), "ms"),
        Row(f"{work}, 95 of 100", high(times), "ms", target=at_most(bound)),
        Row(f"processor time of the server a key, {bars} bars", used, "ms"),
    ]


def _tabs(browser: Browser, desk: ServedDesk, count: int, keys: int) -> list[Row]:
    """Tabs that type at once, two keys a second each, each in a tune of its own; what they take,
    and what is left of them."""
    before = memory_mb(desk)
    times, most = _typed_at_once(browser, desk, count, keys)
    _typed_at_once(browser, desk, count, 1)
    if count == TABS:
        # A tab that may come back is kept so long.
        time.sleep(RECONNECT_S + 1)
    left = memory_mb(desk)
    return [
        Row(f"{count} tabs typing at once, median", median(times), "ms"),
        Row(f"{count} tabs typing at once, 95 of 100", high(times), "ms", target=at_most(600)),
        Row("memory of the server before them", before, "MB"),
        Row(f"memory of the server with {count} tabs", most, "MB"),
        Row("memory after they and as many more were closed", left, "MB"),
    ]


def _typed_at_once(
    browser: Browser, desk: ServedDesk, count: int, keys: int
) -> tuple[list[float], float]:
    """The times of all keys of so many tabs, and the memory then, in MB; the tabs are closed."""
    pages = [opened(browser, desk, f"tab {tab}") for tab in range(count)]
    for page in pages:
        page.evaluate("([roots]) => { window.all = typeRoots(roots, 500); }", [roots(keys)])
    times = [each for page in pages for each in page.evaluate("window.all")]
    most = memory_mb(desk)
    for page in pages:
        page.context.close()
    return times, most


def roots(count: int) -> list[str]:
    """Roots to type, each of them once in a round."""
    return [ROOTS[5 * number % len(ROOTS)] for number in range(count)]


def high(times: Sequence[float]) -> float:
    """The time that 95 of 100 do not exceed."""
    return quantiles(times, n=20, method="inclusive")[-1]


def processor_s(desk: ServedDesk) -> float:
    """The processor time of the server so far, in seconds (proc(5), Linux)."""
    assert desk.process is not None
    words = Path(f"/proc/{desk.process.pid}/stat").read_text().rpartition(")")[2].split()
    return (int(words[11]) + int(words[12])) / os.sysconf("SC_CLK_TCK")


def memory_mb(desk: ServedDesk) -> float:
    """The resident memory of the server, in MB (proc(5), Linux)."""
    assert desk.process is not None
    words = Path(f"/proc/{desk.process.pid}/statm").read_text().split()
    return int(words[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6
