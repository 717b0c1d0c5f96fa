"""A bar divided into strokes: one slash a beat, and one wherever a chord begins.

Lengths are in quarters, exact. In 6/8, 9/8 and 12/8 a beat is a dotted quarter.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Final

from ...grammar.sheet import Bar

_NAMES: Final = ("whole", "half", "quarter", "eighth", "16th", "32nd", "64th")
#: Note values in quarters, longest first, with their dots.
_VALUES: Final = tuple(
    sorted(
        (
            (Fraction(4, 2**power) * dotted, name, dots)
            for power, name in enumerate(_NAMES)
            for dots, dotted in enumerate((Fraction(1), Fraction(3, 2)))
        ),
        reverse=True,
    )
)

#: The shortest note value, a 64th: lengths that it does not measure are left without one.
_SHORTEST: Final = Fraction(1, 16)


@dataclass(frozen=True, slots=True)
class Cell:
    """One stroke of `quarters`: the chord (its index in the bar, None for none), the note value.

    `starts`: the chord begins here. `value` is "" for a length that no note value has.
    """

    chord: int | None
    starts: bool
    quarters: Fraction
    value: str
    dots: int


def bar_cells(bar: Bar) -> tuple[Cell, ...]:
    """The strokes of a bar in order; they fill it."""
    unit = Fraction(4, bar.meter.unit)
    total = bar.quarters
    starts = {chord.start * unit: index for index, chord in enumerate(bar.chords)}
    beat = 3 * unit if bar.meter.compound else unit
    grid = {beat * count for count in range(int(total / beat) + 1)}
    edges = sorted(edge for edge in {Fraction(0), *grid, *starts} if edge < total)
    edges.append(total)
    cells: list[Cell] = []
    chord: int | None = None
    for edge, after in pairwise(edges):
        chord = starts.get(edge, chord)
        for at, (quarters, value, dots) in enumerate(_values(after - edge)):
            cells.append(Cell(chord, edge in starts and at == 0, quarters, value, dots))
    return tuple(cells)


def _values(length: Fraction) -> Iterator[tuple[Fraction, str, int]]:
    """Note values that make up a length, longest first; "" for a length that none can make up."""
    if _SHORTEST.denominator % length.denominator:
        yield length, "", 0
        return
    for quarters, name, dots in _VALUES:
        while length >= quarters:
            yield quarters, name, dots
            length -= quarters
