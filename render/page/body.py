"""Choose the size of a chart and the bars on its lines, so that its pages are filled.

It decides before anything is drawn; `layout` draws what it gives. Takes a chart, a `PageStyle` and
the frames of its pages; gives the chart's lines at one size. The sizes of a style are the smallest:
a chart grows while it takes no page, cuts no phrase and parts no section more than it does at that
size. Lengths are points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from ...converter.chart import CompingChart
from ...grammar.frozen import frozen
from .bars import symbols_rise
from .context import LayoutContext, layout_context
from .drawing.blocks import FlowBlock, Frames, Gaps, break_pages
from .drawing.items import Item
from .drawing.style import PageStyle
from .line import LineNeeds, MeasuredLine, measure_lines, needs_of
from .line_breaks import (
    Broken,
    LinePlace,
    Passage,
    break_passages,
    cuts_of,
    measure_passages,
    place_lines,
    set_lines,
)

#: The largest size of a chart, beside the sizes of its style, which are the smallest that are read
#: well, and the number of steps between them.
LARGEST, STEPS = 1.5, 16
#: The least and largest gap between lines, as parts of the size of symbols.
LEAST_GAP: Final = 0.2
#: The least gap at the smallest size where that saves a page.
TIGHT_GAP: Final = 0.04
LARGEST_GAP: Final = 2.4
#: The largest gap on the last page of large print, which holds the legend below the lines.
LARGE_GAP: Final = 0.6
#: Bars on a line of a wide page where none are asked for and so many fit.
TWO_PHRASES = 8


@frozen
class Body:
    """A chart's lines at one size; `tight`: the gaps between them are the smallest."""

    context: LayoutContext
    lines: tuple[MeasuredLine, ...]
    tight: bool = False

    @property
    def gaps(self) -> Gaps:
        """The gaps between lines."""
        return gaps_of(self.context, self.tight)

    @property
    def height(self) -> float:
        """The height of all lines one under the other."""
        gap = self.gaps.least
        return sum(line.height + gap for line in self.lines) - gap


def gaps_of(context: LayoutContext, tight: bool = False) -> Gaps:
    """The gaps between the lines of a chart."""
    symbol = context.sizes.symbol
    last = LARGE_GAP * symbol if context.style.large else None
    return Gaps((TIGHT_GAP if tight else LEAST_GAP) * symbol, LARGEST_GAP * symbol, last)


@frozen(order=True)
class Price:
    """What a size costs, in the order in which it counts."""

    pages: int
    cuts: float
    parted: int


def set_body(chart: CompingChart, style: PageStyle, frames: Frames) -> Body:
    """The chart at the largest size that costs no more than the smallest one."""
    plain = _Plain(chart, style, frames)
    price, step, most = min(
        (_best_size(plain, most) for most in _counts(style)),
        key=lambda found: (found[0], -found[1]),
    )
    if price.pages > 1 and plain.pages_when_tight(most) < price.pages:
        tight = replace(_at_size(plain, 0, most), tight=True)
        if not _rises(tight) and len(pages_of(tight, frames)) < price.pages:
            return tight
    body = _at_size(plain, step, most)
    # Words over a section break anew at each size: a page may hold a little less than reckoned.
    while step > 0 and len(pages_of(body, frames)) > price.pages:
        step -= 1
        body = _at_size(plain, step, most)
    return body


def _rises(body: Body) -> bool:
    """Whether a symbol rises above its line, into what a tight gap leaves of the line above."""
    sizes = body.context.sizes
    return any(symbols_rise(sizes, line.line.pieces) > 0.0 for line in body.lines)


def pages_of(body: Body, frames: Frames) -> tuple[tuple[int, int], ...]:
    """For each page of a chart the index of its first line and of the one behind its last."""
    return _pages(
        [_block(line.height, line.line.begins) for line in body.lines], frames, 1.0, body.gaps
    )


def _pages(
    blocks: Sequence[FlowBlock], frames: Frames, factor: float, gaps: Gaps
) -> tuple[tuple[int, int], ...]:
    """The pages of lines on paper whose height is divided by a factor."""
    return break_pages(blocks, (frames.first.room / factor, frames.later.room / factor), gaps)


def _block(height: float, begins: bool) -> FlowBlock:
    """What page breaks ask of a line; `begins`: it is the first of its section."""
    return FlowBlock(height, _undrawn, begins, may_stand_alone=False)


def _undrawn(left: float, top: float) -> tuple[Item, ...]:
    """Nothing: the items of a block that is only measured."""
    return ()


def _counts(style: PageStyle) -> tuple[int, ...]:
    """The numbers of bars on a line that are tried."""
    if style.bars_per_line is not None or not style.landscape:
        return (style.cells,)
    return (style.cells, TWO_PHRASES)


class _Plain:
    """A chart measured at its plain size; prices of other sizes follow from it.

    At twice the size a page holds what one of half its width and height would hold at plain size.
    """

    def __init__(self, chart: CompingChart, style: PageStyle, frames: Frames) -> None:
        self.context = layout_context(chart, style)
        self.passages: tuple[Passage, ...] = measure_passages(self.context)
        self.frames = frames
        self._gaps = gaps_of(self.context)
        self._needs: dict[tuple[int, int, int], LineNeeds] = {}
        self._broken: dict[tuple[float, int], Broken] = {}

    def price(self, factor: float, most: int) -> Price:
        """What the chart costs at a size with so many bars on a line at most."""
        return self._price(self.broken(factor, most), factor)

    def costs_no_more(self, factor: float, most: int, price: Price) -> bool:
        """Whether a larger size costs no more than the price of a smaller one.

        It takes no fewer pages, so that one which cuts more phrases need not be measured.
        """
        broken = self.broken(factor, most)
        return cuts_of(broken) <= price.cuts and self._price(broken, factor) <= price

    def pages_when_tight(self, most: int) -> int:
        """The number of pages at the plain size with the smallest gaps."""
        blocks = self._blocks(self.broken(1.0, most), 1.0)
        return len(_pages(blocks, self.frames, 1.0, gaps_of(self.context, True)))

    def broken(self, factor: float, most: int) -> Broken:
        """The lines of the chart at a size with so many bars on a line at most."""
        if (factor, most) not in self._broken:
            width = self.width(factor)
            lines = break_passages(self.context, self.passages, width, most)
            self._broken[factor, most] = lines
        return self._broken[factor, most]

    def width(self, factor: float) -> float:
        """The width of lines at plain size on paper whose width is divided by a factor."""
        return self.context.width / factor - self.context.gutter

    def _price(self, broken: Broken, factor: float) -> Price:
        blocks = self._blocks(broken, factor)
        pages = _pages(blocks, self.frames, factor, self._gaps)
        parted = sum(not blocks[start].starts_section for start, _ in pages[1:])
        return Price(len(pages), cuts_of(broken), parted)

    def _blocks(self, broken: Broken, factor: float) -> list[FlowBlock]:
        places = place_lines(broken, self.width(factor))
        return [_block(self._height(place), place.bars.start == 0) for place in places]

    def _height(self, place: LinePlace) -> float:
        """The height of a line; all but what its widths change is measured once for every way to
        break a section whose bars are whole."""
        passage = place.passage
        key = passage.section, place.bars.start, place.bars.stop
        needs = self._needs.get(key) if passage.whole else None
        if needs is None:
            section = passage.section, place.bars.start == 0
            needs = needs_of(self.context, section, place.parts)
            self._needs[key] = needs
        return needs.height(self.context, place.parts, place.widths)


def _best_size(plain: _Plain, most: int) -> tuple[Price, int, int]:
    """The price of the smallest size, and the step to the largest that costs no more, found by
    halving the steps between."""
    sizes = _sizes(plain.context.style)
    least = plain.price(sizes[0], most)
    low, high = 0, len(sizes) - 1
    while low < high:
        middle = (low + high + 1) // 2
        if plain.costs_no_more(sizes[middle], most, least):
            low = middle
        else:
            high = middle - 1
    return least, low, most


def _sizes(style: PageStyle) -> tuple[float, ...]:
    """The sizes that are tried, beside the plain one, ascending; large print has one size."""
    if style.large:
        return (1.0,)
    return tuple(LARGEST ** (step / STEPS) for step in range(STEPS + 1))


def _at_size(plain: _Plain, step: int, most: int) -> Body:
    """The chart set at a size: lines broken at the plain one, all their sizes times a factor."""
    factor = _sizes(plain.context.style)[step]
    context, width = plain.context.scaled(factor), plain.width(factor)
    lines = set_lines(plain.broken(factor, most), width, factor)
    return Body(context, measure_lines(context, lines))
