"""Comping rhythms: one table of patterns, the strokes of a bar by the number of its pulses.

Takes a name, or a feel, and a meter; gives a `Pattern`, which counts in pulses (see `pulses`). The
patterns are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from ...grammar.sheet import Meter
from .pulses import group_starts, pulse_count, pulse_groups, pulse_quarters

HALF: Final = Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class Beat:
    """A stroke of a pattern, in pulses; `accent` is 1 stronger, 0 plain, −1 softer."""

    at: Fraction
    length: Fraction
    accent: int = 0


#: The strokes of each bar, until they begin anew.
BarCycle = tuple[tuple[Beat, ...], ...]


@dataclass(frozen=True, slots=True)
class Pattern:
    """A comping rhythm: for each number of pulses in a bar that it is made for, its cycle of bars.

    `of_any` makes the cycle for any number of pulses, None for a rhythm of its `cycles` alone.
    `even`: its eighths are never swung.
    """

    name: str
    cycles: tuple[tuple[int, BarCycle], ...] = ()
    even: bool = False
    of_any: Callable[[int], BarCycle] | None = None

    def cycle(self, pulses: int) -> BarCycle | None:
        """Its bars for a bar of so many pulses, None when it is not made for one."""
        if self.of_any is not None:
            return self.of_any(pulses)
        return dict(self.cycles).get(pulses)


def _beat(at: str, length: str, accent: int = 0) -> Beat:
    return Beat(Fraction(at), Fraction(length), accent)


def _every_pulse(pulses: int) -> BarCycle:
    weak = group_starts(pulses)
    return (tuple(Beat(Fraction(at), HALF, int(at not in weak)) for at in range(pulses)),)


def every_group(pulses: int) -> BarCycle:
    """A held stroke for each group of pulses."""
    pairs = zip(group_starts(pulses), pulse_groups(pulses), strict=True)
    return (tuple(Beat(Fraction(at), Fraction(size)) for at, size in pairs),)


def _two_to_the_bar(pulses: int) -> tuple[int, BarCycle]:
    return pulses, (tuple(Beat(Fraction(at), Fraction(1)) for at in group_starts(pulses)),)


_CHARLESTON: Final = (_beat("0", "3/2"), _beat("3/2", "1/2", 1))

#: Every rhythm, in the order in which they are learned.
PATTERNS: Final[tuple[Pattern, ...]] = (
    Pattern("four-to-the-bar", of_any=_every_pulse),
    Pattern("two-to-the-bar", (_two_to_the_bar(2), _two_to_the_bar(4), _two_to_the_bar(8))),
    Pattern("half-notes", of_any=every_group),
    Pattern(
        "charleston",
        ((2, (_CHARLESTON,)), (3, (_CHARLESTON,)), (4, (_CHARLESTON,)), (5, (_CHARLESTON,))),
    ),
    Pattern("waltz", ((3, ((_beat("0", "1"), _beat("1", "1/2", -1), _beat("2", "1/2", -1)),)),)),
    Pattern(
        "bossa",
        (
            (
                4,
                (
                    (_beat("0", "1"), _beat("3/2", "1", 1), _beat("3", "1/2")),
                    (_beat("1", "1"), _beat("5/2", "1", 1)),
                ),
            ),
        ),
        even=True,
    ),
)


class RhythmError(ValueError):
    """There is no such rhythm, or not for this meter; the message lists those there are."""


def plain_name(text: str) -> str:
    """The name of a rhythm as the table has it, from one with capitals or spaces."""
    return "-".join(text.lower().split())


def find_pattern(name: str, meter: Meter) -> Pattern:
    """The pattern of that name. Raises RhythmError when there is none, or none for the meter."""
    fitting = [one.name for one in PATTERNS if one.cycle(pulse_count(meter)) is not None]
    for pattern in PATTERNS:
        if pattern.name == plain_name(name):
            if pattern.name in fitting:
                return pattern
            raise RhythmError(
                f"{pattern.name} does not fit {meter}; in {meter} there are {', '.join(fitting)}"
            )
    raise RhythmError(f"there is no rhythm {name!r}; in {meter} there are {', '.join(fitting)}")


def usual_pattern(meter: Meter, feel: str) -> Pattern:
    """The rhythm when none is asked for: bossa or waltz where they belong, else each beat."""
    if "bossa" in feel.lower() and pulse_count(meter) == 4:
        return find_pattern("bossa", meter)
    simple_three = pulse_count(meter) == 3 and pulse_quarters(meter) == 1
    return find_pattern("waltz" if simple_three else "four-to-the-bar", meter)
