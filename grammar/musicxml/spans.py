"""How long each written bar is, and which measures are one bar.

Takes the measures of a part, gives a `Span` for each written bar. A short first measure is a
pickup. A short measure later on counts as short only where the score says so (`implicit`) or
where it and its neighbour make one bar that a repeat sign divides; otherwise a bar lasts as its
time signature says, however little was written into it. Lengths are in quarters.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from ..sheet import COMMON_TIME, Meter
from .barlines import Barlines
from .measure import Measure
from .times import Time, meter_lasting


@dataclass(frozen=True, slots=True)
class Span:
    """A written bar to be: the index of its `measure`, its meter and length.

    `rest_bars`: the measures of a multi-bar rest, all of them this one bar; 0 for a plain bar.
    `odd`: what is written does not fill, or overfills, the time signature in force.
    """

    measure: int
    meter: Meter
    length: Fraction
    pickup: bool = False
    rest_bars: int = 0
    odd: bool = False


def read_spans(measures: Sequence[Measure]) -> tuple[Span, ...]:
    """The written bars of a part."""
    meters = _meters(measures)
    spans: list[Span] = []
    index = 0
    while index < len(measures):
        rest = _rest(measures, index)
        spans.append(_span(measures, index, meters[index], rest))
        index += max(rest, 1)
    return tuple(spans)


def _meters(measures: Sequence[Measure]) -> list[Meter | None]:
    """The time signature in force in each measure, None where there is none."""
    meters: list[Meter | None] = []
    now = Time(COMMON_TIME)
    for measure in measures:
        now = measure.time or now
        meters.append(now.meter)
    return meters


def _rest(measures: Sequence[Measure], index: int) -> int:
    """The measures of the multi-bar rest that begins here, 0 for none that can be kept as one."""
    count = measures[index].rest_bars
    held = measures[index : index + count]
    if not count or len(held) < count or any(m.sounding or m.harmonies for m in held):
        return 0
    quiet = all(not m.marks and m.time is None and m.key is None for m in held[1:])
    plain = all(m.barlines == Barlines() for m in held[1:-1]) and (
        count == 1 or (held[0].barlines.times == 0 and not held[-1].barlines.opens)
    )
    return count if quiet and plain else 0


def _span(measures: Sequence[Measure], index: int, meter: Meter | None, rest: int) -> Span:
    length = measures[index].length
    if meter is None:
        meter = meter_lasting(length or Fraction(4), 4)
        return Span(index, meter, meter.quarters, odd=True)
    full = meter.quarters
    if rest or length in (0, full):
        return Span(index, meter, full, rest_bars=rest)
    if length > full:
        meter = meter_lasting(length, meter.unit)
        return Span(index, meter, meter.quarters, odd=True)
    if index == 0 and len(measures) > 1:
        return Span(index, meter, length, pickup=True)
    if _divided(measures, index, meter):
        meter = meter_lasting(length, meter.unit)
        return Span(index, meter, meter.quarters, odd=True)
    return Span(index, meter, full)


def _divided(measures: Sequence[Measure], index: int, meter: Meter) -> bool:
    """Whether a short measure is meant to be short."""
    if index == len(measures) - 1:
        return False
    if measures[index].implicit:
        return True
    for one, other in ((index - 1, index), (index, index + 1)):
        whole = measures[one].length + measures[other].length == meter.quarters
        if one > 0 and whole and measures[one].barlines.times + measures[other].barlines.opens:
            return True
    return False
