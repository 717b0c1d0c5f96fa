"""The foot of a page: what our marks mean, and the page's number."""

from __future__ import annotations

from collections.abc import Sequence

from ...converter.chart import CompingChart
from ...converter.hand.cautions import HAND_CAUTION_SHORT, stretches
from .blocks import LEADING, wrapped
from .fonts import REGULAR, measure, spans
from .grid import mark
from .items import Item, Line, Page, Rect, Text
from .neckmap import SHADE, root_mark, root_string
from .style import LARGE_PT, SOFT, PageStyle

#: Marks, by name (roots on the neck by their string), with what they mean.
Legend = list[tuple[tuple[str | int, ...], str]]

GRID_LEGEND: Legend = [
    (("root",), "root"),
    (("guide",), "guide tone"),
    (("other",), "other tone"),
]
#: Size of the foot's text on plain pages.
FOOT = 7.6


def foot_size(style: PageStyle) -> float:
    """The size of the foot's text."""
    return LARGE_PT if style.large else FOOT


def foot_height(style: PageStyle, caution: bool = False) -> float:
    """What the foot takes of a page, with or without the caution in it."""
    size = foot_size(style)
    return 2.0 * size + (LEADING * size * len(_caution(style)) + 0.4 * size if caution else 0.0)


def needs_caution(chart: CompingChart, style: PageStyle) -> bool:
    """Whether grids show a grip that spreads fingers beyond the player's comfort."""
    if style.grids == "none":
        return False
    grips = {grip for grip in chart.plan.grips if grip is not None}
    return any(stretches(grip, chart.player) for grip in grips)


def _caution(style: PageStyle) -> list[str]:
    left, _, right, _ = style.frame
    return wrapped(HAND_CAUTION_SHORT, REGULAR, foot_size(style), right - left)


def draw_caution(style: PageStyle) -> list[Item]:
    """The caution, over the legend."""
    left, _, _, bottom = style.frame
    size, lines = foot_size(style), _caution(style)
    first = bottom - 2.0 * size - LEADING * size * (len(lines) - 1) + 0.1 * size
    return [
        Text(left, first + place * LEADING * size, tuple(spans(line, REGULAR, size)), SOFT)
        for place, line in enumerate(lines)
    ]


def with_feet(
    pages: Sequence[Sequence[Item]], legend: Legend, style: PageStyle
) -> tuple[Page, ...]:
    """The pages of a document, each with its foot."""
    width, height = style.size
    return tuple(
        Page(width, height, (*items, *_foot(legend, style, number, len(pages))))
        for number, items in enumerate(pages, 1)
    )


def _foot(legend: Legend, style: PageStyle, page: int, pages: int) -> list[Item]:
    """The legend, as much of it as fits, and the page's number."""
    left, _, right, bottom = style.frame
    size = foot_size(style)
    y = bottom - 0.3 * size
    number = f"{page} / {pages}"
    end = right - measure(number, REGULAR, size)
    items: list[Item] = [Text(end, y, tuple(spans(number, REGULAR, size)), SOFT)]
    x = left
    for shapes, words in legend:
        start = x + size * (1.05 * len(shapes) + 0.1)
        width = measure(words, REGULAR, size)
        if start + width > end - size:
            break
        for place, shape in enumerate(shapes):
            middle = x + (0.45 + 1.05 * place) * size
            items += _legend_mark(shape, middle, y - 0.33 * size, 0.36 * size)
        items.append(Text(start, y, tuple(spans(words, REGULAR, size)), SOFT))
        x = start + width + 1.2 * size
    return items


def legend_of(charts: Sequence[CompingChart], style: PageStyle) -> Legend:
    """The marks of the pages of charts that one player plays."""
    rows: Legend = []
    if style.grids != "none":
        rows += GRID_LEGEND
    if style.neck_map != "none":
        low, high = charts[0].player.window
        rows.append((("step",), "hand along the neck"))
        rows.append((("shade",), f"frets {low}–{high}"))
        rows += _roots(charts)
    return rows


def _roots(charts: Sequence[CompingChart]) -> Legend:
    """The marks of the strings that roots lie on: one for 6, one for 5, one for all others."""
    grips = (grip for chart in charts for grip in chart.plan.grips if grip is not None)
    strings = {string for grip in grips if (string := root_string(grip)) is not None}
    groups = strings & {6}, strings & {5}, strings - {6, 5}
    parts = [sorted(group, reverse=True) for group in groups if group]
    if not parts:
        return []
    words = (" or ".join(map(str, part)) for part in parts)
    return [(tuple(part[0] for part in parts), "root on string " + ", on ".join(words))]


def _legend_mark(shape: str | int, x: float, y: float, radius: float) -> list[Item]:
    """A mark of the legend in its place."""
    if isinstance(shape, int):
        return root_mark(shape, (x, y), radius, 0.8)
    if shape == "step":
        return [Line(x - 1.1 * radius, y, x + 1.1 * radius, y, 0.9)]
    if shape == "shade":
        return [Rect(x - radius, y - radius, 2 * radius, 2 * radius, SHADE - 0.05)]
    return [mark(shape, x, y, radius)]
