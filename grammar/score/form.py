"""The form of a score: its written bars and their lengths, repeats, endings, signs and jumps.

`read_spans` takes the measures of a part and gives a `MeasureSpan` for each written bar. A short
first measure is a pickup. A later short measure is a short bar only where the score marks it
(`implicit`) or where it and its neighbour make one bar that a repeat sign divides; otherwise a bar
lasts as long as its time signature, however little was written into it.

`read_form` takes the bar lines and marks of each written bar (`Edges`) and gives its `Signs`. D.C.,
D.S., Fine and To Coda belong to the end of their bar, segno and Coda to the start of theirs. Common
irregularities of scores are corrected, with a warning: a repeat that opens and never closes, a
first ending without a second, a repeat sign at the end of the last ending.

Lengths are in quarter notes. Source: MusicXML 4.0, elements `measure`, `barline`, `direction`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Final

from ..frozen import frozen
from ..sheet import COMMON_TIME, Jump, JumpEnd, JumpTarget, Meter
from .measure import CLOSING_MARKS, Barlines, Mark, Time, WrittenMeasure, meter_lasting, on_grid

#: What every score loses.
MELODY_LEFT_OUT: Final = "the melody is left out: only chord symbols and the form are read"


@frozen
class MeasureSpan:
    """A written bar without its content: the index of its `measure`, its meter and length.

    `rest_bars`: the measures of a multi-bar rest, all of them this one bar; 0 for a plain bar.
    `odd`: what is written does not fill, or overfills, the time signature in force.
    """

    measure: int
    meter: Meter
    length: Fraction
    pickup: bool = False
    rest_bars: int = 0
    odd: bool = False


def read_spans(measures: Sequence[WrittenMeasure]) -> tuple[MeasureSpan, ...]:
    """The written bars of a part."""
    meters = _meters(measures)
    spans: list[MeasureSpan] = []
    index = 0
    while index < len(measures):
        rest = _rest(measures, index)
        spans.append(_span(measures, index, meters[index], rest))
        index += max(rest, 1)
    return tuple(spans)


def _meters(measures: Sequence[WrittenMeasure]) -> list[Meter | None]:
    """The time signature in force in each measure, None where there is none."""
    meters: list[Meter | None] = []
    now = Time(COMMON_TIME)
    for measure in measures:
        now = measure.time or now
        meters.append(now.meter)
    return meters


def _rest(measures: Sequence[WrittenMeasure], index: int) -> int:
    """The measures of the multi-bar rest that begins here, 0 for none that can be kept as one."""
    count = measures[index].rest_bars
    held = measures[index : index + count]
    if not count or len(held) < count or any(m.sounding or m.has_chords for m in held):
        return 0
    quiet = all(m.time is None and not m.states_key for m in held[1:]) and not any(
        mark.kind not in CLOSING_MARKS or m is not held[-1] for m in held[1:] for mark in m.marks
    )
    plain = all(m.barlines == Barlines() for m in held[1:-1]) and (
        count == 1 or (held[0].barlines.times == 0 and not held[-1].barlines.opens)
    )
    return count if quiet and plain else 0


def _span(
    measures: Sequence[WrittenMeasure], index: int, meter: Meter | None, rest: int
) -> MeasureSpan:
    length = measures[index].length
    if meter is None:
        meter = meter_lasting(length or Fraction(4), 4)
        return MeasureSpan(index, meter, meter.quarters, odd=True)
    full = meter.quarters
    if rest or length in (0, full):
        return MeasureSpan(index, meter, full, rest_bars=rest)
    if length > full:
        meter = meter_lasting(length, meter.unit)
        return MeasureSpan(index, meter, meter.quarters, odd=True)
    if index == 0 and len(measures) > 1:
        return MeasureSpan(index, meter, on_grid(length) or Fraction(1, 16), pickup=True)
    if _divided(measures, index, meter):
        meter = meter_lasting(length, meter.unit)
        return MeasureSpan(index, meter, meter.quarters, odd=True)
    return MeasureSpan(index, meter, full)


def _divided(measures: Sequence[WrittenMeasure], index: int, meter: Meter) -> bool:
    """Whether a short measure is a short bar: marked so, or half of a bar that a repeat divides."""
    if index == len(measures) - 1:
        return False
    if measures[index].implicit:
        return True
    for one, other in ((index - 1, index), (index, index + 1)):
        whole = measures[one].length + measures[other].length == meter.quarters
        if one > 0 and whole and measures[one].barlines.times + measures[other].barlines.opens:
            return True
    return False


@frozen
class Signs:
    """What stands at the bar lines of one written bar: the fields of `Bar` of the same names."""

    repeat_open: bool = False
    repeat_close: int = 0
    endings: tuple[int, ...] = ()
    ending_close: bool = False
    double_bar: bool = False
    segno: bool = False
    coda: bool = False
    to_coda: bool = False
    fine: bool = False
    jump: Jump | None = None


@frozen
class Edges:
    """A written bar's bar lines (those of its first and last measure) and its marks."""

    span: MeasureSpan
    barlines: Barlines
    marks: tuple[Mark, ...]


def edges_of(measures: Sequence[WrittenMeasure], span: MeasureSpan) -> Edges:
    """The bar lines and marks of a written bar; a multi-bar rest has those of both its ends."""
    first = measures[span.measure]
    last = measures[span.measure + max(span.rest_bars, 1) - 1]
    if last is first:
        return Edges(span, first.barlines, tuple(first.marks))
    end = last.barlines
    lines = replace(
        first.barlines, times=end.times, ending_stops=end.ending_stops, double=end.double
    )
    return Edges(span, lines, (*first.marks, *last.marks))


def place_signs(bars: list[Signs], edges: Sequence[Edges]) -> None:
    """Set segno, coda, To Coda and Fine; coda signs without words as far as those are missing."""
    lone: list[tuple[int, int]] = []
    for index, edge in enumerate(edges):
        for mark in edge.marks:
            at_end = mark.onset >= edge.span.length and index + 1 < len(bars)
            at = index + at_end
            if mark.kind == "segno":
                bars[at] = replace(bars[at], segno=True)
            elif mark.kind == "coda":
                bars[at] = replace(bars[at], coda=True)
            elif mark.kind == "to_coda":
                bars[index] = replace(bars[index], to_coda=True)
            elif mark.kind == "fine":
                bars[index] = replace(bars[index], fine=True)
            elif mark.kind == "sign":
                lone.append((index, at))
    _place_lone(bars, sorted(set(lone)))


def _place_lone(bars: list[Signs], lone: list[tuple[int, int]]) -> None:
    """Read a coda sign without words as the Coda where there is none, else as To Coda.

    `lone`: for each sign the bar that it would end and the bar that it would begin.
    """
    free = [(end, start) for end, start in lone if not (bars[start].coda or bars[end].to_coda)]
    if free and not any(bar.coda for bar in bars):
        _, start = free.pop()
        bars[start] = replace(bars[start], coda=True)
    if free and not any(bar.to_coda for bar in bars):
        end, _ = free.pop(0)
        bars[end] = replace(bars[end], to_coda=True)


def place_jumps(bars: list[Signs], edges: Sequence[Edges]) -> None:
    """The first D.C. or D.S. of each bar."""
    for index, edge in enumerate(edges):
        for mark in edge.marks:
            if mark.kind in ("dacapo", "dalsegno") and bars[index].jump is None:
                to: JumpTarget = "capo" if mark.kind == "dacapo" else "segno"
                until = _until(bars, index, mark.value)
                bars[index] = replace(bars[index], jump=Jump(to, until))


def _until(bars: Sequence[Signs], index: int, words: str) -> JumpEnd:
    """Where the playing ends after a jump: by its words, else by the signs in the score."""
    if words in ("fine", "coda"):
        return "fine" if words == "fine" else "coda"
    if any(bar.to_coda for bar in bars[: index + 1]) and any(bar.coda for bar in bars):
        return "coda"
    return "fine" if any(bar.fine for bar in bars) else "end"


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
    """Give each ending without a number the next pass."""
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
    """End each ending without a stop at its repeat sign, or before the next ending."""
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
    """Remove the opening signs of repeats that nothing closes."""
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
    """How many repeats close from bar `index` to the next `|:`; one with endings counts once."""
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
    """Correct a last ending that a repeat sign closes: add the next ending, or remove the sign."""
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
