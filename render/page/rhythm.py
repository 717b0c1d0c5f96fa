"""Strokes of a rhythm: over the bars of a line, and a cycle of them with its counts.

Strokes are slanted lines, thick where they are louder; a line behind one lasts as long as the chord
is held, where that is longer than half a pulse, and goes over the bar line where it rings on there.
They stand where the line has their beats; off-beat eighths stand in the middle between two, swung
or not. Lengths are points.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from operator import attrgetter
from typing import Final

from ...converter.practice.rhythm import (
    BarStroke,
    ChordSpan,
    Pattern,
    apply_pattern,
    pulse_count,
    pulse_quarters,
)
from ...grammar.frozen import frozen
from ...grammar.sheet import Meter
from .beats import BarTimes
from .drawing.blocks import Block
from .drawing.fonts import BOLD, CAP_HEIGHT, REGULAR, measure, spans
from .drawing.items import DECORATION_GROUP, Item, Line, Shown, Text, grouped
from .drawing.style import Metrics

#: Height of the strokes over the bars and the room below them, in sizes of small text.
STROKES, BELOW = 0.85, 0.45
#: Thickness of strokes by their accent, as parts of their height; that of the line behind one.
THICKNESS = {-1: 0.10, 0: 0.13, 1: 0.25}
HELD = 0.075
#: How far a stroke leans, as a part of its height.
LEAN = 0.45
#: The least distance of strokes, as a part of their height, and the air behind a held one.
APART: Final = 0.8
AIR: Final = 0.35


@frozen
class BarSpan:
    """A bar on paper: its meter, and where its times fall and it begins and ends on the page."""

    meter: Meter
    times: BarTimes
    left: float
    right: float

    def x(self, quarters: Fraction) -> float:
        """Where a time falls, in quarters from the bar line."""
        return self.times.x(quarters * self.meter.unit / 4)

    def holds(self, quarters: Fraction) -> bool:
        """Whether a time lies in the bar, or in the part of it that is on the line."""
        return self.times.beats[0] <= quarters * self.meter.unit / 4 < self.times.beats[-1]


def draw_strokes(
    strokes: Sequence[BarStroke], bar: BarSpan, top: float, height: float
) -> list[Item]:
    """The strokes of one bar, `height` points high from `top` down, their left ends at their times.

    Those of a part of a bar are the ones that begin in it.
    """
    items: list[Item] = []
    for stroke in strokes:
        if not bar.holds(stroke.at):
            continue
        if not stroke.tied:
            thick = THICKNESS[stroke.accent] * height
            x = bar.x(stroke.at) + 0.5 * thick
            items.append(Line(x, top + height, x + LEAN * height, top, thick))
            items.append(Shown("loud" if stroke.accent > 0 else "stroke"))
        items += _held(stroke, bar, top + height, height)
    return items


def _held(stroke: BarStroke, bar: BarSpan, bottom: float, height: float) -> list[Item]:
    """The line of a stroke that is held, from bar line to bar line where it rings on."""
    if not (stroke.tied or stroke.over or stroke.length > pulse_quarters(bar.meter) / 2):
        return []
    x1 = bar.left if stroke.tied else bar.x(stroke.at)
    x2 = bar.right if stroke.over else bar.x(stroke.at + stroke.length) - AIR * height
    y = bottom - 0.5 * HELD * height
    return [Line(x1, y, x2, y, HELD * height), Shown("held")] if x2 > x1 else []


def stroke_height(sizes: Metrics) -> float:
    """The height of strokes over bars."""
    return STROKES * sizes.small


def rhythm_height(sizes: Metrics, rise: float) -> float:
    """The height of a row of strokes, with the room below it; symbols `rise` into it."""
    return stroke_height(sizes) + BELOW * sizes.small + max(0.0, rise)


def stroke_gaps(
    strokes: Sequence[BarStroke], meter: Meter, marks: Sequence[Fraction], sizes: Metrics
) -> list[float]:
    """The least room between each two of ascending `marks`, in beats, for the strokes there.

    `strokes` are in order of time.
    """
    least = APART * stroke_height(sizes)
    beat = Fraction(4, meter.unit)
    gaps = []
    first = bisect_right(strokes, marks[0] * beat, key=attrgetter("at"))
    for start, end in pairwise(mark * beat for mark in marks):
        behind = first
        while behind < len(strokes) and strokes[behind].at < end:
            behind += 1
        between = [stroke.at for stroke in strokes[first:behind]]
        closest = [after - at for at, after in pairwise([start, *between, end])] if between else []
        gaps.append(least * (float((end - start) / min(closest)) if closest else 1.0))
        first = behind + (behind < len(strokes) and strokes[behind].at == end)
    return gaps


def rhythm_block(pattern: Pattern, meter: Meter, size: float) -> Block:
    """A cycle of the rhythm with its counts written under the strokes; `size` of the counts."""
    width, height = 2.3 * size * pulse_count(meter), 1.25 * size
    cycle = pattern.cycle(pulse_count(meter)) or ((),)
    items: list[Item] = []
    x = 0.0
    baseline = height + 0.55 * size + CAP_HEIGHT * size
    for number in range(len(cycle)):
        ends = Fraction(0), Fraction(meter.beats)
        bar = BarSpan(meter, BarTimes(ends, (x + 0.7 * size, x + width)), x, x + width)
        # One chord throughout: a new one would be struck where its bar begins.
        whole = (ChordSpan(0, Fraction(0), meter.quarters, new=False),)
        strokes = apply_pattern(pattern, meter, number, whole)
        items += draw_strokes(strokes, bar, 0.1 * size, height)
        items += _counts(bar, strokes, baseline, size)
        x += width
        items.append(Line(x, 0.0, x, baseline + 0.2 * size, 0.6))
        x += 0.3 * size
    items.append(Line(0.0, 0.0, 0.0, baseline + 0.2 * size, 0.6))
    # The sentence about the rhythm says it in words.
    return Block(tuple(grouped(DECORATION_GROUP, items)), x, baseline + 0.5 * size)


def _counts(bar: BarSpan, strokes: Sequence[BarStroke], baseline: float, size: float) -> list[Item]:
    """The pulses by number, bold where one is struck, and an `&` under each off-beat stroke."""
    pulse = pulse_quarters(bar.meter)
    struck = {stroke.at for stroke in strokes}
    items: list[Item] = []
    for count in range(pulse_count(bar.meter)):
        items.append(_count(bar, count * pulse, str(count + 1), baseline, size, struck))
    for at in sorted(at for at in struck if at % pulse):
        items.append(_count(bar, at, "&", baseline, size, struck))
    return items


def _count(
    bar: BarSpan, at: Fraction, text: str, baseline: float, size: float, struck: set[Fraction]
) -> Text:
    name = BOLD if at in struck else REGULAR
    x = bar.x(at) + 0.28 * size - 0.5 * measure(text, name, size)
    return Text(x, baseline, spans(text, name, size))
