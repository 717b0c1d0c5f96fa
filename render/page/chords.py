"""Measure the chords of a bar and draw them.

A chord is as wide as its symbol, grid or numeral needs. Lengths are points.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from ...grammar.chord import NO_CHORD
from ...grammar.frozen import frozen
from .beats import ChordTimes
from .context import LayoutContext
from .drawing.fonts import BOLD, REGULAR, measure, scaled_spans, spans
from .drawing.grid import GridLook, draw_grid, mark
from .drawing.items import Item, Line, Shown, Span, Text
from .drawing.signs import Symbol, bracketed, key_text, set_symbol, signed, with_signs
from .rhythm import stroke_gaps

#: The room behind a symbol for the mark of a grip that lacks a tone of it, in sizes of symbols.
LACKING: Final = 0.36
#: The width of the sign for a grip that is kept, in distances between strings.
SAME: Final = 1.4
#: The least gap between ticks, in sizes of symbols.
GAP: Final = 0.45


@frozen
class Rows:
    """Heights below the top of a line: baselines of symbol, ticks and numeral, top of grids."""

    symbol: float
    tick: float
    grid: float
    numeral: float
    bottom: float


@frozen
class MeasuredChord:
    """A chord ready to be drawn; `width` is what it needs, `index` points into the sheet's chords.

    `lacks`: its grip does not sound all that its symbol names. `roman_dx` is where its numeral
    begins behind the key's name; `goal` tells behind it where the chord resolves, where no arrow
    does; `aside` is how far right of its left edge the grid stands beside the symbol, 0 where it
    stands below.
    """

    index: int
    symbol: Symbol
    lacks: bool
    look: GridLook
    numeral: tuple[Span, ...]
    roman_dx: float
    goal: tuple[Span, ...]
    width: float
    ticks: float
    aside: float = 0.0

    def arranged(self, look: GridLook, aside: float) -> MeasuredChord:
        """The same chord with its grid in a look, so far right of its left edge."""
        if look is self.look and aside == self.aside:
            return self
        return MeasuredChord(
            self.index,
            self.symbol,
            self.lacks,
            look,
            self.numeral,
            self.roman_dx,
            self.goal,
            self.width,
            self.ticks,
            aside,
        )

    def scaled(self, factor: float) -> MeasuredChord:
        """The same chord with all its sizes times a factor."""
        return MeasuredChord(
            self.index,
            self.symbol.scaled(factor),
            self.lacks,
            self.look.scaled(factor),
            scaled_spans(self.numeral, factor),
            self.roman_dx * factor,
            scaled_spans(self.goal, factor),
            self.width * factor,
            self.ticks * factor,
            self.aside * factor,
        )

    @property
    def words_end(self) -> float:
        """Where the words of its numeral and its goal end."""
        return max((span.end for span in (*self.numeral, *self.goal)), default=0.0)

    @property
    def words(self) -> float:
        """The width of its symbol and of the row of its numeral."""
        return max(self.symbol.width, self.words_end)


def measure_chord(context: LayoutContext, index: int) -> MeasuredChord:
    """A chord with everything measured."""
    sizes = context.sizes
    chord = context.chords[index].chord
    if chord is None:
        parts = spans(NO_CHORD, REGULAR, max(sizes.symbol * 0.8, sizes.least))
        symbol = Symbol(parts, parts[0].width, 0.0, 0.0)
    else:
        symbol = set_symbol(chord, sizes.symbol, context.style.symbols, sizes.raised)
    if context.chords[index].optional:
        symbol = bracketed(symbol, sizes.symbol, *context.chart.sheet.brackets(index))
    lacks = context.lacks(index)
    if lacks:
        symbol = replace(symbol, width=symbol.width + LACKING * sizes.symbol)
    grip = context.grip(index)
    look = context.look if grip is None else context.look.of(grip)
    numeral, roman_dx = _numeral(context, index)
    ends = numeral[-1].end if numeral else 0.0
    width = max(symbol.width, _grid_width(context, index, look), ends)
    goal = _goal(context, index, ends, width) if numeral else ()
    width = max(width, goal[-1].end if goal else 0.0)
    ticks = sum(tick_gaps(context, context.chart.sheet.bar_of(index), context.times[index]))
    return MeasuredChord(index, symbol, lacks, look, numeral, roman_dx, goal, width, ticks)


def _numeral(context: LayoutContext, index: int) -> tuple[tuple[Span, ...], float]:
    """The spans of a numeral, led by the key where it changes, and where it begins behind that.

    A doubtful reading has a question mark: at the key where that is named, or else at the numeral.
    """
    reading = context.chart.analysis.readings[index]
    if reading is None or not context.style.numerals:
        return (), 0.0
    size, doubt = context.sizes.small, "?" if reading.doubtful else ""
    out: list[Span] = []
    start = 0.0
    if context.key_named[index]:
        label, doubt = f"{key_text(reading.key)}{doubt}: ", ""
        out += spans(label, BOLD, size)
        start = measure(label, BOLD, size)
    out += spans(signed(reading.roman) + doubt, REGULAR, size, start)
    return tuple(out), start


def _goal(context: LayoutContext, index: int, behind: float, room: float) -> tuple[Span, ...]:
    """What tells behind a numeral where its chord resolves: the bar, short where room is short, or
    the chord where bars have no numbers or it is in the same one."""
    target = context.links.told.get(index)
    if target is None:
        return ()
    sheet, chord = context.chart.sheet, context.chords[target].chord
    here, there = sheet.bar_number_of(index), sheet.bar_number_of(target)
    forms = [f"→ bar {there}", f"→ {there}"]
    if chord is not None and (not context.numbered or there in (0, here)):
        forms = [f"→ {with_signs(str(chord))}"]
    size = context.sizes.small
    start = behind + 0.5 * size
    fit = [form for form in forms if start + measure(form, REGULAR, size) <= room]
    return spans((fit or forms[-1:])[0], REGULAR, size, start)


def draw_chord(
    context: LayoutContext, measured: MeasuredChord, x: float, top: float, rows: Rows
) -> list[Item]:
    """The items of a chord whose left edge is `x` in a line whose top is `top`."""
    items: list[Item] = [measured.symbol.at(x, top + rows.symbol)]
    if measured.lacks:
        size = measured.symbol.spans[0].size
        middle = x + measured.symbol.width - 0.4 * LACKING * size
        items.append(mark("other", middle, top + rows.symbol - 0.16 * size, 0.12 * size, True))
        items.append(Shown("lacks"))
    grip = context.grip(measured.index)
    chord = context.chords[measured.index].chord
    look = measured.look
    if context.gridded[measured.index] and grip is not None and chord is not None:
        items += draw_grid(grip, chord, (x + measured.aside, top + rows.grid), look)
    elif _is_struck_again(context, measured.index):
        items += same_sign(x + measured.aside + look.gutter, top + rows.grid + look.top, look)
    if measured.numeral:
        items.append(Text(x, top + rows.numeral, measured.numeral))
        reading = context.chart.analysis.readings[measured.index]
        items += [Shown("doubt")] if reading is not None and reading.doubtful else []
    if measured.goal:
        items += [Text(x, top + rows.numeral, measured.goal), Shown("far")]
    return items


def _grid_width(context: LayoutContext, index: int, look: GridLook) -> float:
    """The width of what stands in the row of grids for a chord."""
    if context.gridded[index]:
        return look.width
    return look.gutter + SAME * look.string if _is_struck_again(context, index) else 0.0


def _is_struck_again(context: LayoutContext, index: int) -> bool:
    """Whether a sign stands for the grid of a chord: the grip before it again."""
    style = context.style
    return style.grids == "each" and not context.gridded[index] and context.grip(index) is not None


def same_sign(x: float, y: float, look: GridLook) -> list[Item]:
    """Two level bars for a chord that is struck again with the grip before: nothing like a tick."""
    middle, end = y + 0.5 * look.rows * look.fret, x + SAME * look.string
    apart, thick = 0.55 * look.dot, 0.28 * look.dot + 0.4
    lines = [Line(x, middle + dy, end, middle + dy, thick) for dy in (-apart, apart)]
    return [*lines, Shown("same")]


def measure_chords(context: LayoutContext, number: int) -> tuple[MeasuredChord, ...]:
    """The chords of the written bar with index `number`."""
    return tuple(measure_chord(context, index) for index in context.chart.sheet.chords_of(number))


def tick_gaps(context: LayoutContext, bar: int, chord: ChordTimes) -> list[float]:
    """The least gap behind each tick of a chord of the bar with an index, with room for what is
    written beside it and for strokes of a rhythm."""
    size, gap = context.sizes.small, GAP * context.sizes.symbol
    gaps = [
        gap + (measure(label, REGULAR, size) + 0.2 * size if label else 0.0)
        for label in chord.labels
    ]
    strokes = context.strokes_in(bar)
    if not strokes:
        return gaps
    marks = [*chord.ticks, chord.end]
    struck = stroke_gaps(strokes, context.chart.sheet.bars[bar].meter, marks, context.sizes)
    return [max(pair) for pair in zip(gaps, struck, strict=True)]
