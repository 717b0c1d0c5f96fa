"""Pages of a book: mirrored margins, folios outside, running heads with the bars of the page."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import midneck
import pytest
from midneck.render.commands.main import run
from midneck.render.page import Document, PageStyle, lay_out, lay_out_drill
from midneck.render.page.drawing.geometry import item_box, union
from midneck.render.page.drawing.items import Text
from support.charts import chart_of
from support.drills import drill
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
    document = lay_out(chart_of(LONG), PageStyle(binding="book", punch=punch))
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
    document = lay_out(chart_of(LONG), PageStyle(binding="book"))
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


def test_drills_mirror_their_margins_too_and_number_no_bars() -> None:
    """The bars of a drill have no numbers on paper, so that its running heads name none."""
    document = lay_out_drill(drill("ii-V-I"), PageStyle(binding="book"))
    assert len(document.pages) > 1
    heads = [texts(page)[0] for page in document.pages[1:]]
    assert heads == ["ii–V–I in major, down in whole steps, two rounds of six keys"] * len(heads)
    assert edges(document, 0)[0] == pytest.approx(50.0, abs=1.5)
    assert edges(document, 1)[1] == pytest.approx(50.0, abs=1.5)


def test_binding_is_an_option_of_charts_and_drills(tmp_path: Path) -> None:
    sheet = tmp_path / "long.txt"
    sheet.write_text(LONG)
    bound, loose = tmp_path / "bound.svg", tmp_path / "loose.svg"
    assert run(["chart", str(sheet), "-q", "--binding", "book", "-o", str(bound)]) == 0
    midneck.chart(str(sheet)).save(loose)
    midneck.chart(str(sheet)).save(tmp_path / "python.svg", binding="book")
    pages = [(tmp_path / f"{name}-2.svg").read_text() for name in ("bound", "python", "loose")]
    assert [" – bars " in page for page in pages] == [True, True, False]
    with pytest.raises(midneck.MidneckError, match=r"binding cannot be 'sewn'; there are: none"):
        midneck.drill("ii-V-I").save(tmp_path / "drill.pdf", binding="sewn")
