"""Documents made of blocks: a head, blocks down the page, as many pages as it takes, feet."""

from __future__ import annotations

from collections.abc import Sequence

from .blocks import Block, stack_pages
from .foot import GRID_LEGEND, Legend, draw_foot, foot_height
from .header import Title, draw_head, draw_running_head
from .items import Document, Page
from .style import PageStyle


def block_document(
    said: Title, blocks: Sequence[Block], style: PageStyle, legend: Legend | None = None
) -> Document:
    """A document of blocks in a style; `legend` tells its marks (those of grids by default)."""
    left, _, _, bottom = style.frame
    end = bottom - foot_height(style)
    head, top = draw_head(said, style)
    running, later = draw_running_head(said.name, style)
    filled = stack_pages(blocks, left, (top, end), later)
    rows = GRID_LEGEND if legend is None else legend
    width, height = style.size
    pages = []
    for number, items in enumerate(filled, 1):
        foot = draw_foot(rows, style, number, len(filled))
        pages.append(Page(width, height, (*(head if number == 1 else running), *items, *foot)))
    return Document(tuple(pages), said.name, said.by)
