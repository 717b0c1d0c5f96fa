"""The foot of a page: what our marks mean, and the page's number."""

from __future__ import annotations

from ...converter.chart import CompingChart
from .fonts import REGULAR, measure, spans
from .grid import mark
from .items import Circle, Item, Line, Rect, Text
from .neckmap import SHADE
from .style import LARGE_PT, SOFT, PageStyle

#: Size of the foot's text on plain pages.
FOOT = 7.6


def foot_size(style: PageStyle) -> float:
    """The size of the foot's text."""
    return LARGE_PT if style.large else FOOT


def foot_height(style: PageStyle) -> float:
    """What the foot takes of a page."""
    return 2.0 * foot_size(style)


def draw_foot(chart: CompingChart, style: PageStyle, page: int, pages: int) -> list[Item]:
    """The legend, as much of it as fits, and the page's number."""
    left, _, right, bottom = style.frame
    size = foot_size(style)
    y = bottom - 0.3 * size
    number = f"{page} / {pages}"
    end = right - measure(number, REGULAR, size)
    items: list[Item] = [Text(end, y, tuple(spans(number, REGULAR, size)), SOFT)]
    x = left
    for shapes, words in _legend(chart, style):
        width = 1.05 * size * len(shapes) + 0.1 * size + measure(words, REGULAR, size)
        if x + width > end - size:
            break
        for place, shape in enumerate(shapes):
            items.append(
                _legend_mark(shape, x + (0.45 + 1.05 * place) * size, y - 0.33 * size, 0.36 * size)
            )
        start = x + 1.05 * size * len(shapes) + 0.1 * size
        items.append(Text(start, y, tuple(spans(words, REGULAR, size)), SOFT))
        x += width + 1.2 * size
    return items


def _legend(chart: CompingChart, style: PageStyle) -> list[tuple[tuple[str, ...], str]]:
    """Marks and what they mean."""
    rows: list[tuple[tuple[str, ...], str]] = []
    if style.grids != "none":
        rows += [(("root",), "root"), (("guide",), "guide tone"), (("other",), "other tone")]
    if style.neck_map != "none":
        low, high = chart.player.window
        rows.append((("step",), "hand along the neck"))
        rows.append((("shade",), f"frets {low}–{high}"))
        rows.append((("six", "five"), "root on string 6, on 5"))
    return rows


def _legend_mark(shape: str, x: float, y: float, radius: float) -> Item:
    """A mark of the legend in its place."""
    if shape == "step":
        return Line(x - 1.1 * radius, y, x + 1.1 * radius, y, 0.9)
    if shape == "shade":
        return Rect(x - radius, y - radius, 2 * radius, 2 * radius, SHADE - 0.05)
    if shape == "six":
        return Circle(x, y, radius)
    if shape == "five":
        return Circle(x, y, radius * 0.9, 1.0, 0.0, 0.8)
    return mark(shape, x, y, radius)
