"""Pages whose every item is frozen, by the names of their files: what stands where, in points.

Grips and readings of the charts follow fixed rules (`fixed.py`), so that the pages stay the same
while planner and analysis learn; those of drills are the ones worked out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import fields
from fractions import Fraction
from typing import Final

from midneck.converter.drill.drill import Practice
from midneck.converter.drill.make import Route
from midneck.converter.drill.tune import drill_of
from midneck.converter.hand.player import Player
from midneck.grammar.key import Key
from midneck.grammar.pitch import PitchName
from midneck.grammar.sheet import Meter
from midneck.render.book.book import BookOptions
from midneck.render.book.layout import lay_out_book
from midneck.render.book.part import book_part
from midneck.render.page import Document, Heading, PageStyle, lay_out, lay_out_drill
from midneck.render.page.layout import bars_picture, line_picture

from support.charts import chart_of
from support.drills import drill
from support.fixed import fixed_chart
from support.frozen_sheets import CROWDED, LANDING, SIGNS, STAIR


def page_lines(document: Document) -> Iterator[str]:
    """A line for each item of each page: its kind, then its fields; lengths to 0.01 points."""
    for entry in document.outline:
        yield f"Outline {_value(entry)}"
    for number, page in enumerate(document.pages, 1):
        yield f"Page {number}: {page.width:.2f} x {page.height:.2f}"
        for item in page.items:
            yield f"{type(item).__name__} {_value(item)}"
        for link in page.links:
            yield f"Link {_value(link)}"


def _value(value: object) -> str:
    """A value as text: a float to two places, a tuple in brackets, an item by its fields."""
    if isinstance(value, float):
        return f"{value:.2f}".replace("-0.00", "0.00")
    if isinstance(value, tuple):
        return f"({' '.join(map(_value, value))})"
    if isinstance(value, str) or not hasattr(value, "__dataclass_fields__"):
        return repr(value)
    return " ".join(_value(getattr(value, field.name)) for field in fields(value))


def _page_text(document: Document) -> str:
    return "".join(f"{line}\n" for line in page_lines(document))


def _chart(text: str, style: PageStyle, player: Player | None = None) -> Callable[[], str]:
    return lambda: _page_text(lay_out(fixed_chart(text, player), style))


def _book(style: PageStyle, *sheets: str, drills: bool = False) -> Document:
    options = BookOptions("Salt and Water", "I. Tarbell", "Bring a pencil.", "title")
    parts = [book_part(fixed_chart(text), style, drills) for text in sheets]
    return lay_out_book(parts, options, style)


BOUND: Final = PageStyle(
    "a5", grids="new", symbols="letters", punch=True, binding="book",
    heading=Heading("Upper Room", "N. Quill", "3 May 2031", "slowly at first"),
)  # fmt: skip
KEYS: Final = Route(keys=(Key(PitchName("C")), Key(PitchName("B", -1)), Key(PitchName("F", 1))))
WALTZ: Final = Practice(rhythm="waltz", meter=Meter(3, 4))
PAGES: Final[dict[str, Callable[[], str]]] = {
    "stair": _chart(STAIR, PageStyle()),
    "stair_bound": _chart(STAIR, BOUND),
    "stair_strokes": _chart(
        STAIR, PageStyle(landscape=True, rhythm="charleston", neck_map="page"), Player(hand="left")
    ),
    "signs": _chart(SIGNS, PageStyle("letter", bars_per_line=3, second_page=True)),
    "signs_large": _chart(SIGNS, PageStyle(large=True, analysis=True, neck_map="line")),
    "drill": lambda: _page_text(
        lay_out_drill(drill("ii-V-I", KEYS, Practice(ladder=(80, 100))), PageStyle())
    ),
    "drill_large": lambda: _page_text(
        lay_out_drill(
            drill("iii-VI-ii-V", KEYS, Practice(bars_per_chord=Fraction(2))),
            PageStyle("a5", landscape=True, large=True),
        )
    ),
    "drill_waltz": lambda: _page_text(
        lay_out_drill(
            drill_of(chart_of(LANDING), practice=WALTZ), PageStyle("a5", symbols="letters")
        )
    ),
    "book": lambda: _page_text(_book(PageStyle("a5", grids="new"), SIGNS, LANDING)),
    "book_wide": lambda: _page_text(_book(PageStyle("letter", grids="none"), STAIR, CROWDED)),
    "bars": lambda: _page_text(bars_picture(fixed_chart(STAIR), (4, 9))),
    "line": lambda: _page_text(line_picture(fixed_chart(SIGNS), 1, PageStyle("letter"))),
    "book_drills": lambda: _page_text(_book(PageStyle("a5", grids="none"), LANDING, drills=True)),
    "crowded": _chart(CROWDED, PageStyle("a5", large=True)),
}
