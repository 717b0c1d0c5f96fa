"""Time signatures and lengths of measures: from quarters to meters."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from ..header import METER_UNITS
from ..sheet import Meter


@dataclass(frozen=True, slots=True)
class Time:
    """A time signature; `meter` is None where the music is written without one."""

    meter: Meter | None


def meter_lasting(length: Fraction, unit: int) -> Meter:
    """The meter of a bar of `length` quarters, in the unit nearest to `unit` that counts it whole.

    A length that no unit counts (a piece of a tuplet) is rounded up to the next 64th.
    """
    for finer in [unit, *(u for u in METER_UNITS if u > unit)]:
        beats = length * finer / 4
        if beats.denominator == 1 and beats >= 1:
            return Meter(int(beats), finer)
    return Meter(max(1, -(-length * 16 // 1)), 64)
