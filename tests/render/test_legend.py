"""The legend explains every mark on the pages of a document, and no other, once."""

from __future__ import annotations

import ast
from pathlib import Path

import midneck
import pytest
from midneck.converter.chart import CompingChart
from midneck.converter.hand.plan import STYLES, PlanOptions
from midneck.converter.make import make_chart
from midneck.grammar.text.reader import read_sheet
from midneck.render.page import Document, PageStyle, lay_out, lay_out_drill
from midneck.render.page import legend as module
from midneck.render.page.drawing.items import Path as Outline
from midneck.render.page.drawing.items import Text
from midneck.render.page.head_foot import first_foot_height
from midneck.render.page.legend import MARKS, foot_size
from support.charts import TUNES, chart_of
from support.pages import overlaps, texts

LETTERS = {row.words for row in MARKS}


def explained(document: Document) -> list[str]:
    """The words of the legend, from all pages."""
    found = [text for page in document.pages for text in texts(page)]
    return [text for text in found if text in LETTERS or text.startswith(("root on", "frets "))]


#: A sheet, a style of the page, words that its legend holds and words that it does not.
CASES = [
    ("A:\n| Dm7 | G7 | C6 ||\n", PageStyle(), ["root", "guide tone", "ii and V", "resolves"],
     ["other tone", "beat", "same grip", "for a substitute", "open string"]),
    ("A:\n| Dm7 | G7 | C6 ||\n", PageStyle(grids="none"), ["ii and V", "hand along the neck"],
     ["root", "guide tone", "silent string"]),
    ("A:\n| Dm7 | G7 | C6 ||\n", PageStyle(analysis=False, neck_map="none"), ["root"],
     ["ii and V", "resolves", "frets of a shift", "root on string 6", "frets 3–10"]),
    ("A:\n| Dm7 / / G7 | C6 ||\n", PageStyle(), ["beat with a chord", "beat"], ["other tone"]),
    ("A:\n| Dm7 G7 | C6 ||\n", PageStyle(), [], ["beat with a chord", "beat"]),
    ("A:\n| C6 | C6 ||\n", PageStyle(), ["same grip"], ["ii and V", "resolves"]),
    ("A:\n| Dm7 | G7(push) | C6 ||\n", PageStyle(), ["struck an eighth early"], []),
    ("A:\n| Dm7 | Db7 | C6 ||\n", PageStyle(), ["for a substitute"], []),
    ("A:\n| Dm7b5<x 5 6 5 6 x> | G7 | Cm6 ||\n", PageStyle(), ["other tone"], ["open string"]),
    ("A:\n| E7<0 2 0 1 x x> | Am6 ||\n", PageStyle(), ["open string"], []),
    ("A:\n| G7<x x 3 4 x x> | C6 ||\n", PageStyle(), ["no square: played without its root"], []),
]  # fmt: skip


@pytest.mark.parametrize(("bars", "style", "there", "missing"), CASES)
def test_the_legend_holds_what_is_drawn_and_nothing_else(
    bars: str, style: PageStyle, there: list[str], missing: list[str]
) -> None:
    words = explained(lay_out(chart_of(f"Key: C\n\n{bars}"), style))
    assert [word for word in there if word not in words] == []
    assert [word for word in missing if word in words] == []


def charts() -> list[tuple[str, CompingChart]]:
    return [
        (f"{name}-{style}", make_chart(read_sheet(text), None, PlanOptions(style)))
        for name, text in TUNES.items()
        for style in STYLES
    ]


STYLED = [
    PageStyle(), PageStyle(paper="a5"), PageStyle(large=True), PageStyle(grids="new"),
    PageStyle(grids="none"), PageStyle(analysis=False, neck_map="none", landscape=True),
    PageStyle(second_page=True, neck_map="page", paper="letter"),
]  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("style", STYLED, ids=range(len(STYLED)))
def test_a_legend_stands_once_and_in_the_room_that_is_kept_for_it(style: PageStyle) -> None:
    for name, chart in charts():
        document = lay_out(chart, style)
        words = explained(document)
        assert len(set(words)) == len(words), name
        assert [overlaps(page) for page in document.pages if overlaps(page)] == [], name
        if not style.large and words:
            kept = style.size[1] - 36.0 - first_foot_height([chart], style, caution=False)
            small = [
                item.y for item in document.pages[0].items
                if isinstance(item, Text) and item.string in words
                and item.spans[0].size == foot_size(style)
            ]  # fmt: skip
            assert min(small) > kept, name


def test_broken_arrows_are_explained_where_they_are_and_only_there() -> None:
    """Dashed outlines stand for substitutes alone: the legend's own is one of them."""
    seen = set()
    for name, chart in charts():
        document = lay_out(chart, PageStyle())
        dashed = sum(
            isinstance(item, Outline) and bool(item.dash)
            for page in document.pages
            for item in page.items
        )
        told = "for a substitute" in explained(document)
        assert dashed != 1, name
        assert told == (dashed > 1), name
        seen.add(told)
    assert seen == {True, False}


def test_a_drill_explains_its_strokes() -> None:
    drill = midneck.drill("ii-V-I", keys="C,F,Bb", rhythm="charleston").planned
    words = explained(lay_out_drill(drill, PageStyle()))
    assert {"stroke", "louder stroke", "held"} & set(words) == {"louder stroke", "stroke", "held"}
    waltz = midneck.drill("ii-V-I", keys="C", rhythm="half-notes").planned
    assert "held" in explained(lay_out_drill(waltz, PageStyle()))


def test_every_name_of_a_mark_is_explained_and_every_explained_one_is_drawn() -> None:
    """The names given to `Shown` in the source are those of the table; kinds of links besides."""
    folder = Path(module.__file__).parent
    shown = {"bracket", "arrow", "broken"}
    for path in folder.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Shown":
                inside = [part for arg in node.args for part in ast.walk(arg)]
                values = (getattr(part, "value", None) for part in inside)
                shown |= {value for value in values if isinstance(value, str)}
    in_grids = {row.name for row in MARKS if row.where == "grids"} - {"same"}
    assert {row.name for row in MARKS} - in_grids == shown - {"string "}
