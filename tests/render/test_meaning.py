"""What the items of a page mean: groups that enclose them, and words that stand for pictures."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

import midneck
import pytest
from midneck.converter.chart import CompingChart
from midneck.converter.prose.chart import bar_alternative
from midneck.render.page import PageStyle, lay_out
from midneck.render.page.drawing.items import (
    Close,
    Group,
    Open,
    Page,
    Text,
)
from support.charts import FERRYMAN, LANTERNS, chart_of, said_of
from support.pages import with_groups

STYLES = {
    "plain": PageStyle(),
    "second page, large": PageStyle(second_page=True, large=True),
    "neck page, a5": PageStyle(neck_map="page", paper="a5"),
    "new grids, no analysis": PageStyle(grids="new", analysis=False),
}


def short(text: str) -> CompingChart:
    return midneck.chart(f"Title: Short\nKey: C\n\n{text}\n").comping


def opened(page: Page) -> Iterator[Group]:
    return (item.group for item in page.items if isinstance(item, Open))


@pytest.mark.parametrize("style", STYLES.values(), ids=STYLES)
@pytest.mark.parametrize("tune", [LANTERNS, FERRYMAN], ids=["lanterns", "ferryman"])
def test_groups_are_closed_on_their_page_and_lie_in_one_another(tune, style: PageStyle) -> None:
    for page in lay_out(chart_of(tune), style).pages:
        depth = 0
        for item in page.items:
            depth += isinstance(item, Open) - isinstance(item, Close)
            assert depth >= 0
        assert depth == 0
        for _, inside in with_groups(page.items):
            kinds = [group.kind for group in inside]
            assert kinds in (
                [], ["title"], ["heading"], ["text"], ["legend"], ["furniture"], ["decoration"],
                ["bar"], ["bar", "drawing"], ["bar", "chord"], ["bar", "chord", "drawing"],
                ["chord"], ["chord", "drawing"],
            )  # fmt: skip


def test_chords_stand_in_the_order_of_the_music_each_in_its_bar() -> None:
    chart = chart_of(FERRYMAN)
    found: list[tuple[int | None, int | None]] = []
    for page in lay_out(chart, PageStyle()).pages:
        found += [(group.bar, group.chord) for group in opened(page) if group.kind == "chord"]
    numbers = [bar.number for bar in chart.sheet.bars for _ in bar.chords]
    assert found == list(zip(numbers, range(len(numbers)), strict=True))


def test_every_text_is_in_a_group() -> None:
    style = PageStyle(second_page=True, neck_map="page")
    for page in lay_out(chart_of(LANTERNS), style).pages:
        texts = [both for both in with_groups(page.items) if isinstance(both[0], Text)]
        assert texts
        assert all(inside for _, inside in texts)


def test_chord_in_words() -> None:
    chart = short("| Dm7 | G7 | Cmaj7 | % |")
    said = [said_of(chart, index) for index in range(3)]
    # Shapes and fingers as teachers give them (common practice, no source): minor seventh with the
    # root on string 6, dominant seventh on 5, major seventh on 6.
    assert said == [
        "beats 1 to 4, D minor seven, the two minor seven in C major, "
        "frets 10 x 10 10 x x, fingers 2 3 3",
        "beats 1 to 4, G seven, the five seven, frets x 10 9 10 x x, fingers 2 1 3",
        "beats 1 to 4, C major seven, the one major seven, frets 8 x 9 9 x x, fingers 1 3 4",
    ]
    assert said_of(chart, 1, analysis=False).startswith("beats 1 to 4, G seven, frets")


def test_beats_in_words() -> None:
    chart = short("| Dm7=3.5 G7=0.5 | C6=1 Am7=2 N.C.=1 |")
    starts = [said_of(chart, index).partition(", ")[0] for index in range(5)]
    assert starts == [
        "from beat 1 for 3 1/2 beats", "from beat 4 1/2 for 1/2 beat",
        "beat 1", "beats 2 to 3", "beat 4",
    ]  # fmt: skip
    assert chart.sheet.chords[1].beats == Fraction(1, 2)
    assert said_of(chart, 4) == "beat 4, no chord"


def test_bar_in_words() -> None:
    bars = short("|: C6 | % | G7 :|").sheet.bars
    assert [bar_alternative(bar) for bar in bars] == [
        "repeat from here", "the bar before again", "go back, 2 times in all",
    ]  # fmt: skip
    assert bar_alternative(bars[0], meter_changes=True) == "4/4, repeat from here"


def test_a_far_resolution_in_words() -> None:
    chart = chart_of(LANTERNS)
    numbers = chart.sheet.bar_numbers
    far = {
        index: reading.resolves_to
        for index, reading in enumerate(chart.analysis.readings)
        if reading is not None and reading.resolves_to not in (None, index + 1)
    }
    assert far
    for index in range(len(chart.sheet.chords)):
        words = f"resolves in bar {numbers[far[index]]}" if index in far else "resolves"
        assert (words in said_of(chart, index)) == (index in far)
        assert "resolves" not in said_of(chart, index, analysis=False)


def test_a_new_meter_is_drawn_and_said() -> None:
    chart = short("| C6 | G7 |\nTime: 3/4\n| C6 | G7 |")
    page = lay_out(chart, PageStyle()).pages[0]
    changed = next(group for group in opened(page) if group.bar == 3)
    assert changed.alternative == "3/4"
    digits = [
        [group.kind for group in inside] for item, inside in with_groups(page.items)
        if inside[:1] == (changed,) and "chord" not in [group.kind for group in inside]
        and isinstance(item, Text) and item.string in ("3", "4")
    ]  # fmt: skip
    assert digits == [["bar", "drawing"]] * 2
