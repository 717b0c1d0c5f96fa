"""What a page is made of: positioned items, in points, and the pages and document that hold them.

The origin is the page's top left corner, y grows downwards. A point is 1/72 inch. Greys run from
0.0 (black) to 1.0 (white); a `fill` or `stroke` of None means that part is not painted. Text
stands on its baseline. Writers draw items in order and decide nothing.

What items mean stands among them: an `Open` and a `Close` enclose those of one `Group`, groups lie
in one another, and the order of items is the order of reading.

A `Drawing` is worked out once and placed often: writers keep what they make of it. `flat` takes
such places apart.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Any, Final, Literal

from ....grammar.frozen import frozen

#: One step of an outline: ("M", x, y), ("L", x, y), ("C", x1, y1, x2, y2, x, y) or ("Z",).
Step = tuple[str | float, ...]
#: Points, each x and y.
Places = tuple[tuple[float, float], ...]
#: Left, top, right, bottom.
Box = tuple[float, float, float, float]


@frozen
class Line:
    """A straight line; `dash` is (on, off) in points, () for a whole line."""

    x1: float
    y1: float
    x2: float
    y2: float
    width: float = 0.5
    grey: float = 0.0
    dash: tuple[float, ...] = ()


@frozen
class Circle:
    """A circle round (`x`, `y`)."""

    x: float
    y: float
    radius: float
    fill: float | None = 0.0
    stroke: float | None = None
    width: float = 0.5


@frozen
class Rect:
    """A rectangle with its top left corner at (`x`, `y`)."""

    x: float
    y: float
    w: float
    h: float
    fill: float | None = 0.0
    stroke: float | None = None
    width: float = 0.5


@frozen
class Path:
    """An outline of straight lines and Bézier curves, its steps counted from (`x`, `y`).

    Outlines with the same steps in many places are one object of a PDF.
    """

    steps: tuple[Step, ...]
    fill: float | None = None
    stroke: float | None = 0.0
    width: float = 0.5
    dash: tuple[float, ...] = ()
    x: float = 0.0
    y: float = 0.0

    @property
    def placed(self) -> tuple[Step, ...]:
        """Its steps on the page."""
        shifts = self.x, self.y
        if shifts == (0.0, 0.0):
            return self.steps
        return tuple(
            (step[0], *(float(n) + shifts[place % 2] for place, n in enumerate(step[1:])))
            for step in self.steps
        )

    @property
    def corners(self) -> Places:
        """The ends of its steps and their control points, on the page."""
        # A step's letter is its only text.
        numbers: list[Any] = [number for step in self.placed for number in step[1:]]
        return tuple(zip(numbers[::2], numbers[1::2], strict=True))


@frozen
class Span:
    """A piece of a text in one face and size, `dx` right of the text's start, raised by `rise`.

    `width` is its measured advance.
    """

    text: str
    face: str
    size: float
    dx: float
    rise: float
    width: float

    @property
    def end(self) -> float:
        """Where it ends, right of the text's start."""
        return self.dx + self.width


@frozen
class Text:
    """One text that copies and reads as a whole: spans on a baseline that starts at (`x`, `y`)."""

    x: float
    y: float
    spans: tuple[Span, ...]
    grey: float = 0.0

    @property
    def string(self) -> str:
        """The characters, as copied text reads."""
        return "".join(span.text for span in self.spans)


#: What a group of items is. `section` begins a section, whose `heading` follows where it has one;
#: `line` is a line of the chart, which moves as a whole where what stands above it grows; `drawing`
#: is a part of a chord whose letters are not read as text; `decoration` says nothing that the rest
#: does not say; `furniture` repeats on every page.
Kind = Literal[
    "title", "heading", "section", "text", "legend", "line", "bar", "chord", "drawing",
    "decoration", "furniture",
]  # fmt: skip


@frozen
class Group:
    """What some items are: their kind, the number of their bar, the index of their chord.

    `bar` is the number as written, `chord` counts the sheet's chords from 0, both None where there
    is none. `alternative` says in words what a picture shows, "" where its text says it.
    """

    kind: Kind
    bar: int | None = None
    chord: int | None = None
    alternative: str = ""


@frozen
class Open:
    """Here the items of a group begin; `top` is the height from which a line reaches down."""

    group: Group
    top: float = 0.0


@frozen
class Close:
    """Here the items of the group that was opened last end."""


@frozen
class Shown:
    """Here a mark is drawn that the legend explains by this name; finished pages leave it out."""

    mark: str


#: What leaves ink.
Ink = Line | Circle | Rect | Path | Text


@frozen(hash_once=True)
class Drawing:
    """Items round an origin of their own, and the box round their ink: the grid of a grip.

    Its letters are parts of the picture: it lies in a group of the kind `drawing`.
    """

    items: tuple[Ink, ...]
    box: Box


@frozen
class Placed:
    """A drawing with its origin at (`x`, `y`)."""

    drawing: Drawing
    x: float
    y: float


Item = Ink | Placed | Open | Close | Shown

CLOSE: Final = Close()
TITLE_GROUP: Final = Group("title")
SECTION_GROUP: Final = Group("section")
HEADING_GROUP: Final = Group("heading")
TEXT_GROUP: Final = Group("text")
DRAWING_GROUP: Final = Group("drawing")
LINE_GROUP: Final = Group("line")
LEGEND_GROUP: Final = Group("legend")
DECORATION_GROUP: Final = Group("decoration")
FURNITURE_GROUP: Final = Group("furniture")


def grouped(group: Group, items: Iterable[Item]) -> list[Item]:
    """The items as those of a group; nothing where there are none."""
    found = list(items)
    return [Open(group), *found, CLOSE] if found else []


def shifted(item: Item, dx: float, dy: float) -> Item:
    """The same item, `dx` to the right and `dy` down."""
    if isinstance(item, Line):
        x1, y1, x2, y2 = item.x1 + dx, item.y1 + dy, item.x2 + dx, item.y2 + dy
        return replace(item, x1=x1, y1=y1, x2=x2, y2=y2)
    if isinstance(item, Open) and item.group.kind == "line":
        return Open(item.group, item.top + dy)
    if isinstance(item, (Open, Close, Shown)):
        return item
    return replace(item, x=item.x + dx, y=item.y + dy)


def flat(items: Iterable[Item]) -> Iterator[Item]:
    """The items, those of drawings one by one at their places."""
    for item in items:
        if isinstance(item, Placed):
            yield from (shifted(part, item.x, item.y) for part in item.drawing.items)
        else:
            yield item


def finished(items: Iterable[Item]) -> list[Item]:
    """The items of a finished page: all but the names for the legend."""
    return [item for item in items if not isinstance(item, Shown)]


@frozen
class OutlineEntry:
    """An entry of the document's outline: its title, the page (from 0) and height it leads to.

    `level` is how deep it lies below the entry before it with a smaller one.
    """

    title: str
    page: int
    y: float
    level: int = 0


@frozen
class PageLink:
    """A rectangle of a page that leads to another page (from 0) of the document."""

    box: Box
    page: int


@frozen
class Page:
    """One page of a size in points; `parts` are its items, drawings as a whole."""

    width: float
    height: float
    parts: tuple[Item, ...]
    links: tuple[PageLink, ...] = ()

    @property
    def items(self) -> tuple[Item, ...]:
        """Its items one by one."""
        return tuple(flat(self.parts))


@frozen
class Document:
    """Pages with what a reader program shows about them; `language` is a BCP 47 tag.

    `pages` may be made one by one while they are read. `stamp` tells what they were made of;
    writers keep it where their format has a place. The first `front` pages are numbered by
    themselves, in small Roman figures. `letters` are the characters of texts by their typeface,
    None where a writer finds them in the pages.
    """

    pages: Sequence[Page]
    title: str = ""
    author: str = ""
    language: str = "en"
    outline: tuple[OutlineEntry, ...] = ()
    stamp: str = ""
    front: int = 0
    letters: tuple[tuple[str, str], ...] | None = None
