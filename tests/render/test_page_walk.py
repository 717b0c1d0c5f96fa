"""Every page of 200 tunes: each tune in another pick of options, every pair of options somewhere.

Of every page: durations read back from what is drawn, nothing overlaps or leaves the margins, no
size is below its floor, phrases are whole, the legend says what is drawn.
"""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator, Mapping
from typing import Any

import midneck
import pytest
from midneck.converter.chart import CompingChart
from midneck.grammar.sheet import Sheet
from midneck.render.page import Document, PageStyle, lay_out
from midneck.render.page.bars import BarPart
from midneck.render.page.body import Body, set_body
from midneck.render.page.drawing.items import Path, Text
from midneck.render.page.drawing.style import LARGE_PT
from midneck.render.page.head_foot import needs_caution
from midneck.render.page.layout import frames_of
from midneck.render.page.legend import MARKS
from midneck.render.page.line_breaks import PHRASE
from support.charts import TUNES
from support.page_beats import compare, read_bars
from support.pages import outside, overlaps, smallest_text, struck_through, texts
from support.tunes import tune_text

pytestmark = pytest.mark.slow

#: What is chosen about a page, and what is chosen about the chart.
PAGE: dict[str, tuple[Any, ...]] = {
    "paper": ("a4", "letter", "a5"),
    "landscape": (False, True),
    "large": (False, True),
    "bars_per_line": (None, None, 2, 3, 6),
    "grids": ("each", "new", "none"),
    "symbols": ("signs", "letters"),
    "neck_map": (None, "line", "page", "none"),
    "analysis": (None, True, False),
    "second_page": (False, True),
    "punch": (False, True),
    "binding": ("none", "book"),
}
CHART: dict[str, tuple[Any, ...]] = {
    "hand": ("right", "left"),
    "player": ("adult", "small-hand", "beginner"),
    "style": ("shell", "guide-tones", "colour", "four-note"),
    "instrument": (None, "Bb", "Eb"),
}
SEEDS, CHUNKS = 200, 20
#: The floors of sizes in points: of all text and of chord symbols (a choice of ours, no source).
LEAST, SYMBOL = 7.0, 20.0
#: Pages behind the chart, by their entries in the outline.
BEHIND = ("The hand on the neck", "Grips and practice")
WORDS = {row.words for row in MARKS}


def pick(seed: int) -> dict[str, Any]:
    """The options of a tune."""
    chance = random.Random(seed)
    return {name: chance.choice(values) for name, values in {**PAGE, **CHART}.items()}


def test_every_pair_of_options_occurs() -> None:
    picks = [pick(seed) for seed in range(SEEDS)]
    for (one, ones), (two, twos) in itertools.combinations({**PAGE, **CHART}.items(), 2):
        met = {(each[one], each[two]) for each in picks}
        assert met == set(itertools.product(ones, twos)), (one, two)


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_pages_of_tunes(chunk: int) -> None:
    for seed in range(chunk, SEEDS, CHUNKS):
        walk(tune_text(seed), pick(seed))


@pytest.mark.parametrize("name", sorted(TUNES))
def test_pages_of_examples(name: str) -> None:
    for seed in range(6):
        walk(TUNES[name], pick(1000 + seed))


def walk(text: str, options: Mapping[str, Any]) -> None:
    """Look at every page of a tune with some options."""
    chosen = {name: options[name] for name in CHART}
    chart = midneck.chart(text, **chosen).comping
    style = PageStyle(**{name: options[name] for name in PAGE})
    document = lay_out(chart, style)
    for page in document.pages:
        assert overlaps(page) == [], options
        assert struck_through(page) == [], options
    if style.binding == "none":
        assert [outside(page, style) for page in document.pages if outside(page, style)] == []
    check_bars(chart, music_of(document), style)
    check_legend(chart, document, style)
    frames = frames_of(chart, style, needs_caution(chart, style))
    check_phrases(set_body(chart, style, frames), style)


def music_of(document: Document) -> Document:
    """The document without the pages behind the chart."""
    ends = [entry.page for entry in document.outline if entry.title in BEHIND]
    pages = document.pages[: min(ends, default=len(document.pages))]
    return Document(pages, document.title)


def check_bars(chart: CompingChart, document: Document, style: PageStyle) -> None:
    """Durations are read back; text and symbols are no smaller than their floors."""
    read, written = read_bars(document), chart.sheet.bars
    assert len(read) == len(written), style
    for bar, found in zip(written, read, strict=True):
        compare(bar, found)
    assert smallest_text(document) >= (LARGE_PT if style.large else LEAST) - 1e-6, style
    sizes = [bar.size for bar in read if bar.symbols]
    assert min(sizes, default=SYMBOL) >= (LARGE_PT if style.large else SYMBOL) - 1e-6, style


def check_legend(chart: CompingChart, document: Document, style: PageStyle) -> None:
    """Marks that are drawn are explained, once, and those that are not are not."""
    words = [text for page in document.pages for text in texts(page) if text in WORDS]
    assert len(set(words)) == len(words), style
    ticked = any(bar.ticks for bar in read_bars(music_of(document)))
    assert ("beat with a chord" in words) == ticked, style
    items = [item for page in document.pages for item in page.items]
    dashed = any(isinstance(item, Path) and item.dash for item in items)
    assert ("for a substitute" in words) == dashed, style
    fingers = any(isinstance(item, Text) and item.grey == 1.0 for item in items)
    assert bool({"root", "guide tone", "other tone"} & set(words)) or not fingers, style


def check_phrases(body: Body, style: PageStyle) -> None:
    """A phrase of four plain bars shares a line where they fit, or else two lines of two bars."""
    most = style.bars_per_line or PHRASE
    lines = [line.line.pieces for line in body.lines]
    for phrase in plain_phrases(body.context.chart.sheet):
        parts = [[piece for piece in line if piece.bar in phrase] for line in lines]
        counts = [len(part) for part in parts if part]
        pieces = [piece for part in parts for piece in part]
        if len(pieces) > PHRASE or most not in (2, PHRASE):
            continue
        width = body.context.music_width
        if most >= PHRASE and least(pieces) <= 0.8 * width:
            assert counts == [PHRASE], (phrase, style)
        elif most >= 2 and max(least(pieces[:2]), least(pieces[2:])) <= width:
            assert counts in ([2, 2], [PHRASE]), (phrase, counts, style)


def least(pieces: list[BarPart]) -> float:
    """The width that bars need."""
    return sum(piece.least for piece in pieces)


def plain_phrases(sheet: Sheet) -> Iterator[range]:
    """The phrases of four bars of sections of nothing but plain bars, as indices of bars."""
    for section in sheet.sections:
        bars = sheet.bars[section.first : section.first + section.count]
        marked = any(
            bar.repeat_open or bar.endings or bar.pickup or bar.rest_bars or bar.simile == 2
            for bar in bars
        )
        inner = any(bar.double_bar or bar.repeat_close for bar in bars[:-1])
        after_pickup = section.first and sheet.bars[section.first - 1].pickup
        if marked or inner or after_pickup or section.count % PHRASE:
            continue
        for first in range(section.first, section.first + section.count, PHRASE):
            yield range(first, first + PHRASE)
