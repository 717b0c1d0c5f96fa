"""Bars that repeat the bar before (`%`) or the two before (`%%`): whose chords sound in them.

The bar before the first bar of a second or later ending is the one that is heard before it: the
last bar before the endings. A sign right after a section that is only named has nothing written
before it and is refused, as is one after a pickup or across a change of meter.
"""

from __future__ import annotations

from itertools import pairwise

from .errors import Problem
from .mistakes import mistake
from .sheet import Bar, Section


def check_similes(
    bars: tuple[Bar, ...], sections: tuple[Section, ...]
) -> tuple[tuple[int, ...], tuple[Problem, ...]]:
    """For each bar the index of the bar whose chords sound in it, and the signs that make no sense.

    A bar whose sign makes no sense sounds itself.
    """
    before = bars_before(bars, sections)
    sounding: list[int] = []
    problems: list[Problem] = []
    for at, bar in enumerate(bars):
        source = before[at]
        if bar.simile == 2 and source is not None:
            source = before[source]
        if not bar.simile:
            sounding.append(at)
        elif source is None or bars[source].pickup:
            sounding.append(at)
            problems.append(mistake("simile-nothing", bar.place, "%" * bar.simile))
        elif bars[source].meter != bar.meter:
            sounding.append(at)
            problems.append(
                mistake(
                    "simile-meter", bar.place, "%" * bar.simile,
                    other=bars[source].meter, meter=bar.meter,
                )
            )  # fmt: skip
        else:
            sounding.append(sounding[source])
    return tuple(sounding), tuple(problems)


def bars_before(bars: tuple[Bar, ...], sections: tuple[Section, ...]) -> list[int | None]:
    """For each bar the bar that is heard before it at first, None where none is written."""
    cut = {section.first for earlier, section in pairwise(sections) if earlier.recalls is not None}
    before: list[int | None] = []
    endings_from: int | None = None
    for at, bar in enumerate(bars):
        previous = None if at == 0 or at in cut else at - 1
        if bar.repeat_open:
            endings_from = None
        if bar.endings:
            if endings_from is not None and bars[at - 1].repeat_close:
                previous = before[endings_from]
            else:
                endings_from = at
        before.append(previous)
    return before
