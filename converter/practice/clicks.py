"""The click: a count-in, then every pulse or the off-beats (2 and 4 in a bar of four).

Takes bars, gives strokes on General MIDI wood blocks.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from ...grammar.sheet import Meter
from .passage import PlayedBar
from .pulses import group_starts, pulse_count, pulse_quarters
from .timing import CLICK_STRONG, CLICK_WEAK, Click, Stroke, StruckNote

LENGTH: Final = Fraction(1, 8)
STRONG_VELOCITY: Final = 96
WEAK_VELOCITY: Final = 76


def count_in_strokes(meter: Meter, start: Fraction, end: Fraction) -> Iterator[Stroke]:
    """Every pulse from `start` to `end` (quarters), the first of each bar higher."""
    pulse, at = pulse_quarters(meter), start
    while at < end:
        yield _click(at, (at - start) % meter.quarters == 0)
        at += pulse


def click_strokes(one: PlayedBar, start: Fraction, click: Click) -> Iterator[Stroke]:
    """The clicks of a bar that begins at `start`: every pulse, or those that begin no group."""
    pulse, whole = pulse_quarters(one.meter), one.meter.quarters
    # A pickup is the end of a bar.
    skipped = whole - one.length if one.bar.pickup else Fraction(0)
    strong = group_starts(pulse_count(one.meter))
    at = -(-skipped // pulse) * pulse
    while at < skipped + one.length:
        place = int((at % whole) / pulse)
        if click == "all" or place not in strong:
            yield _click(start + at - skipped, place == 0)
        at += pulse


def _click(at: Fraction, strong: bool) -> Stroke:
    note = StruckNote(CLICK_STRONG if strong else CLICK_WEAK)
    return Stroke(at, LENGTH, "click", STRONG_VELOCITY if strong else WEAK_VELOCITY, (note,))
