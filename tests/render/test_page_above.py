"""What stands over bars: the form in one row, signs over chords in another, nothing touching."""

from __future__ import annotations

from itertools import combinations

import pytest
from midneck.render.page import PageStyle, lay_out
from midneck.render.page.above import CHORDS, FORM, draw_over_bar, draw_over_chord, heights
from midneck.render.page.context import layout_context
from midneck.render.page.drawing.geometry import item_box, union
from midneck.render.page.drawing.items import Box, Item, Line, Text
from support.charts import FERRYMAN, body_of, chart_of
from support.pages import overlaps, struck_through, texts

#: All that can stand over bars, in bars as narrow as they come.
FULL = """Title: All of It
Time: 3/4

A:
|: C(push) | F(hold) | G7 :|4x C |
|: C |1,2. Segno C(hold) | % :|3. Dm7 G7(push) | C Fine ||
B:
| C | % D.S. al Fine ||
"""


def box_of(items: list[Item]) -> Box:
    found = union([box for box in map(item_box, items) if box is not None])
    assert found is not None
    return found


def touching(one: Box, other: Box) -> bool:
    return not (
        one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
    )


@pytest.mark.parametrize("style", [
    PageStyle(), PageStyle(bars_per_line=8), PageStyle(paper="a5"), PageStyle(large=True),
    PageStyle(landscape=True, grids="none"), PageStyle(bars_per_line=1),
], ids=str)  # fmt: skip
@pytest.mark.parametrize("text", [FULL, FERRYMAN], ids=["full", "ferryman"])
def test_texts_and_signs_over_bars_keep_clear(text: str, style: PageStyle) -> None:
    for page in lay_out(chart_of(text), style).pages:
        assert overlaps(page) == []
        assert struck_through(page) == []
    body = body_of(text, style)
    for line in body.lines:
        groups: list[Box] = []
        for place, piece in enumerate(line.line.pieces):
            ends = piece.opens, piece.closes
            at = piece.x, piece.x + piece.width, -line.holds
            over = draw_over_bar(body.context, piece.bar, ends, at)
            groups += [box_of([item]) for item in over if isinstance(item, Text)]
            for chord, x in zip(piece.chords, line.starts[place], strict=True):
                signs = draw_over_chord(body.context, chord.index, x, 0.0)
                if signs:
                    groups.append(box_of(signs))
        for one, other in combinations(groups, 2):
            assert not touching(one, other)


def test_a_sign_stands_over_the_bar_line_and_words_end_before_the_next() -> None:
    text = "Time: 4/4\nA:\n| Segno C Fine | F | G7 | F D.S. al Fine ||\n"
    context = layout_context(chart_of(text), PageStyle())
    size = context.sizes.small
    items = draw_over_bar(context, 0, (True, True), (100.0, 260.0, 50.0))
    words = [item for item in items if isinstance(item, Text)]
    assert [item.string for item in words] == ["Fine"]
    # Right-aligned, clear of half a sign over the bar line.
    assert box_of(list(words))[2] == pytest.approx(260.0 - 0.95 * size, abs=0.6)
    signs = [item for item in items if not isinstance(item, Text)]
    assert box_of(signs)[0] + box_of(signs)[2] == pytest.approx(200.0, abs=1.0)
    assert box_of(signs)[2] <= 100.0 + 0.7 * size
    assert 50.0 - FORM * size <= box_of(signs)[1]
    assert box_of(signs)[3] <= 50.0


def test_an_ending_ends_before_a_sign_over_the_bar_line_behind_it() -> None:
    text = "A:\n|: C |1. F :|2. G7 ||\nCoda:\n| Coda C | F ||\n"
    context = layout_context(chart_of(text), PageStyle())
    ending = draw_over_bar(context, 2, (True, True), (0.0, 100.0, 50.0))
    sign = draw_over_bar(context, 3, (True, True), (100.0, 200.0, 50.0))
    assert sign
    assert box_of(ending)[2] < box_of(sign)[0]


def test_holds_get_a_row_below_the_form() -> None:
    def rows(text: str) -> tuple[float, float]:
        context = layout_context(chart_of(f"Time: 4/4\nA:\n{text}\n"), PageStyle())
        return heights(context, range(2))

    small = layout_context(chart_of(FULL), PageStyle()).sizes.small
    assert rows("| C | F ||") == (0.0, 0.0)
    assert rows("| Segno C | F ||") == (FORM * small, 0.0)
    assert rows("| C(hold) | F ||") == (0.0, CHORDS * small)
    assert rows("| Segno C(hold) | F ||") == (FORM * small, CHORDS * small)


def test_the_last_ending_stays_open_where_music_goes_on() -> None:
    text = "Time: 4/4\nA:\n|: C | F |1. G7 | C :|2. G7 | C ||\nB:\n| F | C ||\n"
    context = layout_context(chart_of(text), PageStyle())

    def posts(bar: int) -> int:
        items = draw_over_bar(context, bar, (True, True), (0.0, 100.0, 0.0))
        return sum(isinstance(item, Line) and item.x1 == item.x2 for item in items)

    # A post opens each ending; the repeat closes the first one, nothing the second.
    assert [posts(bar) for bar in (2, 3, 4, 5)] == [1, 1, 1, 0]
    last = layout_context(chart_of(text.split("B:")[0]), PageStyle())
    closing = draw_over_bar(last, 5, (True, True), (0.0, 100.0, 0.0))
    assert sum(isinstance(item, Line) and item.x1 == item.x2 for item in closing) == 1


@pytest.mark.parametrize("meter", ["4/4", "3/4", "6/8", "12/8"])
def test_the_time_signature_stands_in_the_music(meter: str) -> None:
    upper, lower = meter.split("/")
    text = f"Time: {meter}\n\nA:\n| C | F ||\n\nTime: 2/4\nB:\n| C | F ||\n"
    page = lay_out(chart_of(text), PageStyle(neck_map="none", analysis=False)).pages[0]
    found = [
        item for item in page.items if isinstance(item, Text) and item.string in (upper, lower)
    ]
    figures = [item for item in found if item.spans[0].size >= 20.0]
    assert len(figures) >= 2
    assert figures[0].y < figures[1].y
    symbol = next(item for item in page.items if isinstance(item, Text) and item.string == "C")
    for figure in figures[:2]:
        assert figure.x + figure.spans[-1].end < symbol.x
    assert texts(page).count("2") >= 1


def test_an_early_stroke_and_a_hold_stand_side_by_side() -> None:
    text = "Time: 4/4\nA:\n| C(push) | F(hold) | G7(push)(hold) | C ||\n"
    context = layout_context(chart_of(text), PageStyle())
    push, hold, both, none = (draw_over_chord(context, at, 100.0, 50.0) for at in range(4))
    assert push
    assert hold
    assert none == []
    assert both[: len(push)] == push
    arch = both[len(push) :]
    assert [type(item) for item in arch] == [type(item) for item in hold]
    assert box_of(arch)[0] > box_of(push)[2]
    assert box_of(hold)[0] == pytest.approx(100.0, abs=1.0)
    assert box_of(arch)[1::2] == box_of(hold)[1::2]
    assert box_of(both)[3] <= 50.0
