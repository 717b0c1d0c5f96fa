"""Choose the size of a chart and the bars on its lines, so that its pages are filled.

Takes a chart, a `PageStyle` and the frames of its pages; gives the chart's lines at one size. The
sizes of a style are the smallest: a chart grows while it takes no page, cuts no phrase and parts no
section more than it does at that size. Lengths are points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from ...converter.chart import CompingChart
from .chords import ChartLine
from .context import LayoutContext, layout_context
from .drawing.blocks import FlowBlock, Frames, Gaps, break_pages
from .drawing.style import PageStyle
from .line import MeasuredLine, height_with, measure_lines
from .line_breaks import (
    Broken,
    Passage,
    break_passages,
    cuts_of,
    measure_passages,
    set_lines,
)

#: The largest size of a chart, beside the sizes of its style, which are the smallest that are read
#: well, and the number of steps between them.
LARGEST, STEPS = 1.5, 16
#: The least and largest gap between lines, as parts of the size of symbols.
LEAST_GAP: Final = 0.2
LARGEST_GAP: Final = 2.4
#: The largest gap in large print, whose last page holds the legend below the lines.
LARGE_GAP: Final = 0.6
#: Bars on a line of a wide page where none are asked for and so many fit.
TWO_PHRASES = 8


@dataclass(frozen=True, slots=True)
class Body:
    """A chart's lines at one size."""

    context: LayoutContext
    lines: tuple[MeasuredLine, ...]

    @property
    def gaps(self) -> Gaps:
        """The gaps between lines."""
        return gaps_of(self.context)

    @property
    def height(self) -> float:
        """The height of all lines one under the other."""
        gap = self.gaps.least
        return sum(line.height + gap for line in self.lines) - gap


def gaps_of(context: LayoutContext) -> Gaps:
    """The gaps between the lines of a chart."""
    symbol, largest = context.sizes.symbol, LARGE_GAP if context.style.large else LARGEST_GAP
    return Gaps(LEAST_GAP * symbol, largest * symbol)


@dataclass(frozen=True, slots=True, order=True)
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
    body = _at_size(plain, step, most)
    # Words over a section break anew at each size: a page may hold a little less than reckoned.
    while step > 0 and len(pages_of(body, frames)) > price.pages:
        step -= 1
        body = _at_size(plain, step, most)
    return body


def pages_of(body: Body, frames: Frames) -> tuple[tuple[int, int], ...]:
    """For each page of a chart the index of its first line and of the one behind its last."""
    return _pages([_block(line.height, line.line) for line in body.lines], frames, 1.0, body.gaps)


def _pages(
    blocks: Sequence[FlowBlock], frames: Frames, factor: float, gaps: Gaps
) -> tuple[tuple[int, int], ...]:
    """The pages of lines on paper whose height is divided by a factor."""
    return break_pages(blocks, (frames.first.room / factor, frames.later.room / factor), gaps)


def _block(height: float, line: ChartLine) -> FlowBlock:
    """What page breaks ask of a line."""
    return FlowBlock(height, lambda left, top: (), line.begins, may_stand_alone=False)


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
        self._measured: dict[tuple[tuple[int, ...], ...], tuple[MeasuredLine, ...]] = {}

    def price(self, factor: float, most: int) -> Price:
        """What the chart costs at a size with so many bars on a line at most."""
        width = self._width(factor)
        return self._price(break_passages(self.context, self.passages, width, most), factor)

    def costs_no_more(self, factor: float, most: int, price: Price) -> bool:
        """Whether a larger size costs no more than the price of a smaller one.

        It takes no fewer pages, so that one which cuts more phrases need not be measured.
        """
        broken = break_passages(self.context, self.passages, self._width(factor), most)
        return cuts_of(broken) <= price.cuts and self._price(broken, factor) <= price

    def _width(self, factor: float) -> float:
        """The width of lines at plain size on paper whose width is divided by a factor."""
        return self.context.width / factor - self.context.gutter

    def _price(self, broken: Broken, factor: float) -> Price:
        blocks = self._blocks(set_lines(broken, self._width(factor)))
        pages = _pages(blocks, self.frames, factor, gaps_of(self.context))
        parted = sum(not blocks[start].starts_section for start, _ in pages[1:])
        return Price(len(pages), cuts_of(broken), parted)

    def _blocks(self, lines: tuple[ChartLine, ...]) -> list[FlowBlock]:
        """The heights of lines, all but what their widths change measured once for every way to
        break them."""
        key = tuple(tuple(piece.bar for piece in line.pieces) for line in lines)
        if key not in self._measured:
            self._measured[key] = measure_lines(self.context, lines)
        pairs = zip(self._measured[key], lines, strict=True)
        return [_block(height_with(self.context, measured, line), line) for measured, line in pairs]


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
    """The chart set at a size."""
    factor = _sizes(plain.context.style)[step]
    context = layout_context(plain.context.chart, plain.context.style, factor)
    width = context.music_width
    lines = set_lines(break_passages(context, measure_passages(context), width, most), width)
    return Body(context, measure_lines(context, lines))
