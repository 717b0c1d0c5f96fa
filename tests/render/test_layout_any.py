"""The page of any sheet in any style: all is on the paper, nothing lies over anything else."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from midneck.render.page import Document, Heading, PageStyle, lay_out
from midneck.render.page.drawing.style import LARGE_PT, PAPERS
from support.charts import charted
from support.examples import share
from support.pages import outside, overlaps, smallest_text, struck_through, texts
from support.sheets import sheet_texts

pytestmark = pytest.mark.slow

STYLES = st.builds(
    PageStyle,
    paper=st.sampled_from(sorted(PAPERS)),
    landscape=st.booleans(),
    large=st.booleans(),
    bars_per_line=st.sampled_from((None, None, 2, 3, 4, 6)),
    grids=st.sampled_from(("each", "new", "none")),
    symbols=st.sampled_from(("signs", "letters")),
    punch=st.booleans(),
    neck_map=st.sampled_from(("none", "line", "page")),
    analysis=st.booleans(),
    second_page=st.booleans(),
    rhythm=st.sampled_from((None, None, "four-to-the-bar", "half-notes")),
    heading=st.sampled_from((Heading(), Heading("Northgate", "Ada", "4 May", "Slowly first."))),
)


def strings(document: Document) -> Counter[str]:
    return Counter(text for page in document.pages for text in texts(page))


@given(sheet_texts(), STYLES)
@example(  # strokes for a chord that is struck again, in bars no wider than its symbol
    "A:\n| C | F7 | C | C |\n| C | F7 | C |\n",
    PageStyle(paper="a5", large=True, bars_per_line=6, neck_map="none", analysis=False),
)
@example(  # a grip that stands in so many bars that their numbers are taller than the page
    "| C | F7 |\n" * 40,
    PageStyle(paper="a5", landscape=True, large=True, second_page=True),
)
@example(
    "| C | F7 |\n" * 200,
    PageStyle(paper="a5", landscape=True, second_page=True),
)
@example("| C | C (C7(hold)) |\n", PageStyle(neck_map="none", analysis=False))
@share(0.4)
def test_all_is_on_the_paper_and_nothing_overlaps(text: str, style: PageStyle) -> None:
    document = lay_out(charted(text), style)
    for page in document.pages:
        assert outside(page, style) == []
        assert overlaps(page) == []
        assert struck_through(page) == []
    if style.large:
        assert smallest_text(document) >= LARGE_PT


@given(sheet_texts())
@share(0.2)
def test_the_same_chart_gives_the_same_page(text: str) -> None:
    chart = charted(text)
    assert lay_out(chart, PageStyle()) == lay_out(chart, PageStyle())


@pytest.mark.parametrize("analysis", [True, False])
@given(sheet_texts())
@share(0.2)
def test_numerals_are_printed_when_they_are_wanted(analysis: bool, text: str) -> None:
    chart = charted(text)
    document = lay_out(chart, PageStyle(analysis=analysis))
    romans = {reading.roman for reading in chart.analysis.readings if reading is not None}
    # A numeral that is not sure has a "?" behind it.
    printed = sum(strings(document)[f"{roman}{doubt}"] for roman in romans for doubt in ("", "?"))
    assert (printed > 0) == (analysis and bool(romans))
