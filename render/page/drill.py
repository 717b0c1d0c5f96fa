"""Lay out a drill: how to practise it, then its keys line by line, on as many pages as it takes.

Takes a `Drill` and a `PageStyle`, gives a `Document`. All pages have one size: the largest that
needs no more pages than a somewhat small one would. A page breaks between rounds or exercises where
it can. Lengths are points.
"""

from __future__ import annotations

from ...converter.drill.values import Drill
from ..drill_words import drill_facts
from .blocks import moved
from .drill_how import how_blocks
from .drill_slabs import page_breaks, sized_slabs, spaced
from .fonts import REGULAR, measure
from .foot import foot_height, legend_of, with_feet
from .header import DOT, Title, draw_head, draw_running_head, sizes_of_head
from .items import Document, Item, OutlineEntry
from .names import with_signs
from .pages import Room, Sheetful
from .style import PageStyle


def lay_out_drill(drill: Drill, style: PageStyle) -> Document:
    """The pages of a drill in a style."""
    bottom = style.frame[3] - foot_height(style)
    later = _later(drill, style, bottom)
    opening, first = _opening(drill, style, later)
    slabs = sized_slabs(drill, style, Room(first.room, later.room, 0.0))
    if slabs[0].height > first.room:
        # Large print on small paper: how to practise fills the page.
        opening.append(first.head)
        first = later
    pages, outline = opening, []
    for start, stop in page_breaks(slabs, first.room, later.room):
        page = first if start == 0 else later
        items = list(page.head)
        for slab, y in spaced(slabs[start:stop], page):
            items += slab.draw(style.frame[0], y)
            if slab.name:
                outline.append(OutlineEntry(slab.name, len(pages), y))
        pages.append(items)
    return _document(drill, style, pages, outline)


def _opening(drill: Drill, style: PageStyle, later: Sheetful) -> tuple[list[list[Item]], Sheetful]:
    """The title and how to practise: whole pages of it, and the page on which it ends."""
    head, top = draw_head(_title(drill, style), style)
    page = Sheetful(head, top, later.bottom)
    full: list[list[Item]] = []
    for block in how_blocks(drill, style):
        if block.height > page.room and page.top > later.top:
            full.append(page.head)
            page = Sheetful(list(later.head), later.top, later.bottom)
        items = moved(block.items, style.frame[0], page.top)
        page = Sheetful([*page.head, *items], page.top + block.height, page.bottom)
    return full, page


def _later(drill: Drill, style: PageStyle, bottom: float) -> Sheetful:
    return Sheetful(*draw_running_head(with_signs(drill.title), style), bottom)


def _title(drill: Drill, style: PageStyle) -> Title:
    """The name with the way round the keys below it, or among the facts where that is too wide."""
    rows = tuple(DOT.join(row) for row in drill_facts(drill))
    name, way = with_signs(drill.title), ""
    if drill.title == drill.exercises[0].name:
        name, _, way = name.partition(", ")
    left, _, right, _ = style.frame
    side = sizes_of_head(style)[1]
    if sum(measure(text, REGULAR, side) for text in (way, rows[-1])) + 2 * side > right - left:
        return Title(name, "", (way, *rows))
    return Title(name, way, rows)


def _document(
    drill: Drill, style: PageStyle, pages: list[list[Item]], outline: list[OutlineEntry]
) -> Document:
    legend = legend_of([exercise.chart for exercise in drill.exercises], style)
    feet = with_feet(pages, legend, style)
    return Document(feet, with_signs(drill.title), outline=tuple(outline))
