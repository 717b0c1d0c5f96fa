"""Page breaks against brute force, and every page of many tunes item by item."""

from __future__ import annotations

import itertools

import pytest
from midneck.render.page import Heading, PageStyle, lay_out
from midneck.render.page.drawing.blocks import ALONE, INSIDE, PAGE, PARTED, Room, break_pages
from midneck.render.page.drawing.style import LARGE_PT
from support.charts import FERRYMAN, LANTERNS, chart_of, example_texts
from support.pages import greys, outside, overlaps, smallest_text, struck_through
from support.tunes import tune_text

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
TUNES = {**example_texts(), "ferryman": FERRYMAN, "lanterns": LANTERNS, "odds": ODDS}


def luminance(grey: float) -> float:
    """Relative luminance of a grey by WCAG 2.2."""
    return grey / 12.92 if grey <= 0.04045 else ((grey + 0.055) / 1.055) ** 2.4


@pytest.mark.parametrize("name", sorted(TUNES))
def test_nothing_overlaps_or_is_cut_in_any_option(name: str) -> None:
    chart = chart_of(TUNES[name])
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


@pytest.mark.parametrize("name", sorted(TUNES))
def test_no_line_runs_through_a_text(name: str) -> None:
    chart = chart_of(TUNES[name])
    styles = [PageStyle(), PageStyle(large=True), PageStyle(paper="a5", symbols="letters")]
    for style in [*styles, PageStyle(bars_per_line=6, landscape=True)]:
        for number, page in enumerate(lay_out(chart, style).pages):
            assert struck_through(page) == [], (number, style)


def test_the_number_of_a_rest_keeps_off_the_rule_above_it() -> None:
    """Found by chance: lines so low that the number touched the rule under the heading."""
    chart = chart_of("Key: Eb\n\nA:\n| C | F7 | C | C | C | -1- |\n")
    style = PageStyle(bars_per_line=6, grids="none", neck_map="none", analysis=False)
    assert [struck_through(page) for page in lay_out(chart, style).pages] == [[]]


def test_300_tunes_in_all_keys_stay_inside_the_margins() -> None:
    style = PageStyle()
    for seed in range(300):
        for page in lay_out(chart_of(tune_text(seed)), style).pages:
            assert outside(page, style) == [], seed
            assert overlaps(page) == [], seed


def cost_of(pages, heights, begins, room: Room) -> float | None:
    """The cost of a way to break, in the words of the module; None where a page is too full."""
    total = 0.0
    for number, (start, end) in enumerate(pages):
        space = room.first if number == 0 else room.later
        used = sum(heights[start:end]) + room.gap * (end - start)
        if used - room.gap > space and end - start > 1:
            return None
        total += PAGE
        if end - start == 1 and len(heights) > 1:
            total += ALONE
        if end < len(heights):
            total += max(0.0, 1 - used / space) ** 2
            if not begins[end]:
                alone_after = end + 1 == len(heights) or begins[end + 1]
                total += INSIDE + PARTED * (alone_after + begins[end - 1])
    return total


@pytest.mark.parametrize("begins", [
    [True, False, False, False] * 2,
    [True, False, True, False, False, False, True, False],
    [True] + [False] * 7,
    [True] * 8,
])  # fmt: skip
def test_page_breaks_are_the_cheapest(begins: list[bool]) -> None:
    heights = [90.0, 100.0, 90.0, 120.0, 90.0, 95.0, 90.0, 110.0]
    room = Room(250.0, 330.0, 8.0)
    count = len(heights)
    costs = []
    for size in range(count):
        for cuts in itertools.combinations(range(1, count), size):
            edges = [0, *cuts, count]
            cost = cost_of(list(itertools.pairwise(edges)), heights, begins, room)
            if cost is not None:
                costs.append(cost)
    ours = cost_of(break_pages(heights, begins, room), heights, begins, room)
    assert ours == pytest.approx(min(costs))


def test_a_break_does_not_leave_one_line_of_a_section() -> None:
    # Six lines of 100 in a page that holds five: 4 + 2 at the sections' seam, not 5 + 1.
    pages = break_pages([100.0] * 6, [True, False, False, False, True, False], Room(540, 540, 8))
    assert pages == ((0, 4), (4, 6))


def test_a_last_line_is_not_parted_from_its_section() -> None:
    # Seven lines and four, six to a page: 5 + 6 leaves a little room, 6 + 5 would part the seventh.
    begins = [place in (0, 7) for place in range(11)]
    assert break_pages([100.0] * 11, begins, Room(640, 640, 8)) == ((0, 5), (5, 11))
