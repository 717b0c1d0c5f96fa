"""The strokes of a rhythm on each written bar of a tune, for paper.

Takes a `Timeline`, its plan and a `Pattern`, gives strokes in quarters from the bar line. A bar has
the strokes of its first playing, each cut where the next one begins. A chord that is struck before
its bar has its stroke in the bar before and rings on into its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from ...grammar.limits import MAX_DRAWN_PULSES
from ...grammar.sheet import Sheet
from ..hand.plan import GripPlan
from ..timeline import Timeline
from .choruses import excerpt, main_meter
from .rhythm import BarStroke, Pattern, apply_pattern, find_pattern, pulse_count


def tune_pattern(sheet: Sheet, name: str) -> Pattern:
    """The pattern of that name for a tune. Raises RhythmError if it does not fit the meter."""
    return find_pattern(name, main_meter(sheet.bars))


def written_strokes(
    timeline: Timeline, plan: GripPlan, pattern: Pattern
) -> tuple[tuple[BarStroke, ...], ...]:
    """The strokes of each written bar, in order; none in a bar that is never played.

    A bar of more than `MAX_DRAWN_PULSES` has none either. A stroke before a bar that does not
    follow the bar printed before it, as after a repeat, stands at its bar line.
    """
    first: dict[int, int] = {}
    for place, timed in enumerate(timeline.bars):
        first.setdefault(timed.index, place)
    played = excerpt(timeline, plan)
    strokes: list[list[BarStroke]] = [[] for _ in timeline.sheet.bars]
    for bar, place in first.items():
        playing = played[place]
        if pulse_count(playing.meter) > MAX_DRAWN_PULSES:
            continue
        own = apply_pattern(pattern, playing.meter, playing.cycle, playing.spans)
        follows = place > 0 and first.get(bar - 1) == place - 1
        before = played[place - 1].length if follows else None
        for stroke in own:
            for at, part in _parts(stroke, before):
                strokes[bar + at].append(part)
    return tuple(tuple(_damped(each)) for each in strokes)


def _parts(stroke: BarStroke, before: Fraction | None) -> Iterator[tuple[int, BarStroke]]:
    """A stroke, or its parts in the bar before (-1) and in its own (0).

    `before` is the length of the bar before, None where none leads here.
    """
    rest = stroke.length + min(stroke.at, Fraction(0))
    own = replace(stroke, at=max(stroke.at, Fraction(0)), length=rest)
    if stroke.at < 0 and before is not None and before + stroke.at >= 0:
        early = replace(stroke, at=before + stroke.at, length=-stroke.at, over=rest > 0)
        yield -1, early
        own = replace(own, tied=True)
    if own.length > 0:
        yield 0, own


def _damped(strokes: Sequence[BarStroke]) -> Iterator[BarStroke]:
    """Strokes in order of time, each cut where the next one begins."""
    ordered = sorted(strokes, key=lambda stroke: stroke.at)
    for place, stroke in enumerate(ordered):
        after = ordered[place + 1].at if place + 1 < len(ordered) else None
        length = stroke.length if after is None else min(stroke.length, after - stroke.at)
        if length > 0:
            yield replace(stroke, length=length)
