"""The head of a chart, the running head of its later pages, and the foot with the legend."""

from __future__ import annotations

from ...converter.chart import CompingChart
from .cell import key_text
from .fonts import BOLD, REGULAR, measure, spans
from .grid import mark
from .items import Circle, Item, Line, Rect, Text
from .neckmap import SHADE
from .style import SOFT, PageStyle

#: Sizes of the title, of the lines beside and below it, and of the foot.
TITLE, SIDE, FOOT = 24.0, 10.0, 7.6
LARGE_TITLE, LARGE_SIDE = 32.0, 18.0
DOT = "  ·  "


def _sizes(style: PageStyle) -> tuple[float, float, float]:
    if style.large:
        return LARGE_TITLE, LARGE_SIDE, LARGE_SIDE
    small = style.paper == "a5"
    return (TITLE * 0.8, SIDE * 0.9, FOOT) if small else (TITLE, SIDE, FOOT)


def text_at(x: float, y: float, text: str, name: str, size: float, grey: float = 0.0) -> Text:
    """A text that begins at `x`."""
    return Text(x, y, tuple(spans(text, name, size)), grey)


def text_to(x: float, y: float, text: str, name: str, size: float, grey: float = 0.0) -> Text:
    """A text that ends at `x`."""
    return text_at(x - measure(text, name, size), y, text, name, size, grey)


def facts(chart: CompingChart) -> tuple[str, str]:
    """Key, meter, tempo and feel in one line; what the hand does in the other."""
    header = chart.sheet.header
    key = chart.analysis.stated or chart.analysis.key
    first = [key_text(key).removesuffix("m") + " " + key.mode, str(header.meter)]
    if header.tempo is not None:
        first.append(f"tempo {header.tempo}")
    if header.feel:
        first.append(header.feel)
    travel = chart.plan.travel
    second = [f"frets {travel.lowest_fret}–{travel.highest_fret}"]
    second.append(f"{travel.shifts} shifts, {travel.shift_frets} frets in all")
    return DOT.join(first), DOT.join(second)


def draw_header(chart: CompingChart, style: PageStyle) -> tuple[list[Item], float]:
    """The head of the first page and the height where it ends."""
    left, top, right, _ = style.frame
    title, side, _ = _sizes(style)
    items: list[Item] = []
    heading = style.heading
    owner = [part for part in (heading.studio, heading.student, heading.date) if part]
    y = top
    if owner:
        items += _spread(owner, left, right, y + 0.8 * side, side)
        y += 1.6 * side
    name = chart.sheet.header.title or "Untitled"
    room = right - left
    first, second = facts(chart)
    beside = max(measure(first, REGULAR, side), measure(second, REGULAR, side))
    size = min(title, title * (room - 0) / max(measure(name, BOLD, title), 1))
    stacked = measure(name, BOLD, size) + beside + 2 * side > room
    y += 0.78 * size
    items.append(text_at(left, y, name, BOLD, size))
    by = chart.sheet.header.by
    if stacked:
        if by:
            y += 1.35 * side
            items.append(text_at(left, y, by, REGULAR, side, SOFT))
        for row in (first, second):
            y += 1.35 * side
            fit = (
                min(side, side * room / max(measure(row, REGULAR, side), 1))
                if not style.large
                else side
            )
            for part in _wrapped(row, room, fit):
                items.append(text_at(left, y, part, REGULAR, fit, SOFT))
                y += 1.35 * side
            y -= 1.35 * side
    else:
        items.append(text_to(right, y - 0.35 * side, first, REGULAR, side, SOFT))
        y += 1.5 * side
        items.append(text_to(right, y - 0.35 * side, second, REGULAR, side, SOFT))
        if by:
            items.append(text_at(left, y, by, REGULAR, side, SOFT))
    y += 0.75 * side
    items.append(Line(left, y, right, y, 1.2))
    if heading.note:
        y += 0.3 * side
        for part in _wrapped(heading.note, room, side):
            y += 1.3 * side
            items.append(text_at(left, y, part, REGULAR, side))
        y += 0.2 * side
    return items, y + 0.9 * side


def _wrapped(text: str, room: float, size: float) -> list[str]:
    """A text in lines that fit the room."""
    lines: list[str] = []
    for word in text.split():
        if lines and measure(f"{lines[-1]} {word}", REGULAR, size) <= room:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def _spread(parts: list[str], left: float, right: float, y: float, size: float) -> list[Item]:
    """Up to three texts in a row: left, middle, right."""
    if len(parts) == 1:
        return [text_at(left, y, parts[0], REGULAR, size)]
    items: list[Item] = [text_at(left, y, parts[0], REGULAR, size)]
    items.append(text_to(right, y, parts[-1], REGULAR, size))
    if len(parts) == 3:
        middle = 0.5 * (left + right) - 0.5 * measure(parts[1], REGULAR, size)
        items.append(text_at(middle, y, parts[1], REGULAR, size))
    return items


def draw_running_head(chart: CompingChart, style: PageStyle) -> tuple[list[Item], float]:
    """The head of a later page: the title again, and a line."""
    left, top, right, _ = style.frame
    _, side, _ = _sizes(style)
    y = top + 0.8 * side
    items: list[Item] = [text_at(left, y, chart.sheet.header.title or "Untitled", BOLD, side)]
    items.append(Line(left, y + 0.5 * side, right, y + 0.5 * side, 0.8))
    return items, y + 1.8 * side


def foot_height(style: PageStyle) -> float:
    """What the foot takes of a page."""
    return 2.0 * _sizes(style)[2]


def draw_foot(chart: CompingChart, style: PageStyle, page: int, pages: int) -> list[Item]:
    """The legend of our marks and the page's number."""
    left, _, right, bottom = style.frame
    size = _sizes(style)[2]
    y = bottom - 0.3 * size
    number = f"{page} / {pages}"
    items: list[Item] = [text_to(right, y, number, REGULAR, size, SOFT)]
    room = right - left - measure(number, REGULAR, size) - 2 * size
    x = left
    for shapes, words in _legend(chart, style):
        width = size * 0.5 * 1.6 * len(shapes) + measure(words, REGULAR, size) + 1.6 * size
        if x - left + width - 1.2 * size > room:
            break
        for shape in shapes:
            items.append(_legend_mark(shape, x + 0.4 * size, y - 0.3 * size, 0.36 * size))
            x += 1.0 * size
        items.append(text_at(x, y, words, REGULAR, size, SOFT))
        x += measure(words, REGULAR, size) + 1.2 * size
    return items


def _legend(chart: CompingChart, style: PageStyle) -> list[tuple[tuple[str, ...], str]]:
    rows: list[tuple[tuple[str, ...], str]] = []
    if style.grids != "none":
        rows += [(("root",), "root"), (("guide",), "guide tone"), (("other",), "other tone")]
    if style.neck_map != "none":
        low, high = chart.player.window
        rows.append((("shade",), f"hand on the neck, frets {low}–{high} grey"))
        rows.append((("six", "five"), "root on string 6, on 5"))
    return rows


def _legend_mark(shape: str, x: float, y: float, radius: float) -> Item:
    if shape == "shade":
        return Rect(x - radius, y - radius, 2 * radius, 2 * radius, SHADE - 0.05)
    if shape == "six":
        return Circle(x, y, radius)
    if shape == "five":
        return Circle(x, y, radius * 0.9, 1.0, 0.0, 0.8)
    return mark(shape, x, y, radius)
