"""Brackets, arrows and goals in words: which there are, and that they touch nothing on the page."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from midneck.converter.harmony.analysis import Analysis
from midneck.render.page import PageStyle, lay_out
from midneck.render.page.context import BRACKETED, FURTHEST, Link, find_links, layout_context
from midneck.render.page.drawing.geometry import item_box
from midneck.render.page.drawing.items import Circle, Page, Path, Text
from midneck.render.page.drawing.style import REGULAR_METRICS
from midneck.render.page.line import MeasuredLine, draw_line, measure_lines
from midneck.render.page.line_breaks import break_lines
from midneck.render.page.marks import FLOOR, GOAL, RADIUS, Mark, draw_mark
from support.charts import CHARTS, LANTERNS, chart_named, chart_of
from support.pages import overlaps, parts_of, struck_through

STYLES = [
    PageStyle(), PageStyle(paper="a5", symbols="letters"),
    PageStyle(large=True, neck_map="line", analysis=True),
    PageStyle(grids="none"), PageStyle(bars_per_line=6, landscape=True),
]  # fmt: skip


def measured(text: str, style: PageStyle | None = None):
    context = layout_context(chart_of(text), style or PageStyle())
    return context, measure_lines(context, break_lines(context, context.music_width))


def aims(analysis: Analysis, goals: dict[int, int]) -> Analysis:
    """The analysis with other goals, and without areas."""
    readings = tuple(
        reading and replace(reading, resolves_to=goals.get(place))
        for place, reading in enumerate(analysis.readings)
    )
    return replace(analysis, readings=readings, areas=())


def test_a_two_five_one_has_a_bracket_and_an_arrow() -> None:
    links = find_links(chart_of("Key: C\n\nA:\n| Dm7 | G7 | C6 | % ||\n").analysis)
    assert links.drawn == (Link("bracket", 0, 1), Link("arrow", 1, 2))
    assert links.told == {}


@pytest.mark.parametrize(
    ("goals", "drawn", "told"),
    [
        # To one of the next two chords an arrow leads, further or back the goal is told.
        ({0: 1, 1: 3, 4: 7}, [(0, 1), (1, 3)], {4: 7}),
        ({5: 0}, [], {5: 0}),
        # The shorter of two that would lie over each other is drawn.
        ({0: 2, 1: 2}, [(1, 2)], {0: 2}),
        ({0: 2, 1: 3, 3: 4}, [(0, 2), (3, 4)], {1: 3}),
        ({0: 6, 1: 6, 2: 6, 3: 6, 4: 6, 5: 6}, [(5, 6)], {0: 6, 1: 6, 2: 6, 3: 6, 4: 6}),
    ],
)
def test_which_goals_an_arrow_shows_and_which_are_told(goals, drawn, told) -> None:
    links = find_links(aims(chart_of(LANTERNS).analysis, goals))
    assert [(link.first, link.last) for link in links.drawn] == drawn
    assert links.told == told


@pytest.mark.parametrize("name", CHARTS)
def test_every_resolution_and_every_two_five_is_shown_once(name: str) -> None:
    analysis = chart_named(name).analysis
    links = find_links(analysis)
    arrows = {link.first: link.last for link in links.drawn if link.kind == "arrow"}
    assert not arrows.keys() & links.told.keys()
    expected = {
        place: reading.resolves_to
        for place, reading in enumerate(analysis.readings)
        if reading is not None and reading.resolves_to is not None
    }
    assert arrows | links.told == expected
    assert all(0 < goal - chord <= FURTHEST for chord, goal in arrows.items())
    for before, after in pairwise(links.drawn):
        assert before.span[1] <= after.span[0]
    starts = {link.first for link in links.drawn if link.kind == "bracket"}
    assert starts <= {area.chords[0] for area in analysis.areas if area.kind in BRACKETED}


def goals(page: Page) -> list[str]:
    return [
        item.string for item in page.items if isinstance(item, Text) and item.string[:2] == "→ "
    ]


@pytest.mark.parametrize("name", CHARTS)
def test_goals_that_are_told_name_their_bar_or_their_chord(name: str) -> None:
    chart = chart_named(name)
    said = [word for page in lay_out(chart, PageStyle()).pages for word in goals(page)]
    told = find_links(chart.analysis).told
    assert len(said) == len(told)
    bars = chart.sheet.bar_numbers
    for word, (chord, goal) in zip(said, sorted(told.items()), strict=True):
        if bars[goal] not in (0, bars[chord]):
            assert word in (f"→ bar {bars[goal]}", f"→ {bars[goal]}")
        else:
            assert word[2] == str(chart.sheet.chords[goal].chord)[0]


def test_an_arrow_leaves_in_a_curve_and_ends_in_a_dot() -> None:
    shaft, goal = draw_mark(Mark("arrow", 0, 50), 10, 100, 8)
    assert isinstance(shaft, Path)
    assert shaft.steps[0] == ("M", 10, 100)
    assert shaft.dash == ()
    assert goal == Circle(60, 100 + GOAL * 8, RADIUS * 8)
    # Shaft and goal stay within the lane.
    for item in (shaft, goal):
        box = item_box(item)
        assert box is not None
        assert box[1] >= 100 - shaft.width
        assert box[3] <= 108


def test_arrow_of_a_substitute_is_broken() -> None:
    shaft, _ = draw_mark(Mark("arrow", 0, 50, broken=True), 10, 0, 8)
    assert isinstance(shaft, Path)
    assert shaft.dash


@pytest.mark.parametrize(
    ("bars", "broken"),
    [
        ("Dm7 | Db7 | Cmaj7 | %", [True]),
        # D7 is the V of the G7 that D♭7 stands for.
        ("D7 | Db7 | Cmaj7 | %", [False, True]),
    ],
)
def test_arrows_are_broken_where_the_numeral_is_a_substitute(bars: str, broken) -> None:
    _, lines = measured(f"Key: C\n\nA:\n| {bars} ||\n")
    assert [mark.broken for mark in lines[0].marks if mark.kind == "arrow"] == broken


def test_mark_that_goes_on_in_the_next_line() -> None:
    (out,) = draw_mark(Mark("arrow", 20, 100, cut_right=True), 0, 0, 10)
    back, goal = draw_mark(Mark("arrow", 0, 30, cut_left=True), 0, 0, 10)
    assert isinstance(out, Path)
    assert isinstance(back, Path)
    # Both run level and open where the line ends and begins.
    assert out.steps[-1] == ("L", 100, pytest.approx(10 * FLOOR))
    assert back.steps[0] == ("M", 0, pytest.approx(10 * FLOOR))
    assert isinstance(goal, Circle)
    assert goal.x == 30


def test_a_mark_runs_through_every_line_between_its_chords() -> None:
    text = "Key: C\n\nA:\n| Dm7 | G7 | C6 | A7 ||\n"
    chart = chart_of(text)
    chart = replace(chart, analysis=aims(chart.analysis, {0: 2}))
    context = layout_context(chart, PageStyle(bars_per_line=1))
    lines = measure_lines(context, break_lines(context, context.music_width))
    cuts = [[(mark.cut_left, mark.cut_right) for mark in line.marks] for line in lines]
    assert cuts == [[(False, True)], [(True, True)], [(True, False)], []]
    ends = [line.line.pieces[-1].x + line.line.pieces[-1].width for line in lines]
    assert [line.marks[0].x2 for line in lines[:2]] == ends[:2]
    assert [line.marks[0].x1 for line in lines[1:3]] == [0.0, 0.0]


def test_marks_take_one_lane_and_lines_without_them_none() -> None:
    _, lines = measured("Key: C\n\nA:\n| Dm7 | G7 | C6 | % | C6 | % | % | % ||\n")
    assert [line.lanes for line in lines] == [REGULAR_METRICS.lane, 0.0]


def boxes_of(line: MeasuredLine, context):
    """The boxes of the strokes of a line's marks, and all else that is drawn in it."""
    drawn = draw_line(context, line, (0.0, 0.0))
    x0, bottom = context.gutter, line.label + line.above + line.rows.bottom
    marks = [
        item for mark in line.marks for item in draw_mark(mark, x0, bottom, context.sizes.lane)
    ]
    others = [item for item in drawn if item not in marks]
    return [box for item in marks for box in parts_of(item)], others


@pytest.mark.parametrize("name", CHARTS)
def test_marks_touch_neither_each_other_nor_anything_else(name: str) -> None:
    chart = chart_named(name)
    for style in STYLES:
        context = layout_context(chart, style)
        for line in measure_lines(context, break_lines(context, context.music_width)):
            for before, after in pairwise(line.marks):
                assert before.x1 < before.x2 < after.x1 < after.x2, style
            marks, others = boxes_of(line, context)
            for item in others:
                box = item_box(item)
                for mark in marks if box is not None else ():
                    wide = min(box[2], mark[2]) - max(box[0], mark[0])
                    high = min(box[3], mark[3]) - max(box[1], mark[1])
                    clear = 0.3 if isinstance(item, Text) else 0.0
                    assert wide <= 0.0 or high <= -clear, (style, item)


@pytest.mark.slow
@pytest.mark.parametrize("name", CHARTS)
def test_nothing_runs_through_a_text_of_the_page(name: str) -> None:
    for style in STYLES:
        for page in lay_out(chart_named(name), style).pages:
            assert struck_through(page) == [], style
            assert overlaps(page) == [], style
