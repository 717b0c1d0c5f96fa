"""The form of a score: repeats, endings, signs and jumps of its written bars.

Takes the bar lines and marks of each written bar, gives one `Signs` for each. Where scores are
customarily loose they are put in order, and a warning says so: a repeat that opens and never
closes, a first ending without a second, a repeat sign at the end of the last ending.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from .jumps import place_jumps, place_signs
from .signs import Edges, Signs


def read_form(edges: Sequence[Edges], numbers: Sequence[int]) -> tuple[list[Signs], list[str]]:
    """The signs of every written bar, and warnings; `numbers` are the bars' numbers."""
    warnings: list[str] = []
    bars = [_plain(edge) for edge in edges]
    for index, edge in enumerate(edges):
        if index and edge.barlines.double_before:
            bars[index - 1] = replace(bars[index - 1], double_bar=True)
        if edge.barlines.inside:
            warnings.append(f"bar {numbers[index]}: a repeat sign inside it is read at its end")
    _number_endings(bars)
    _close_endings(bars)
    _mend_repeats(bars, numbers, warnings)
    _mend_endings(bars, numbers, warnings)
    place_signs(bars, edges)
    place_jumps(bars, edges)
    return bars, warnings


def _plain(edge: Edges) -> Signs:
    lines = edge.barlines
    return Signs(
        repeat_open=lines.opens,
        repeat_close=lines.times if lines.times > 1 else 0,
        endings=lines.endings,
        ending_close=lines.ending_stops,
        double_bar=lines.double,
    )


def _number_endings(bars: list[Signs]) -> None:
    """Gives an ending without a number the pass that is next."""
    last = 0
    for index, bar in enumerate(bars):
        if bar.endings == (0,):
            bars[index] = bar = replace(bar, endings=(last + 1,))
        if bar.endings:
            last = 0 if bar.endings[0] == 1 else last
            last = max(last, *bar.endings)
        elif bar.repeat_open:
            last = 0


def _close_endings(bars: list[Signs]) -> None:
    """Ends an ending that nothing ended: at its repeat sign, or where the next one begins."""
    inside = False
    for index, bar in enumerate(bars):
        if bar.endings:
            if inside:
                bars[index - 1] = replace(bars[index - 1], ending_close=True)
            inside = True
        if inside and (bar.ending_close or bar.repeat_close or index == len(bars) - 1):
            bars[index] = replace(bars[index], ending_close=True)
            inside = False
        elif bar.ending_close:
            bars[index] = replace(bar, ending_close=False)


def _mend_repeats(bars: list[Signs], numbers: Sequence[int], warnings: list[str]) -> None:
    """Drops the opening signs of repeats that nothing closes."""
    opened: int | None = None
    closed = True
    for index, bar in enumerate(bars):
        if bar.repeat_open:
            if opened is not None and not closed and _closings(bars, index) <= 1:
                _drop_open(bars, opened, numbers, warnings)
            opened, closed = index, False
        if bar.repeat_close:
            closed = True
    if opened is not None and not closed:
        _drop_open(bars, opened, numbers, warnings)


def _closings(bars: Sequence[Signs], index: int) -> int:
    """The closing signs from `index` on before anything opens again, endings counted once."""
    count = 0
    for at, bar in enumerate(bars[index:]):
        if at and bar.repeat_open:
            break
        count += bool(bar.repeat_close and not bar.ending_close)
        count += bool(bar.endings and 1 in bar.endings)
    return count


def _drop_open(bars: list[Signs], index: int, numbers: Sequence[int], warnings: list[str]) -> None:
    bars[index] = replace(bars[index], repeat_open=False)
    warnings.append(
        f"bar {numbers[index]}: a repeat opens here and is never closed; it is left out"
    )


def _mend_endings(bars: list[Signs], numbers: Sequence[int], warnings: list[str]) -> None:
    """Gives a closed last ending the end that was meant: the next one, or no repeat sign."""
    starts = [index for index, bar in enumerate(bars) if bar.endings]
    for index in starts:
        stop = next(at for at in range(index, len(bars)) if bars[at].ending_close)
        follows = stop + 1 < len(bars) and bool(bars[stop + 1].endings)
        if follows or not bars[stop].repeat_close:
            continue
        if 1 not in bars[index].endings:
            bars[stop] = replace(bars[stop], repeat_close=0)
            warnings.append(
                f"bar {numbers[stop]}: the repeat sign after the last ending is left out"
            )
        elif stop + 1 < len(bars) and not bars[stop + 1].repeat_open:
            number = max(bars[index].endings) + 1
            after = bars[stop + 1]
            bars[stop + 1] = replace(after, endings=(number,), ending_close=True)
            warnings.append(
                f"bar {numbers[stop + 1]}: no bracket follows ending"
                f" {number - 1}; this bar is read as ending {number}"
            )
