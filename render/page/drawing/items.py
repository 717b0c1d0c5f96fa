"""What a page is made of: positioned items, in points, and the pages and document that hold them.

The origin is the page's top left corner, y grows downwards. A point is 1/72 inch. Greys run from
0.0 (black) to 1.0 (white); a `fill` or `stroke` of None means that part is not painted. Text
stands on its baseline. Writers draw items in order and decide nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

#: One step of an outline: ("M", x, y), ("L", x, y), ("C", x1, y1, x2, y2, x, y) or ("Z",).
Step = tuple[str | float, ...]
#: Left, top, right, bottom.
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line; `dash` is (on, off) in points, () for a whole line."""

    x1: float
    y1: float
    x2: float
    y2: float
    width: float = 0.5
    grey: float = 0.0
    dash: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle round (`x`, `y`)."""

    x: float
    y: float
    radius: float
    fill: float | None = 0.0
    stroke: float | None = None
    width: float = 0.5


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle with its top left corner at (`x`, `y`)."""

    x: float
    y: float
    w: float
    h: float
    fill: float | None = 0.0
    stroke: float | None = None
    width: float = 0.5


@dataclass(frozen=True, slots=True)
class Path:
    """An outline of straight lines and Bézier curves."""

    steps: tuple[Step, ...]
    fill: float | None = None
    stroke: float | None = 0.0
    width: float = 0.5
    dash: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
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


@dataclass(frozen=True, slots=True)
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


Item = Line | Circle | Rect | Path | Text


@dataclass(frozen=True, slots=True)
class OutlineEntry:
    """An entry of the document's outline: its title, the page (from 0) and height it leads to."""

    title: str
    page: int
    y: float


@dataclass(frozen=True, slots=True)
class Page:
    """One page of a size in points."""

    width: float
    height: float
    items: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class Document:
    """Pages with what a reader program shows about them; `language` is a BCP 47 tag.

    `stamp` tells what the pages were made of; writers keep it where their format has a place.
    """

    pages: tuple[Page, ...]
    title: str = ""
    author: str = ""
    language: str = "en"
    outline: tuple[OutlineEntry, ...] = ()
    stamp: str = ""
