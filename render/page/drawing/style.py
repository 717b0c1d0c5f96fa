"""What the user may choose about a page, and the measures that follow from it.

Lengths are points (1/72 inch).
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import Final, Literal

from ....converter.practice.rhythm import named_pattern
from ....grammar.frozen import frozen

Paper = Literal["a4", "letter", "a5"]
Grids = Literal["each", "new", "none"]
Symbols = Literal["signs", "letters"]
NeckMap = Literal["none", "line", "page"]
Binding = Literal["none", "book"]

#: Portrait sizes: ISO 216 A4 and A5 (210 × 297 mm, 148 × 210 mm), ANSI Letter (8.5 × 11 in).
PAPERS: Final[dict[str, tuple[float, float]]] = {
    "a4": (210 / 25.4 * 72, 297 / 25.4 * 72),
    "letter": (612.0, 792.0),
    "a5": (148 / 25.4 * 72, 210 / 25.4 * 72),
}
MARGIN: Final = 36.0
#: Room for the holes of a punch (ISO 838: centres 12 mm from the edge, 6 mm wide).
PUNCH_MARGIN: Final = 57.0
#: The inner margin of a book's pages, which the binding takes a part of.
INNER_MARGIN: Final = 50.0
#: The lightest grey of text: 5.7:1 on white by the WCAG 2.2 formula.
SOFT: Final = 0.40
#: The least and the most dots an inch of a page as pixels, and how many where none are asked for.
DPI: Final = (36, 1200)
USUAL_DPI: Final = 150
#: The smallest text in large print.
LARGE_PT: Final = 18.0
#: The least height of a fret in a neck map.
LEAST_FRET: Final = 2.0


@frozen
class Heading:
    """What a teacher writes above a chart; an empty field prints nothing."""

    studio: str = ""
    student: str = ""
    date: str = ""
    note: str = ""


#: The `folio` of pages that are numbered and put on their side of the opening later.
UNBOUND: Final = 0


@frozen
class PageStyle:
    """How a chart is to be set.

    `binding` "book": margins mirror, the wider one inside, and page numbers stand outside.
    `bars_per_line` None: four, or eight on wide paper. `neck_map` and `analysis` None: under each
    line, but neither in large print. `dpi`: dots an inch of a page as pixels, None
    for `USUAL_DPI`. `rhythm` is the name of a pattern whose strokes stand over the bars of a chart,
    None for no strokes. `folio`: the number of the first page where the pages are part of a book,
    `UNBOUND` where a book numbers and mirrors them later, None where they are a document of their
    own and tell how many there are.
    """

    paper: Paper = "a4"
    landscape: bool = False
    large: bool = False
    bars_per_line: int | None = None
    grids: Grids = "each"
    symbols: Symbols = "signs"
    punch: bool = False
    neck_map: NeckMap | None = None
    analysis: bool | None = None
    second_page: bool = False
    binding: Binding = "none"
    heading: Heading = Heading()
    dpi: int | None = None
    rhythm: str | None = None
    folio: int | None = None

    def __post_init__(self) -> None:
        if self.bars_per_line is not None and not 1 <= self.bars_per_line <= 12:
            raise ValueError(f"bars per line are 1 to 12, not {self.bars_per_line}")
        low, high = DPI
        if self.dpi is not None and not low <= self.dpi <= high:
            raise ValueError(f"dpi is {low} to {high}, not {self.dpi}")
        if self.rhythm is not None:
            named_pattern(self.rhythm)

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the page."""
        width, height = PAPERS[self.paper]
        return (height, width) if self.landscape else (width, height)

    @property
    def frame(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of what may be printed on."""
        width, height = self.size
        left = PUNCH_MARGIN if self.punch else INNER_MARGIN if self.in_book else MARGIN
        return left, MARGIN, width - MARGIN, height - MARGIN

    @property
    def in_book(self) -> bool:
        """Whether the pages are bound as a book."""
        return self.binding == "book"

    def verso_dx(self, page: int) -> float:
        """How far the items of a page (from 1) stand left of those of a right-hand page.

        In a book the margins of even pages are mirrored: the inner one, with the holes, is right.
        """
        left, _, right, _ = self.frame
        return left + right - self.size[0] if self.in_book and page % 2 == 0 else 0.0

    @property
    def wide(self) -> bool:
        """Whether more bars fit side by side than on upright paper."""
        return self.landscape and self.paper != "a5"

    @property
    def cells(self) -> int:
        """Bars on a line where none is crowded."""
        if self.bars_per_line is not None:
            return self.bars_per_line
        return 4

    @property
    def map_place(self) -> NeckMap:
        """Where the neck map stands."""
        return self.neck_map or ("none" if self.large else "line")

    @property
    def numerals(self) -> bool:
        """Whether numerals, brackets and arrows are printed."""
        return not self.large if self.analysis is None else self.analysis


@frozen
class Metrics:
    """The sizes that a line of the chart is set in. Sizes of text and lengths in points.

    The plain ones are the least that a chart is set in: smaller ones are hard to read at arm's
    length (a choice of ours, no source).

    `symbol`: chord symbols; `raised`: their extensions, as a part of `symbol`; `fret`: the gap
    between two frets of a grid; `string`: between two strings; `finger`: finger numbers; `small`:
    numerals, words, fret numbers; `lane`: brackets and arrows; `neck`: a fret of the neck map.
    """

    symbol: float = 20.0
    raised: float = 0.72
    fret: float = 7.5
    string: float = 7.5
    finger: float = 7.0
    small: float = 8.0
    lane: float = 6.6
    neck: float = 2.0
    least: float = 0.0

    def scaled(self, factor: float) -> Metrics:
        """All sizes times a factor; no text falls below `least`."""
        return self if factor == 1.0 else _scaled(self, factor)


@lru_cache(maxsize=256)
def _scaled(sizes: Metrics, factor: float) -> Metrics:
    return replace(
        sizes,
        symbol=max(sizes.symbol * factor, sizes.least),
        fret=sizes.fret * factor,
        string=sizes.string * factor,
        finger=max(sizes.finger * factor, sizes.least),
        small=max(sizes.small * factor, sizes.least),
        lane=sizes.lane * factor,
        neck=max(sizes.neck * factor, LEAST_FRET),
    )


REGULAR_METRICS: Final = Metrics()
LARGE_METRICS: Final = Metrics(
    symbol=40.0, raised=1.0, fret=18.0, string=18.0, finger=18.0, small=18.0, lane=10.0, neck=4.5,
    least=LARGE_PT,
)  # fmt: skip
