"""Bar numbers: at the start of every line, over every bar of a neck page, none for a pickup."""

from __future__ import annotations

import pytest
from midneck.render.page import PageStyle, lay_out
from midneck.render.page.above import number_size
from midneck.render.page.context import layout_context
from midneck.render.page.drawing.geometry import item_box
from midneck.render.page.drawing.items import Rect, Text
from midneck.render.page.line import draw_line, measure_lines
from midneck.render.page.line_breaks import break_lines
from support.charts import CHARTS, LANTERNS, TUNES, chart_named, chart_of
from support.pages import overlaps, struck_through

STYLES = [
    PageStyle(), PageStyle(paper="a5"), PageStyle(large=True), PageStyle(bars_per_line=1),
    PageStyle(grids="none", analysis=False), PageStyle(landscape=True, neck_map="none"),
]  # fmt: skip


def numbers_of(context, line) -> list[str]:
    """The texts of a line's drawing that stand left of its music at the height of its top."""
    music = line.label + line.above
    left, x0 = line.line.left, context.gutter + line.line.left
    found = []
    for item in draw_line(context, line, (0.0, 0.0)):
        box = item_box(item) if isinstance(item, Text) else None
        if box is not None and left - 0.1 <= box[0] < box[2] < x0 and abs(box[1] - music) < 0.5:
            found.append(item.string)
    return found


@pytest.mark.parametrize("name", CHARTS)
def test_every_line_begins_with_the_number_of_its_first_bar(name: str) -> None:
    chart = chart_named(name)
    bars = chart.sheet.bars
    for style in STYLES:
        context = layout_context(chart, style)
        lines = measure_lines(context, break_lines(context, context.music_width))
        for line in lines:
            if not line.line.pieces:
                continue
            first = line.line.pieces[0]
            number = bars[first.bar].number
            expected = [str(number)] if first.opens and number else []
            assert numbers_of(context, line) == expected, style


def test_a_pickup_has_no_number_and_the_bar_behind_it_is_the_first() -> None:
    chart = chart_of("Key: C\n\nA:\n| G7 (pickup) |\n| C | F | G7 | C | F | C | G7 | C ||\n")
    context = layout_context(chart, PageStyle())
    lines = measure_lines(context, break_lines(context, context.music_width))
    assert [numbers_of(context, line) for line in lines] == [[], ["5"]]


def test_the_box_of_a_section_stands_below_the_number() -> None:
    context = layout_context(chart_of(LANTERNS), PageStyle())
    line = measure_lines(context, break_lines(context, context.music_width))[0]
    items = draw_line(context, line, (0.0, 0.0))
    number = next(item for item in items if isinstance(item, Text) and item.string == "1")
    box = next(item for item in items if isinstance(item, Rect) and item.fill is None)
    ink, frame = item_box(number), item_box(box)
    assert ink is not None
    assert frame is not None
    assert frame[1] - ink[3] >= 1.0
    assert frame[3] <= line.height


@pytest.mark.parametrize("style", STYLES)
def test_no_box_of_a_section_touches_a_text_that_is_not_its_own(style: PageStyle) -> None:
    for text in TUNES.values():
        for page in lay_out(chart_of(text), style).pages:
            boxes = [item for item in page.items if isinstance(item, Rect) and item.fill is None]
            for text_item in (item for item in page.items if isinstance(item, Text)):
                ink = item_box(text_item)
                if ink is None:
                    continue
                for box in boxes:
                    left, top, right, bottom = item_box(box) or ink
                    own = left < ink[0] < ink[2] < right and top < ink[1] < ink[3] < bottom
                    apart = min(right, ink[2]) <= max(left, ink[0]) or (
                        min(bottom, ink[3]) <= max(top, ink[1])
                    )
                    assert own or apart, text_item.string


@pytest.mark.parametrize("large", [False, True])
def test_the_size_of_bar_numbers(large: bool) -> None:
    context = layout_context(chart_of(LANTERNS), PageStyle(large=large))
    assert number_size(context) == pytest.approx(max(0.9 * context.sizes.small, 18.0 * large))
    assert number_size(context) >= 7.0


@pytest.mark.parametrize("name", sorted(TUNES))
def test_a_neck_page_numbers_every_bar(name: str) -> None:
    chart = chart_named(name)
    whole, page = (len(lay_out(chart, PageStyle(neck_map=neck)).pages) for neck in ("none", "page"))
    pages = lay_out(chart, PageStyle(neck_map="page")).pages[whole:page]
    context = layout_context(chart, PageStyle(grids="none", analysis=False))
    size = number_size(context)
    printed = [
        int(item.string)
        for one in pages
        for item in one.items
        if isinstance(item, Text) and item.string.isdigit() and item.spans[0].size == size
    ]
    assert printed == [bar.number for bar in chart.sheet.bars if bar.number]
    for one in pages:
        assert overlaps(one) == []
        assert struck_through(one) == []
