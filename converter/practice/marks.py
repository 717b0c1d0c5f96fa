"""What stands beside the strokes of a performance: tempos, meters, keys and section markers.

Takes the choruses, gives (quarters, value) in order of time, each where it changes. A fermata is
played at half the tempo the last time it comes (common practice, no source).
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final, TypeVar

from ...grammar.key import Key
from ...grammar.sheet import Meter
from .choruses import Chorus

Value = TypeVar("Value")
Spans = tuple[tuple[Fraction, Fraction], ...]

#: Time signatures count in powers of two; a pickup of thirds is counted in the shortest there is.
_SHORTEST_UNIT: Final = 64


def last_holds(chorus: Chorus) -> Spans:
    """Where the fermatas of the last chorus begin and end, each at its last playing."""
    last: dict[int, tuple[Fraction, Fraction]] = {}
    for one in chorus.bars:
        start = chorus.start + one.at
        for span in one.spans:
            if span.hold:
                last[span.slot] = (start + span.start, start + span.end)
    return tuple(sorted(last.values()))


def tempi(choruses: tuple[Chorus, ...], holds: Spans) -> tuple[tuple[Fraction, Fraction], ...]:
    """The tempos, in quarters a minute."""
    marks = {chorus.entry: chorus.tempo for chorus in choruses}
    tempo = choruses[-1].tempo
    for start, end in holds:
        marks[start] = tempo / 2
        if end < choruses[-1].end and end not in [one for one, _ in holds]:
            marks[end] = tempo
    return _changes(marks)


def meters(choruses: tuple[Chorus, ...]) -> tuple[tuple[Fraction, Meter], ...]:
    """The meters; a pickup that follows no count-in and takes no other bar's end has its own."""
    marks: dict[Fraction, Meter] = {}
    for chorus in choruses:
        counted = chorus.entry < chorus.start
        if counted:
            marks[chorus.entry] = chorus.bars[0].meter
        for place, one in enumerate(chorus.bars):
            if not one.bar.pickup:
                marks[chorus.start + one.at] = one.meter
            elif place or not (counted or chorus.within):
                marks[chorus.start + one.at] = _short(one.length, one.meter)
    return _changes(marks)


def _short(length: Fraction, whole: Meter) -> Meter:
    units = length * whole.unit / 4
    unit = whole.unit * units.denominator
    if unit <= _SHORTEST_UNIT and _SHORTEST_UNIT % unit == 0:
        return Meter(units.numerator, unit)
    return Meter(max(1, round(length * _SHORTEST_UNIT / 4)), _SHORTEST_UNIT)


def keys(choruses: tuple[Chorus, ...]) -> tuple[tuple[Fraction, Key], ...]:
    """The keys that are stated for the bars, a first bar's from its count-in on."""
    marks: dict[Fraction, Key] = {}
    for chorus in choruses:
        for place, one in enumerate(chorus.bars):
            if one.key is not None:
                marks[chorus.start + one.at if place else chorus.entry] = one.key
    return _changes(marks)


def markers(choruses: tuple[Chorus, ...]) -> tuple[tuple[Fraction, str], ...]:
    """The labels of the sections, each time they begin."""
    return tuple(
        (chorus.start + one.at, one.marker)
        for chorus in choruses
        for one in chorus.bars
        if one.marker
    )


def _changes(marks: dict[Fraction, Value]) -> tuple[tuple[Fraction, Value], ...]:
    """Marks in order of time, those that change nothing left out."""
    result: list[tuple[Fraction, Value]] = []
    for at, value in sorted(marks.items(), key=lambda mark: mark[0]):
        if not result or result[-1][1] != value:
            result.append((at, value))
    return tuple(result)
