"""Choose which bars share a line: phrases of four bars stay whole, lines balance.

Takes what each bar of a section needs and the width of a line, gives the lines as ranges of bars.
Every way to break has a price; the cheapest is found exactly, from the last bar to the first
(dynamic programming). Lengths are points. That a phrase is four bars long is common practice, no
source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

#: Bars of a phrase.
PHRASE: Final = 4
#: What a line costs, and the square of the part of it that its bars do not need.
LINE, SLACK = 1.0, 0.5
#: What a break costs in the middle of a phrase, and behind its first or third bar.
HALF, ODD = 1.2, 4.5
#: What a line costs that holds no whole phrases and no half of one: a single bar, a lone last bar,
#: any other number.
SINGLE, LONE, UNUSUAL = 2.0, 6.0, 4.5
#: What a break costs between bars that belong together.
TIED = 20.0
#: Rounding that a full line forgives.
ROUNDING: Final = 1e-6


@dataclass(frozen=True, slots=True)
class BarNeed:
    """What the breaking of lines knows of a bar, or of a part of one.

    `least`: the width it needs. `place`: how many bars of its strain come before it; a second
    ending counts from where the first began. `breaks`: a line must begin with it. `tied`: it stays
    beside the bar before. `counts`: whether it counts among the bars of a line, as pickups do not.
    """

    least: float
    place: int = 0
    breaks: bool = False
    tied: bool = False
    counts: bool = True


def break_bars(needs: Sequence[BarNeed], width: float, most: int) -> tuple[range, ...]:
    """The lines of a section with at most `most` bars each, as ranges of indices of `needs`.

    A bar that is wider than a line has one to itself.
    """
    count = len(needs)
    best: list[tuple[float, int]] = [(0.0, count)] * (count + 1)
    for start in range(count - 1, -1, -1):
        best[start] = min(
            (price + best[end][0], end) for end, price in _lines_from(needs, start, width, most)
        )
    lines, start = [], 0
    while start < count:
        lines.append(range(start, best[start][1]))
        start = best[start][1]
    return tuple(lines)


def _lines_from(
    needs: Sequence[BarNeed], start: int, width: float, most: int
) -> list[tuple[int, float]]:
    """Every line that may begin with a bar: the bar behind its last, and its price."""
    found = []
    used, bars = 0.0, 0
    for end in range(start + 1, len(needs) + 1):
        last = needs[end - 1]
        used, bars = used + last.least, bars + last.counts
        too_full = used > width + ROUNDING or bars > most
        if end > start + 1 and (too_full or last.breaks):
            break
        slack = SLACK * max(0.0, 1 - used / width) ** 2 if end < len(needs) else 0.0
        price = LINE + slack + _count_price(needs, start, end, bars, most)
        found.append((end, price + _break_price(needs, end)))
    return found


def _count_price(needs: Sequence[BarNeed], start: int, end: int, bars: int, most: int) -> float:
    """What the number of bars of a line costs."""
    if bars == 1 and end == len(needs) and start > 0 and not needs[start].breaks:
        return LONE
    if bars == 1 and len(needs) > 1:
        return SINGLE
    usual = bars in (1, 2, most) or bars % PHRASE == 0
    return 0.0 if usual else UNUSUAL


def _break_price(needs: Sequence[BarNeed], end: int) -> float:
    """What it costs that a line ends before the bar `end`."""
    if end == len(needs) or needs[end].breaks:
        return 0.0
    if needs[end].tied:
        return TIED
    within = needs[end].place % PHRASE
    if within == 0:
        return 0.0
    return HALF if 2 * within == PHRASE else ODD


def phrase_cuts(needs: Sequence[BarNeed], lines: Sequence[range]) -> float:
    """What all breaks inside phrases cost: 0 where every phrase is whole."""
    return sum(_break_price(needs, line.stop) for line in lines)
