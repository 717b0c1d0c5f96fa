"""One chord of a bar: its symbol, grid and numeral, as wide as it needs and drawn where it stands.

All rows of a line share their heights (`Rows`), so that symbols, grids and numerals stand level.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from ...grammar.chord import NO_CHORD
from .fonts import BOLD, CAP_HEIGHT, REGULAR, measure, spans
from .grid import GridLook, draw_grid
from .items import Item, Line, Span, Text
from .names import key_text, signed
from .setting import Setting
from .style import SOFT
from .symbol import Symbol, set_symbol

#: The width of a stroke mark, in distances between strings.
_STROKE: Final = 1.4


@dataclass(frozen=True, slots=True)
class Rows:
    """Heights below the top of a line's music: baselines of symbol and numeral, top of grids."""

    symbol: float
    grid: float
    numeral: float
    bottom: float


@dataclass(frozen=True, slots=True)
class Cell:
    """A chord ready to be drawn; `width` is what it needs, `index` points into the sheet's chords.

    `roman_dx` is where its numeral begins behind the key's name.
    """

    index: int
    symbol: Symbol
    look: GridLook
    numeral: tuple[Span, ...]
    roman_dx: float
    sure: bool
    width: float


def rows_of(setting: Setting) -> Rows:
    """The heights that all lines of a chart share."""
    sizes, look = setting.sizes, setting.look
    baseline = sizes.symbol * (CAP_HEIGHT + 0.09)
    grid = baseline + sizes.symbol * 0.22
    below = grid + (0.0 if setting.style.grids == "none" else look.height + 0.25 * look.dot)
    if not setting.style.analysis:
        return Rows(baseline, grid, below, below + 2)
    numeral = below + sizes.small * 0.98
    return Rows(baseline, grid, numeral, numeral + sizes.small * 0.32)


def make_cell(setting: Setting, index: int, factor: float = 1.0) -> Cell:
    """A chord with everything measured, its sizes times `factor`."""
    sizes = setting.sizes.scaled(factor)
    chord = setting.chords[index].chord
    if chord is None:
        parts = tuple(spans(NO_CHORD, REGULAR, max(sizes.symbol * 0.8, sizes.least)))
        symbol = Symbol(parts, parts[0].width)
    else:
        symbol = set_symbol(chord, sizes.symbol, setting.style.symbols, sizes.raised)
    look = setting.look
    if factor != 1.0:
        look = replace(
            look, string=sizes.string, fret=sizes.fret, finger=sizes.finger, number=sizes.small
        )
    numeral, roman_dx, sure = _numeral(setting, index)
    numeral_width = numeral[-1].end if numeral else 0.0
    width = max(symbol.width, _grid_width(setting, index, look), numeral_width)
    return Cell(index, symbol, look, numeral, roman_dx, sure, width)


def _numeral(setting: Setting, index: int) -> tuple[tuple[Span, ...], float, bool]:
    """The spans of a numeral, led by the key where it changes, where it
    begins behind that, and whether the reading is sure."""
    reading = setting.chart.analysis.readings[index]
    if reading is None or not setting.style.analysis:
        return (), 0.0, True
    size = setting.sizes.small
    out: list[Span] = []
    start = 0.0
    if setting.key_named[index]:
        label = key_text(reading.key) + ": "
        out += spans(label, BOLD, size)
        start = measure(label, BOLD, size)
    out += spans(signed(reading.roman), REGULAR, size, start)
    return tuple(out), start, not reading.doubtful


def draw_cell(setting: Setting, cell: Cell, x: float, top: float, rows: Rows) -> list[Item]:
    """The items of a chord whose left edge is `x` in a line whose top is `top`."""
    items: list[Item] = [cell.symbol.at(x, top + rows.symbol)]
    grip = setting.grip(cell.index)
    chord = setting.chords[cell.index].chord
    look = cell.look
    if setting.gridded[cell.index] and grip is not None and chord is not None:
        items += draw_grid(grip, chord, (x, top + rows.grid), look)
    elif _is_struck_again(setting, cell.index):
        items.append(_stroke(x + look.gutter, top + rows.grid + look.top, look))
    if cell.numeral:
        grey = 0.0 if cell.sure else SOFT
        items.append(Text(x, top + rows.numeral, cell.numeral, grey))
    return items


def _grid_width(setting: Setting, index: int, look: GridLook) -> float:
    """The width of what stands in the row of grids for a chord."""
    if setting.gridded[index]:
        return look.width
    return look.gutter + _STROKE * look.string if _is_struck_again(setting, index) else 0.0


def _is_struck_again(setting: Setting, index: int) -> bool:
    """Whether a stroke mark stands for the grid of a chord."""
    style = setting.style
    return style.grids == "each" and not setting.gridded[index] and setting.grip(index) is not None


def _stroke(x: float, y: float, look: GridLook) -> Item:
    """The stroke mark of a chord that is struck again."""
    middle = y + 0.5 * look.rows * look.fret
    reach, end = 1.1 * look.fret, x + _STROKE * look.string
    return Line(x, middle + reach, end, middle - reach, 0.28 * look.dot + 0.6)
