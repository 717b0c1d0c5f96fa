"""Write a page as SVG 1.1.

Takes a `Document` and the number of a page, gives the text of an SVG file with its fonts embedded,
cut down to what is used. One unit is one point.

A group of items is a `<g>` of the class of its kind; that of a line is moved down to its top, so
that a line that moves changes nowhere else. Those of bars and chords carry a title in
words, `data-bar` (the number of the bar) and `data-chord` (the index among the sheet's chords, from
0), and have the ids `bar-5` and `chord-12`; what repeats an id on the page gets `-2`, `-3` … behind
it. What copies is the text of the chords: numbers in pictures cannot be selected.
"""

from __future__ import annotations

from base64 import b64encode
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from functools import lru_cache
from itertools import chain
from typing import Final

from ....grammar.foreign_text import xml_text
from ...stamps import MARK
from ..drawing.fonts import REGULAR, cut_font
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
    Rect,
    Shown,
    Span,
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
        f'xml:lang={language} width="{width}pt" height="{height}pt" viewBox="0 0 {width} {height}" '
        f'font-family="{REGULAR}">'
    )
    body = "\n".join(_body(shown.parts, _drawn if fonts else _kept))
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
    level = f"{round(255 * value):02x}"
    return "#" + 3 * (level[0] if level[0] == level[1] else level)


def _body(items: Iterable[Item], draw: Callable[[Ink | Placed, float], str]) -> Iterator[str]:
    """The elements of items, and the starts and ends of groups; a line has heights of its own."""
    ids = Counter[str]()
    tops = [0.0]
    for item in items:
        if isinstance(item, Close):
            tops.pop()
            yield "</g>"
        elif not isinstance(item, Open):
            assert not isinstance(item, Shown)
            yield draw(item, tops[-1])
        elif item.group.kind == "line":
            tops.append(item.top)
            yield f'<g class="line" transform="translate(0 {_number(item.top)})">'
        else:
            tops.append(tops[-1])
            yield _group(item.group, ids)


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


def _drawn(item: Ink | Placed, top: float) -> str:
    """One item as an element, a drawing as a group of them, its heights counted from `top`."""
    if isinstance(item, Placed):
        at = f"{_number(item.x)} {_number(item.y - top)}"
        return f'<g transform="translate({at})">{_drawing(item.drawing)}</g>'
    return _element(item, top)


_kept: Final = lru_cache(maxsize=16384)(_drawn)


@lru_cache(maxsize=1024)
def _drawing(drawing: Drawing) -> str:
    """The elements of a drawing round its origin; an edited chart keeps most of its drawings."""
    return "".join(_element(item, 0.0) for item in drawing.items)


def _element(item: Ink, top: float) -> str:
    """An element with its heights counted from `top`."""
    if isinstance(item, Text):
        return _text(item, top)
    if isinstance(item, Line):
        ends = f'x1="{_number(item.x1)}" y1="{_number(item.y1 - top)}" '
        ends += f'x2="{_number(item.x2)}" y2="{_number(item.y2 - top)}"'
        return f"<line {ends}{_stroke(item.grey, item.width, item.dash)}/>"
    x, y = _number(item.x), _number(item.y - top)
    if isinstance(item, Circle):
        drawn = _paint(item.fill, item.stroke, item.width)
        return f'<circle cx="{x}" cy="{y}" r="{_number(item.radius)}"{drawn}/>'
    if isinstance(item, Rect):
        size = f'width="{_number(item.w)}" height="{_number(item.h)}"'
        return f'<rect x="{x}" y="{y}" {size}{_paint(item.fill, item.stroke, item.width)}/>'
    steps = "".join(
        f"{step[0]}{_numbers(step[1:])}" for step in replace(item, y=item.y - top).placed
    )
    return f'<path d="{steps}"{_paint(item.fill, item.stroke, item.width, item.dash)}/>'


def _numbers(values: Iterable[float | str]) -> str:
    return " ".join([_number(float(value)) for value in values])


@lru_cache(maxsize=256)
def _stroke(grey: float | None, width: float, dash: tuple[float, ...] = ()) -> str:
    drawn = f' stroke="{_grey(grey)}" stroke-width="{_number(width)}"'
    return f'{drawn} stroke-dasharray="{_numbers(dash)}"' if dash else drawn


@lru_cache(maxsize=256)
def _paint(
    fill: float | None, stroke: float | None, width: float, dash: tuple[float, ...] = ()
) -> str:
    """How a shape is filled, where it is not black as all that says nothing, and stroked."""
    painted = "" if fill == 0.0 else f' fill="{_grey(fill)}"'
    return painted if stroke is None else painted + _stroke(stroke, width, dash)


def _text(item: Text, top: float) -> str:
    """A text as an element that stands where its first piece does; the others lie in it."""
    string = item.string
    words = [_paint(item.grey, None, 0.0)]
    if string != " ".join(string.split()):
        words.append(' xml:space="preserve"')
    if reads_from_right(string):
        # The letters stand in their order on paper already.
        words.append(' style="direction:ltr;unicode-bidi:bidi-override"')
    first = item.spans[0]
    inside = "".join(
        f"<tspan{_place(item, span, top)}{_letters(span, first.face)}</tspan>"
        for span in item.spans[1:]
    )
    return (
        f"<text{''.join(words)}{_place(item, first, top)}{_letters(first, REGULAR)}{inside}</text>"
    )


def _place(item: Text, span: Span, top: float) -> str:
    return f' x="{_number(item.x + span.dx)}" y="{_number(item.y - span.rise - top)}"'


def _letters(span: Span, around: str) -> str:
    """The rest of a piece of a text that lies in an element of the typeface `around`."""
    family = "" if span.face == around else f' font-family="{span.face}"'
    return f'{family} font-size="{_number(span.size)}">{xml_text(span.text)}'
