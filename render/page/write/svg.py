"""Write a page as SVG 1.1.

Takes a `Document` and the number of a page, gives the text of an SVG file with its fonts embedded,
cut down to what is used. One unit is one point.

A group of items is a `<g>` of the class of its kind. Those of bars and chords carry a title in
words, `data-bar` (the number of the bar) and `data-chord` (the index among the sheet's chords, from
0), and have the ids `bar-5` and `chord-12`; what repeats an id on the page gets `-2`, `-3` … behind
it. What copies is the text of the chords: numbers in pictures cannot be selected.
"""

from __future__ import annotations

from base64 import b64encode
from collections import Counter
from functools import lru_cache
from itertools import chain
from typing import Final

from ....grammar.foreign_text import xml_text
from ...stamps import MARK
from ..drawing.fonts import cut_font
from ..drawing.items import (
    Circle,
    Close,
    Document,
    Drawing,
    Group,
    Ink,
    Item,
    Line,
    Open,
    Page,
    Placed,
    Places,
    Rect,
    Shown,
    Text,
)
from ..drawing.scripts import reads_from_right

#: The groups whose letters are parts of a picture.
_PICTURES: Final = ("drawing", "decoration")


def write_svg(document: Document, page: int = 0, *, fonts: bool = True) -> str:
    """One page of a document as SVG. Raises IndexError when there is no such page.

    Without `fonts` the typefaces are named only, for a browser page that serves them once and shows
    a chart again at every change: what was drawn last is kept.
    """
    shown = document.pages[page]
    width, height = _number(shown.width), _number(shown.height)
    language = '"' + xml_text(document.language).replace('"', "&quot;") + '"'
    head = (
        '<svg xmlns="http://www.w3.org/2000/svg" version="1.1" role="graphics-document document" '
        f'xml:lang={language} width="{width}pt" height="{height}pt" viewBox="0 0 {width} {height}">'
    )
    ids, draw = Counter[str](), _drawn if fonts else _kept
    body = "\n".join(
        _group(item.group, ids) if isinstance(item, Open) else draw(item) for item in shown.parts
    )
    title = f"<title>{xml_text(document.title)}</title>"
    paper = f'<rect width="{width}" height="{height}" fill="#fff"/>'
    maker = f"<desc>{MARK}</desc>"
    if document.stamp:
        maker += f"<metadata>{xml_text(document.stamp)}</metadata>"
    faces = _fonts(shown) if fonts else ""
    return "\n".join((head, title, maker, faces, paper, body, "</svg>", ""))


def _fonts(page: Page) -> str:
    """The typefaces of a page as a style sheet with the fonts in it."""
    drawings = {part.drawing for part in page.parts if isinstance(part, Placed)}
    used: dict[str, set[str]] = {}
    for item in chain(page.parts, *(drawing.items for drawing in drawings)):
        if isinstance(item, Text):
            for span in item.spans:
                used.setdefault(span.face, set()).update(span.text)
    rules = []
    for name in sorted(used):
        data = b64encode(cut_font(name, "".join(sorted(used[name])))).decode("ascii")
        source = f"url(data:font/ttf;base64,{data})"
        rules.append(f'@font-face{{font-family:"{name}";src:{source} format("truetype")}}')
    return f"<style>{''.join(rules)}</style>"


@lru_cache(maxsize=16384)
def _number(value: float) -> str:
    """A number with two decimals at most; a page and one edited from it share most of theirs.

    Adding 0.0 writes -0.0 as 0: the two are one key of the cache.
    """
    return f"{value + 0.0:.2f}".rstrip("0").rstrip(".")


@lru_cache(maxsize=64)
def _grey(value: float | None) -> str:
    """A grey as a colour; None paints nothing."""
    if value is None:
        return "none"
    level = round(255 * value)
    return f"#{level:02x}{level:02x}{level:02x}"


def _group(group: Group, ids: Counter[str]) -> str:
    """The start of a group; `ids` counts how often an id was wanted on this page."""
    name = _id(group)
    if name:
        ids[name] += 1
    return _start(group, ids[name])


@lru_cache(maxsize=8192)
def _start(group: Group, wanted: int) -> str:
    """The start of a group whose id was wanted so many times on its page, this time included."""
    words = [f'<g class="{group.kind}"']
    name = _id(group)
    if name:
        again = f"-{wanted}" if wanted > 1 else ""
        words.append(f'id="{name}{again}"')
    words += [
        f'data-{key}="{value}"'
        for key, value in (("bar", group.bar), ("chord", group.chord))
        if value is not None
    ]
    if group.kind in _PICTURES:
        words.append('aria-hidden="true" style="user-select:none;-webkit-user-select:none"')
    if group.kind == "chord":
        words.append('role="img"')
    title = ", ".join(part for part in (_bar_name(group), group.alternative) if part)
    return " ".join(words) + ">" + (f"<title>{xml_text(title)}</title>" if title else "")


def _id(group: Group) -> str:
    """The id of a bar or a chord of the sheet; "" for other groups."""
    if group.kind == "chord" and group.chord is not None:
        return f"chord-{group.chord}"
    return f"bar-{group.bar}" if group.kind == "bar" else ""


def _bar_name(group: Group) -> str:
    return f"Bar {group.bar}" if group.kind == "bar" else ""


def _drawn(item: Item) -> str:
    """One item as an element, a drawing as its elements, or the end of a group."""
    if isinstance(item, Close):
        return "</g>"
    assert not isinstance(item, (Open, Shown))
    if isinstance(item, Placed):
        elements, places = _drawing(item.drawing)
        return elements % _numbers(places, item.x, item.y)
    element, places = _element(item)
    return element % _numbers(places, 0.0, 0.0)


_kept: Final = lru_cache(maxsize=16384)(_drawn)


def _numbers(places: Places, x: float, y: float) -> tuple[str, ...]:
    """The numbers of places from an origin at (x, y)."""
    return tuple([_number(n) for dx, dy in places for n in (x + dx, y + dy)])


@lru_cache(maxsize=1024)
def _drawing(drawing: Drawing) -> tuple[str, Places]:
    """The elements of a drawing with room for their places, and these, from its origin."""
    elements, places = zip(*map(_element, drawing.items), strict=True)
    return "\n".join(elements), tuple(chain(*places))


def _element(item: Ink) -> tuple[str, Places]:
    """An element with a `%s` for each number of its places, and these."""
    if isinstance(item, Text):
        return _text(item)
    if isinstance(item, Line):
        drawn = _stroke(item.grey, item.width, item.dash)
        ends = (item.x1, item.y1), (item.x2, item.y2)
        return f'<line x1="%s" y1="%s" x2="%s" y2="%s" {drawn}/>', ends
    if isinstance(item, Circle):
        drawn = f'r="{_number(item.radius)}" {_paint(item.fill, item.stroke, item.width)}'
        return f'<circle cx="%s" cy="%s" {drawn}/>', ((item.x, item.y),)
    if isinstance(item, Rect):
        size = f'width="{_number(item.w)}" height="{_number(item.h)}"'
        drawn = _paint(item.fill, item.stroke, item.width)
        return f'<rect x="%s" y="%s" {size} {drawn}/>', ((item.x, item.y),)
    steps = "".join([f"{step[0]}{_ROOM[len(step)]}" for step in item.steps])
    drawn = _paint(item.fill, item.stroke, item.width, item.dash)
    return f'<path d="{steps}" {drawn}/>', item.corners


#: Room for the numbers of a step, by how long the step is.
_ROOM: Final = {1: "", 3: "%s %s", 7: "%s %s %s %s %s %s"}


@lru_cache(maxsize=256)
def _stroke(grey: float | None, width: float, dash: tuple[float, ...] = ()) -> str:
    drawn = f'stroke="{_grey(grey)}" stroke-width="{_number(width)}"'
    pattern = " ".join(map(_number, dash))
    return f'{drawn} stroke-dasharray="{pattern}"' if pattern else drawn


def _paint(
    fill: float | None, stroke: float | None, width: float, dash: tuple[float, ...] = ()
) -> str:
    painted = f'fill="{_grey(fill)}"'
    return painted if stroke is None else f"{painted} {_stroke(stroke, width, dash)}"


def _text(item: Text) -> tuple[str, Places]:
    """A text as an element with room for its places, and these."""
    spans = "".join([_span(span.face, span.size, span.text) for span in item.spans])
    # The letters stand in their order on paper already.
    order = (
        ' style="direction:ltr;unicode-bidi:bidi-override"' if reads_from_right(item.string) else ""
    )
    places = tuple([(item.x + span.dx, item.y - span.rise) for span in item.spans])
    return f'<text xml:space="preserve" fill="{_grey(item.grey)}"{order}>{spans}</text>', places


@lru_cache(maxsize=2048)
def _span(face: str, size: float, text: str) -> str:
    """A piece of a text with room for its place."""
    letters = xml_text(text).replace("%", "%%")
    return (
        f'<tspan x="%s" y="%s" font-family="{face}" font-size="{_number(size)}">{letters}</tspan>'
    )
