"""The pulses of a meter, in which rhythms, bass and click count, and how they go in groups.

A pulse is the quarter in simple meters and in cut time, the dotted quarter in 6/8, 9/8 and 12/8,
the written unit elsewhere. Common practice, no source.
"""

from __future__ import annotations

from fractions import Fraction

from ...grammar.sheet import Meter


def pulse_quarters(meter: Meter) -> Fraction:
    """The length of the meter's pulse in quarter notes."""
    if meter.compound:
        return Fraction(12, meter.unit)
    return Fraction(1) if meter.unit == 2 else Fraction(4, meter.unit)


def pulse_count(meter: Meter) -> int:
    """How many pulses a bar has: 4 in 4/4, cut time and 12/8, 2 in 6/8, 3 in 3/4."""
    return int(meter.quarters / pulse_quarters(meter))


def pulse_groups(pulses: int) -> tuple[int, ...]:
    """Pulses in threes where they fit, else in twos, an odd count after one three."""
    if pulses % 3 == 0:
        return (3,) * (pulses // 3)
    if pulses == 1:
        return (1,)
    return (2,) * (pulses // 2) if pulses % 2 == 0 else (3,) + (2,) * ((pulses - 3) // 2)


def group_starts(pulses: int) -> tuple[int, ...]:
    """The pulses, from 0, on which a group begins: 0 and 2 in a bar of four."""
    groups = pulse_groups(pulses)
    return tuple(sum(groups[:place]) for place in range(len(groups)))
