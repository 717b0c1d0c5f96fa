"""Page breaks against brute force, and every page of many tunes item by item."""

from __future__ import annotations

import itertools

import pytest
from midneck.render.page import Heading, PageStyle, lay_out
from midneck.render.page.drawing.blocks import (
    ALONE,
    INSIDE,
    KEPT,
    PAGE,
    PARTED,
    Flow,
    FlowBlock,
    Frame,
    Frames,
    Gaps,
    break_pages,
    flow,
)
from midneck.render.page.drawing.items import Circle, Rect
from midneck.render.page.drawing.style import LARGE_PT
from support.charts import FERRYMAN, LANTERNS, TUNES, chart_of
from support.page_beats import read_bars
from support.pages import greys, outside, overlaps, smallest_text, struck_through

pytestmark = pytest.mark.slow

HEADING = Heading(
    "Northgate Studio by the Sea", "Adelaide Prendergast", "4 May 2026", "Slowly first."
)
STYLES = [
    *(
        PageStyle(paper=paper, landscape=landscape, large=large, second_page=True, heading=HEADING)
        for paper in ("a4", "letter", "a5")
        for landscape in (False, True)
        for large in (False, True)
    ),
    *(PageStyle(paper=paper, large=large, neck_map="page", symbols="letters", punch=True)
      for paper in ("a4", "letter", "a5") for large in (False, True)),
    *(PageStyle(bars_per_line=count) for count in (1, 2, 3, 6, 8, 12)),
    *(PageStyle(bars_per_line=count, large=True) for count in (1, 3)),
    *(PageStyle(grids=grids, analysis=analysis, neck_map="none")
      for grids in ("each", "new", "none") for analysis in (False, True)),
]  # fmt: skip
#: What nobody asks for, and what a page must stand all the same.
EXTREMES = [
    PageStyle(paper=paper, landscape=landscape, large=large, bars_per_line=count, grids=grids,
              symbols="letters", punch=count == 7)
    for paper in ("a4", "a5")
    for landscape in (False, True)
    for large in (False, True)
    for count in (5, 7, 12)
    for grids in ("each", "none")
]  # fmt: skip
ODDS = """Title: Odds and Ends of a Very Long Afternoon by the Water
Key: Dm
Time: 3/4

Verse one:
"softly, with brushes"
|: Dm6 | Em7b5 A7b9 / |1,2. Dm6 | Gm7 / C7(push) :|3. Dm6 | A7(hold) Fine ||

Time: 6/8
Solo:
Key: A
| Dm7 G7 | % |-4-| N.C. | Cmaj7 Gm7 |
| %% | Cmaj7 | Cmaj7=1.5 G7=4.5 ||
Verse one: again
Time: 3/4
C:
|: Gm7 :|3x C7 | F6 D.C. al Fine ||
"""
WITH_ODDS = {**TUNES, "odds": ODDS}


def luminance(grey: float) -> float:
    """Relative luminance of a grey by WCAG 2.2."""
    return grey / 12.92 if grey <= 0.04045 else ((grey + 0.055) / 1.055) ** 2.4


@pytest.mark.parametrize("name", sorted(WITH_ODDS))
def test_nothing_overlaps_or_is_cut_in_any_option(name: str) -> None:
    chart = chart_of(WITH_ODDS[name])
    for style in STYLES:
        document = lay_out(chart, style)
        for number, page in enumerate(document.pages):
            assert overlaps(page) == [], (number, style)
            assert outside(page, style) == [], (number, style)
        if style.large:
            assert smallest_text(document) >= LARGE_PT
        for grey in greys(document):
            # WCAG 2.2, success criterion 1.4.3: (L1 + 0.05) / (L2 + 0.05); white on black in dots.
            paper = 0.0 if grey == 1.0 else 1.0
            lighter, darker = max(paper, luminance(grey)), min(paper, luminance(grey))
            assert (lighter + 0.05) / (darker + 0.05) >= 4.5


@pytest.mark.parametrize("text", [FERRYMAN, ODDS], ids=["ferryman", "odds"])
def test_nothing_overlaps_or_is_cut_in_extremes(text: str) -> None:
    chart = chart_of(text)
    for style in EXTREMES:
        for number, page in enumerate(lay_out(chart, style).pages):
            assert overlaps(page) == [], (number, style)
            assert outside(page, style) == [], (number, style)


@pytest.mark.parametrize("name", sorted(WITH_ODDS))
def test_no_line_runs_through_a_text(name: str) -> None:
    chart = chart_of(WITH_ODDS[name])
    styles = [PageStyle(), PageStyle(large=True), PageStyle(paper="a5", symbols="letters")]
    for style in [*styles, PageStyle(bars_per_line=6, landscape=True)]:
        for number, page in enumerate(lay_out(chart, style).pages):
            assert struck_through(page) == [], (number, style)


def test_the_number_of_a_rest_keeps_off_the_rule_above_it() -> None:
    """Found by chance: lines so low that the number touched the rule under the heading."""
    chart = chart_of("Key: Eb\n\nA:\n| C | F7 | C | C | C | -1- |\n")
    style = PageStyle(bars_per_line=6, grids="none", neck_map="none", analysis=False)
    assert [struck_through(page) for page in lay_out(chart, style).pages] == [[]]


def lines(heights: list[float], begins: list[bool]) -> list[FlowBlock]:
    """Lines of a chart as blocks; a line should not stand alone on a page."""
    return [
        FlowBlock(height, lambda left, top: [], starts, may_stand_alone=False)
        for height, starts in zip(heights, begins, strict=True)
    ]


def cost_of(pages, blocks: list[FlowBlock], rooms: tuple[float, float], gaps: Gaps) -> float | None:
    """The cost of a way to break, in the words of the module; None where a page is too full."""
    total, count, gap = 0.0, len(blocks), gaps.least
    for number, (start, end) in enumerate(pages):
        space = rooms[min(number, 1)]
        used = sum(block.height for block in blocks[start:end]) + gap * (end - start)
        if used - gap > space and end - start > 1:
            return None
        total += PAGE
        if end - start == 1 and count > 1 and not blocks[start].may_stand_alone:
            total += ALONE
        if end < count:
            total += KEPT * blocks[end - 1].keep_with_next
            if gaps.largest > gaps.least:
                total += max(0.0, 1 - used / space) ** 2
            if not blocks[end].starts_section:
                alone_after = end + 1 == count or blocks[end + 1].starts_section
                total += INSIDE + PARTED * (alone_after + blocks[end - 1].starts_section)
    return total


@pytest.mark.parametrize("begins", [
    [True, False, False, False] * 2,
    [True, False, True, False, False, False, True, False],
    [True] + [False] * 7,
    [True] * 8,
])  # fmt: skip
def test_page_breaks_are_the_cheapest(begins: list[bool]) -> None:
    heights = [90.0, 100.0, 90.0, 120.0, 90.0, 95.0, 90.0, 110.0]
    check_breaks(lines(heights, begins), Gaps(8.0, 20.0))


@pytest.mark.parametrize("kept", [(0, 3), (1, 2), (0, 2, 4, 6), ()])
def test_breaks_of_a_text_are_the_cheapest(kept: tuple[int, ...]) -> None:
    heights = [40.0, 100.0, 90.0, 40.0, 190.0, 95.0, 40.0, 110.0]
    check_breaks([
        FlowBlock(height, lambda left, top: [], keep_with_next=place in kept)
        for place, height in enumerate(heights)
    ], Gaps())  # fmt: skip


def check_breaks(blocks: list[FlowBlock], gaps: Gaps) -> None:
    """Compare the breaks with the best of all ways to break."""
    rooms, count = (250.0, 330.0), len(blocks)
    costs = []
    for size in range(count):
        for cuts in itertools.combinations(range(1, count), size):
            edges = [0, *cuts, count]
            cost = cost_of(list(itertools.pairwise(edges)), blocks, rooms, gaps)
            if cost is not None:
                costs.append(cost)
    ours = cost_of(break_pages(blocks, rooms, gaps), blocks, rooms, gaps)
    assert ours == pytest.approx(min(costs))


def test_a_break_does_not_leave_one_line_of_a_section() -> None:
    # Six lines of 100 in a page that holds five: 4 + 2 at the sections' seam, not 5 + 1.
    blocks = lines([100.0] * 6, [True, False, False, False, True, False])
    assert break_pages(blocks, (540.0, 540.0), Gaps(8.0, 20.0)) == ((0, 4), (4, 6))


def test_a_last_line_is_not_parted_from_its_section() -> None:
    # Seven lines and four, six to a page: 5 + 6 leaves a little room, 6 + 5 would part the seventh.
    blocks = lines([100.0] * 11, [place in (0, 7) for place in range(11)])
    assert break_pages(blocks, (640.0, 640.0), Gaps(8.0, 20.0)) == ((0, 5), (5, 11))


def dot(size: float, **rules: bool) -> FlowBlock:
    """A block whose one item tells where it stands."""
    return FlowBlock(size, lambda left, top: [Circle(left, top, 1.0)], outline="dot", **rules)


def tops(found: Flow) -> list[list[float]]:
    """The tops of the blocks of each page; heads are rectangles."""
    return [[item.y for item in page if isinstance(item, Circle)] for page in found.pages]


HEAD = Rect(0.0, 0.0, 1.0, 1.0)


def test_free_height_is_shared_among_gaps_up_to_the_largest() -> None:
    frame = Frame([HEAD], 20.0, 100.0, 200.0)
    blocks = [dot(20.0), dot(20.0), dot(20.0, gap_before=False), dot(20.0)]
    # 100 − 4 · 20 = 20 points are free for two gaps; the third block stays close to the second.
    found = flow(blocks, Frames(frame, frame), Gaps(0.0, 50.0))
    assert tops(found) == [[100.0, 130.0, 150.0, 180.0]]
    assert found.end == 200.0
    assert tops(flow(blocks, Frames(frame, frame), Gaps(0.0, 4.0))) == [
        [100.0, 124.0, 144.0, 168.0]
    ]


def test_a_text_fills_one_page_after_the_other() -> None:
    frame = Frame([], 0.0, 0.0, 100.0)
    # The third page could hold 45 + 50, the second is filled first.
    blocks = [dot(40.0), dot(40.0), dot(40.0), dot(45.0), dot(50.0)]
    assert [len(page) for page in flow(blocks, Frames(frame, frame)).pages] == [2, 2, 1]


def test_later_pages_repeat_their_head_and_count_in_the_outline() -> None:
    first, later = Frame([HEAD], 20.0, 150.0, 200.0), Frame([HEAD, HEAD], 20.0, 100.0, 200.0)
    found = flow([dot(40.0), dot(60.0), dot(30.0)], Frames(first, later), number=3)
    assert tops(found) == [[150.0], [100.0, 160.0]]
    assert [page.count(HEAD) for page in found.pages] == [1, 2]
    assert [(entry.page, entry.y) for entry in found.outline] == [
        (3, 150.0),
        (4, 100.0),
        (4, 160.0),
    ]


def test_a_head_that_leaves_no_room_has_a_page_of_its_own() -> None:
    first, later = Frame([HEAD], 20.0, 170.0, 200.0), Frame([HEAD, HEAD], 20.0, 100.0, 200.0)
    assert tops(flow([dot(40.0), dot(60.0)], Frames(first, later))) == [[], [100.0, 140.0]]
    assert [len(page) for page in flow([], Frames(first, later)).pages] == [1]


@pytest.mark.parametrize("name", sorted(WITH_ODDS))
def test_nothing_is_smaller_than_can_be_read(name: str) -> None:
    """Symbols of 20 points, finger numbers and all else of 7 (a choice of ours, no source)."""
    for style in STYLES:
        document = lay_out(chart_of(WITH_ODDS[name]), style)
        assert smallest_text(document) >= 7, style
        if not style.large:
            assert min(bar.size for bar in read_bars(document)) >= 20, style


def test_32_bars_fit_one_page_of_a4_in_full_size() -> None:
    document = lay_out(chart_of(LANTERNS), PageStyle())
    assert len(document.pages) == 1
    assert sum(len(bar.symbols) > 0 for bar in read_bars(document)) == 31
