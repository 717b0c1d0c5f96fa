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
from typing import Final

from ....grammar.foreign_text import xml_text
from ...stamps import MARK
from ..drawing.fonts import cut_font
from ..drawing.items import Circle, Close, Document, Group, Item, Line, Open, Page, Path, Rect, Text
from ..drawing.scripts import reads_from_right

#: The groups whose letters are parts of a picture.
_PICTURES: Final = ("drawing", "decoration")


def write_svg(document: Document, page: int = 0, *, fonts: bool = True) -> str:
    """One page of a document as SVG. Raises IndexError when there is no such page.

    Without `fonts` the typefaces are named only, for a browser page that serves them once.
    """
    shown = document.pages[page]
    width, height = _number(shown.width), _number(shown.height)
    language = '"' + xml_text(document.language).replace('"', "&quot;") + '"'
    head = (
        '<svg xmlns="http://www.w3.org/2000/svg" version="1.1" role="graphics-document document" '
        f'xml:lang={language} width="{width}pt" height="{height}pt" viewBox="0 0 {width} {height}">'
    )
    ids = Counter[str]()
    body = "\n".join(
        _group(item.group, ids) if isinstance(item, Open) else _drawn(item) for item in shown.items
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
    used: dict[str, set[str]] = {}
    for item in page.items:
        if isinstance(item, Text):
            for span in item.spans:
                used.setdefault(span.face, set()).update(span.text)
    rules = []
    for name in sorted(used):
        data = b64encode(cut_font(name, "".join(sorted(used[name])))).decode("ascii")
        source = f"url(data:font/ttf;base64,{data})"
        rules.append(f'@font-face{{font-family:"{name}";src:{source} format("truetype")}}')
    return f"<style>{''.join(rules)}</style>"


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


@lru_cache(maxsize=64)
def _grey(value: float | None) -> str:
    """A grey as a colour; None paints nothing."""
    if value is None:
        return "none"
    level = round(255 * value)
    return f"#{level:02x}{level:02x}{level:02x}"


def _group(group: Group, ids: Counter[str]) -> str:
    """The start of a group; `ids` counts how often an id was wanted on this page."""
    words = [f'<g class="{group.kind}"']
    name = _id(group)
    if name:
        ids[name] += 1
        again = f"-{ids[name]}" if ids[name] > 1 else ""
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
    """One item as an element, or the end of a group."""
    n = _number
    if isinstance(item, Close):
        return "</g>"
    if isinstance(item, Text):
        return _text(item)
    if isinstance(item, Line):
        ends = f'x1="{n(item.x1)}" y1="{n(item.y1)}" x2="{n(item.x2)}" y2="{n(item.y2)}"'
        return f"<line {ends} {_stroke(item.grey, item.width, item.dash)}/>"
    if isinstance(item, Circle):
        place = f'cx="{n(item.x)}" cy="{n(item.y)}" r="{n(item.radius)}"'
        return f"<circle {place} {_paint(item.fill, item.stroke, item.width)}/>"
    if isinstance(item, Rect):
        place = f'x="{n(item.x)}" y="{n(item.y)}" width="{n(item.w)}" height="{n(item.h)}"'
        return f"<rect {place} {_paint(item.fill, item.stroke, item.width)}/>"
    assert isinstance(item, Path)
    return _path(item)


@lru_cache(maxsize=2048)
def _path(item: Path) -> str:
    """An outline as an element; the last ones are kept, as an edited chart keeps most of them.

    Adding 0.0 writes -0.0 as 0: the two are one key of the cache.
    """
    steps = [
        f"{step[0]}{' '.join([_number(float(n) + 0.0) for n in step[1:]])}" for step in item.placed
    ]
    return f'<path d="{"".join(steps)}" {_paint(item.fill, item.stroke, item.width, item.dash)}/>'


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


def _text(item: Text) -> str:
    spans = "".join(
        f'<tspan x="{_number(item.x + span.dx)}" y="{_number(item.y - span.rise)}" '
        f'font-family="{span.face}" font-size="{_number(span.size)}">{xml_text(span.text)}</tspan>'
        for span in item.spans
    )
    # The letters stand in their order on paper already.
    order = (
        ' style="direction:ltr;unicode-bidi:bidi-override"' if reads_from_right(item.string) else ""
    )
    return f'<text xml:space="preserve" fill="{_grey(item.grey)}"{order}>{spans}</text>'
