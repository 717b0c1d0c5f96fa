"""The neck map by coordinates: frets to scale, marks, every shift told once, nothing touching."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from midneck.converter.chart import CompingChart
from midneck.render.page import PageStyle, lay_out
from midneck.render.page.context import layout_context
from midneck.render.page.drawing.geometry import item_box
from midneck.render.page.drawing.items import (
    Box,
    Circle,
    Close,
    Item,
    Line,
    Open,
    Page,
    Path,
    Rect,
    Text,
)
from midneck.render.page.drawing.neckmap import (
    HAIR_GREY,
    PATH,
    SHADE,
    STRIP,
    NeckScale,
    Stop,
    draw_neck_map,
    draw_small_map,
    neck_scale,
    root_mark,
    shift_text,
)
from midneck.render.page.line import scale_of
from support.charts import FERRYMAN, LANTERNS, TUNES, chart_of
from support.tunes import tune_text


def of(items: list[Item], kind: type) -> list:
    return [item for item in items if isinstance(item, kind)]


def words(items: list[Item]) -> list[str]:
    return [text.string for text in of(items, Text)]


def test_frets_are_drawn_to_scale_with_half_a_fret_to_spare() -> None:
    scale = neck_scale((2, 8), (3, 10), 3.0)
    # From 1.5 to 10.5: nine frets of three points, the higher fret higher up.
    assert scale.height == pytest.approx(27)
    assert [scale.y(fret) for fret in (10.5, 10, 3, 2)] == pytest.approx([0, 1.5, 22.5, 25.5])


@pytest.mark.parametrize("wanted", [0.5, 1.9])
def test_a_fret_is_never_lower_than_two_points(wanted: float) -> None:
    scale = neck_scale((5,), (3, 10), wanted)
    assert scale.fret == 2.0
    assert scale.filling(8 * wanted).fret == 2.0
    assert scale.filling(32.0).fret == pytest.approx(4.0)


def test_eight_frets_are_in_view_however_narrow_the_window_is() -> None:
    scale = neck_scale((6,), (5, 7), 2.0)
    assert (scale.low, scale.high) == (4.5, 12.5)


def test_the_hand_s_way_its_window_and_its_marks() -> None:
    scale = neck_scale((2, 8), (3, 10), 3.0)
    stops = [Stop(20, 8, 6), Stop(50, 8, 5), Stop(80, 2, 4), Stop(95, 2, None)]
    items = draw_neck_map(stops, (0, 120), 200, scale, 7)
    window, *squares = of(items, Rect)
    # The window, frets 3 to 10, has half a fret to spare: from 200 to 200 + 8 · 3.
    assert (window.y, window.h, window.fill) == (200, 24, SHADE)
    (path,) = of(items, Path)
    # Fret 8 lies 2.5 · 3 below the top, fret 2 8.5 · 3.
    assert path.steps == (("M", 20, 207.5), ("L", 80, 207.5), ("L", 80, 225.5), ("L", 120, 225.5))
    middles = [(square.x + square.w / 2, square.y + square.h / 2) for square in squares]
    assert [x for x, _ in middles] == pytest.approx([20, 50, 80])
    assert [y for _, y in middles] == pytest.approx([207.5, 207.5, 225.5])
    assert [square.fill for square in squares] == [0.0, 1.0, 1.0]
    # Only the root on string 4 has a dot in its square; without a root there is a tick.
    assert [(circle.x, circle.y) for circle in of(items, Circle)][-1] == (80, 225.5)
    assert [line.x1 for line in of(items, Line) if line.x1 == line.x2] == [95]


@pytest.mark.parametrize("string", range(1, 8))
def test_root_marks_are_squares_of_one_size(string: int) -> None:
    square, *rest = root_mark(string, (10, 20), 2.5, 0.8)
    assert isinstance(square, Rect)
    assert item_box(square) == pytest.approx((7.5, 17.5, 12.5, 22.5))
    assert len(rest) == (string not in (5, 6))


def test_hairlines_and_dots_of_the_neck() -> None:
    scale = neck_scale((1, 13), (3, 10), 3.2)
    items = draw_neck_map([], (40, 140), 0, scale, 7)
    hairs = {line.y1: (line.x1, line.x2) for line in of(items, Line)}
    assert hairs == {scale.y(fret): (40, 140) for fret in (3, 5, 7, 10, 12)}
    counts = [sum(dot.y == y for dot in of(items, Circle)) for y in hairs]
    assert counts == [1, 1, 1, 1, 2]
    assert words(items) == ["3", "12", "7", "5", "10"]


@pytest.mark.parametrize(("fret", "said"), [(2.0, ["3", "10", "7"]), (3.2, ["3", "10", "7", "5"])])
def test_fret_numbers_stand_clear_of_each_other(fret: float, said: list[str]) -> None:
    items = draw_neck_map([], (40, 140), 0, neck_scale((5,), (3, 10), fret), 6.6)
    assert words(items) == said
    boxes = sorted((item_box(text) for text in of(items, Text)), key=lambda box: box[1])
    assert all(above[3] + 1.0 < below[1] for above, below in pairwise(boxes))
    assert all(box[2] < 40 - 1.5 for box in boxes)


def test_a_shift_is_told_with_its_sign() -> None:
    assert (shift_text(3), shift_text(-2), shift_text(-11)) == ("+3", "−2", "−11")
    stops = [Stop(0, 5, None, marked=False), Stop(20, 8, 6), Stop(50, 6, 5), Stop(80, 6, 6)]
    items = draw_neck_map(stops, (0, 120), 0, neck_scale((5, 8), (3, 10), 2.0), 6.6)
    assert words(items)[-2:] == ["+3", "−2"]


def grown(box: Box, by: float) -> Box:
    return box[0] - by, box[1] - by, box[2] + by, box[3] + by


def touch(one: Box, other: Box) -> bool:
    return (
        min(one[2], other[2]) - max(one[0], other[0]) > 0
        and min(one[3], other[3]) - max(one[1], other[1]) > 0
    )


def check_clear(items: list[Item], scale: NeckScale, top: float) -> None:
    """Numbers of shifts touch no part of the path, no mark, no hairline, no other number."""
    texts = [item_box(text) for text in of(items, Text)]
    solid = [item_box(item) for item in of(items, Line)]
    solid += [item_box(item) for item in of(items, Rect) if item.fill != SHADE]
    for path in of(items, Path):
        points = [step[1:] for step in path.steps]
        for (x1, y1), (x2, y2) in pairwise(points):
            box = min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)
            solid.append(grown(box, 0.5 * PATH))
    for place, box in enumerate(texts):
        assert not any(touch(box, other) for other in solid)
        assert not any(touch(box, other) for other in texts[:place])
        assert top - 2.5 < box[1] < box[3] < top + scale.height + 2.5


@pytest.mark.parametrize("edges", [(0, 75), (0, 45, 75), (0, 28, 75)])
@pytest.mark.parametrize("fret", [2.0, 2.6, 4.0])
def test_numbers_of_any_two_shifts_touch_nothing(fret: float, edges: tuple[float, ...]) -> None:
    scale = neck_scale((2, 10), (3, 10), fret)
    for first in range(2, 11):
        for second in range(2, 11):
            for third in range(2, 11):
                stops = [Stop(15, first, 6), Stop(35, second, 5), Stop(55, third, 6)]
                items = draw_neck_map(stops, edges, 100, scale, 6.6)
                check_clear(items, scale, 100)
                told = [(second - first), (third - second)]
                said = [word for word in words(items) if word[0] in "+−"]
                assert said == [shift_text(each) for each in told if each]


def shifts_of(chart: CompingChart) -> list[str]:
    """The shifts between the written chords of a plan, in order."""
    positions = [grip.position for grip in chart.plan.grips if grip is not None]
    return [shift_text(b - a) for a, b in pairwise(positions) if a != b]


def told(page: Page) -> list[str]:
    """The shifts that a page tells, its legend apart."""
    said: list[str] = []
    groups: list[str] = []
    for item in page.items:
        if isinstance(item, Open):
            groups.append(item.group.kind)
        elif isinstance(item, Close):
            groups.pop()
        elif isinstance(item, Text) and item.string[0] in "+−" and item.string[1:].isdigit():
            said += [] if "legend" in groups else [item.string]
    return said


CHARTS = [*sorted(TUNES), *map(str, range(40))]
STYLES = [
    PageStyle(), PageStyle(paper="a5"), PageStyle(landscape=True),
    PageStyle(large=True, neck_map="line", analysis=True),
    PageStyle(grids="none"), PageStyle(bars_per_line=8), PageStyle(neck_map="page"),
]  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("name", CHARTS)
def test_every_shift_is_told_once_with_its_sign(name: str) -> None:
    chart = chart_of(TUNES[name] if name in TUNES else tune_text(int(name)))
    for style in STYLES:
        said = [word for page in lay_out(chart, style).pages for word in told(page)]
        assert said == shifts_of(chart), style
        assert scale_of(layout_context(chart, style)).fret >= 2.0


def test_maps_get_three_points_a_fret_where_a_page_has_room() -> None:
    page = lay_out(chart_of("Key: C\n\nA:\n| Dm7 | G7 | C6 | A7 ||\n"), PageStyle()).pages[0]
    hairs = [item for item in page.items if isinstance(item, Line) and item.grey == HAIR_GREY]
    ys = sorted({hair.y1 for hair in hairs if hair.y1 == hair.y2})
    # Hairlines of frets 3, 5, 7 and 10: seven frets from the first to the last.
    assert len(ys) == 4
    assert (ys[-1] - ys[0]) / 7 >= 3.0


def test_the_small_map_is_the_whole_way_in_its_box() -> None:
    chart = chart_of(LANTERNS)
    box = (100.0, 50.0, 200.0, 66.0)
    beats = [written.beats for written in chart.sheet.chords]
    stays = list(zip(beats, chart.plan.grips, strict=True))
    drawn = draw_small_map(stays, chart.player.window, box)
    ground, path, *mark = [item for item in drawn if item_box(item) is not None]
    assert item_box(ground) == pytest.approx(box)
    assert isinstance(path, Path)
    way = item_box(path)
    assert way is not None
    assert way[0] >= box[0]
    assert way[1] >= box[1]
    assert way[2] <= box[2] + 0.5
    assert way[3] <= box[3]
    ups = sum(a[1] == b[1] and a[2] != b[2] for a, b in pairwise(path.steps))
    assert ups == len(shifts_of(chart))
    assert mark


def test_a_long_way_is_thinned_out_where_nobody_sees_it() -> None:
    """Thousands of stops in a strip of a few points: the highest, the lowest and the last stay."""
    grips = sorted(filter(None, chart_of(FERRYMAN).plan.grips), key=lambda grip: grip.position)
    low, high = grips[0], grips[-1]
    stays = [(Fraction(1), high if place in (3000, 3001) else low) for place in range(6000)]
    drawn = draw_small_map([*stays, (Fraction(1), high)], (3, 10), (20.0, 10.0, 110.0, 25.0))
    (path,) = of(drawn, Path)
    assert len(path.steps) < 4 * 90 / STRIP
    levels = [y for _, _, y in path.steps]
    # Low, up and down once, up at the end: two corners for each of the three shifts, and the ends.
    assert len(path.steps) == 8
    assert levels == [levels[0]] * 2 + [min(levels)] * 2 + [levels[0]] * 2 + [min(levels)] * 2
    assert path.steps[2][1] == pytest.approx(66, abs=STRIP + 2)


@pytest.mark.parametrize("name", sorted(TUNES))
def test_every_page_shows_the_hand_s_way_small_whatever_is_left_out(name: str) -> None:
    chart = chart_of(TUNES[name])
    for plain in (False, True):
        style = PageStyle(second_page=True) if not plain else PageStyle(
            grids="none", analysis=False, neck_map="none"
        )  # fmt: skip
        for number, page in enumerate(lay_out(chart, style).pages):
            grounds = [i for i in page.items if isinstance(i, Rect) and i.fill == SHADE]
            top = min(ground.y for ground in grounds)
            assert top < 110, (style, number)
