"""Pages of a book: mirrored margins, folios outside, running heads with the bars of the page."""

from __future__ import annotations

from itertools import pairwise

import pytest
from midneck.render.page import PageStyle, lay_out
from midneck.render.page.drawing.geometry import item_box, union
from midneck.render.page.drawing.items import Document, Text
from support.charts import chart_of
from support.pages import texts

#: Long enough for three pages at least.
LONG = "Title: Long Lane\nKey: C\n\n" + "\n".join(
    f"{letter}:\n" + "| Dm7 G7 | Em7 A7 | Dm7b5 G7b9 | Cmaj7 A7 |\n" * 5 for letter in "ABCDEF"
)


def edges(document: Document, page: int) -> tuple[float, float]:
    """The white at the left and at the right of a page's items."""
    boxes = [box for box in map(item_box, document.pages[page].items) if box is not None]
    box = union(boxes)
    assert box is not None
    return box[0], document.pages[page].width - box[2]


def folio(document: Document, page: int) -> Text:
    pages = len(document.pages)
    found = [
        item for item in document.pages[page].items
        if isinstance(item, Text) and item.string == f"{page + 1} / {pages}"
    ]  # fmt: skip
    assert len(found) == 1
    return found[0]


@pytest.mark.parametrize(("punch", "inner"), [(False, 50.0), (True, 57.0)])
def test_margins_mirror_and_the_folio_stands_outside(punch: bool, inner: float) -> None:
    document = lay_out(chart_of(LONG), PageStyle(book=True, punch=punch))
    width = document.pages[0].width
    assert len(document.pages) > 2
    for page in range(3):
        left, right = edges(document, page)
        inside, outside = (left, right) if page % 2 == 0 else (right, left)
        assert inside == pytest.approx(inner, abs=1.5)
        assert outside == pytest.approx(36.0, abs=1.5)
        number = folio(document, page)
        end = number.x + number.spans[-1].end
        away = width - end if page % 2 == 0 else number.x
        assert away == pytest.approx(36.0, abs=0.01)


def test_running_heads_name_the_bars_of_their_page() -> None:
    """Bars run on from page to page, without a gap, to the last."""
    document = lay_out(chart_of(LONG), PageStyle(book=True))
    heads = [texts(page)[0] for page in document.pages]
    assert heads[0] == "Long Lane"
    spans = [head.removeprefix("Long Lane – bars ").split("–") for head in heads[1:]]
    for (_, last), (first, _) in pairwise(spans):
        assert int(first) == int(last) + 1
    assert spans[-1][1] == "120"


def test_pages_that_are_no_book_stay_as_they_are() -> None:
    document = lay_out(chart_of(LONG), PageStyle(punch=True))
    assert [texts(page)[0] for page in document.pages] == ["Long Lane"] * len(document.pages)
    lefts = [edges(document, page)[0] for page in range(3)]
    assert lefts == pytest.approx([57.0] * 3, abs=1.5)
