"""A comping rhythm as strokes: over the bars of a drill, and with its counts in a picture.

Takes the strokes of a bar as `fall` gives them, gives items. A stroke is a slanted line, thick
where it is louder; a line behind it lasts as long as the chord is held, where that is longer than
half a pulse. Time runs evenly from left to right; off-beat eighths stand in the middle, swung or
not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from ...converter.practice.falling import BarStroke, ChordSpan, fall
from ...converter.practice.pulses import pulse_count, pulse_quarters
from ...converter.practice.rhythm import Pattern
from ...grammar.sheet import Meter
from .blocks import Block
from .fonts import BOLD, CAP_HEIGHT, REGULAR, measure, spans
from .items import Item, Line, Text

#: Thickness of strokes by their accent, as parts of their height; that of the line behind one.
THICKNESS = {-1: 0.10, 0: 0.13, 1: 0.25}
HELD = 0.075
#: How far a stroke leans, as a part of its height.
LEAN = 0.45


@dataclass(frozen=True, slots=True)
class BarSpan:
    """A bar on paper: its meter, and where on the page its time begins and ends."""

    meter: Meter
    left: float
    right: float

    def x(self, quarters: Fraction) -> float:
        """Where a time falls, in quarters from the bar line."""
        part = float(quarters / self.meter.quarters)
        return self.left + (self.right - self.left) * part


def draw_strokes(
    strokes: Sequence[BarStroke], bar: BarSpan, top: float, height: float
) -> list[Item]:
    """The strokes of one bar, `height` points high from `top` down."""
    items: list[Item] = []
    half_pulse = pulse_quarters(bar.meter) / 2
    lean = LEAN * height
    for stroke in strokes:
        x = bar.x(stroke.at)
        thick = THICKNESS[stroke.accent] * height
        items.append(Line(x, top + height, x + lean, top, thick))
        if stroke.length > half_pulse:
            end = bar.x(stroke.at + stroke.length) - 0.35 * height
            y = top + height - 0.5 * HELD * height
            if end > x:
                items.append(Line(x, y, end, y, HELD * height))
    return items


def rhythm_block(pattern: Pattern, meter: Meter, size: float) -> Block:
    """A cycle of the rhythm with its counts written under the strokes; `size` of the counts."""
    width, height = 2.3 * size * pulse_count(meter), 1.25 * size
    cycle = pattern.cycle(pulse_count(meter)) or ((),)
    items: list[Item] = []
    x = 0.0
    baseline = height + 0.55 * size + CAP_HEIGHT * size
    for number in range(len(cycle)):
        bar = BarSpan(meter, x + 0.7 * size, x + width)
        # One chord throughout: a new one would be struck where its bar begins.
        whole = (ChordSpan(0, Fraction(0), meter.quarters, new=number == 0),)
        strokes = fall(pattern, meter, number, whole)
        items += draw_strokes(strokes, bar, 0.1 * size, height)
        items += _counts(bar, strokes, baseline, size)
        x += width
        items.append(Line(x, 0.0, x, baseline + 0.2 * size, 0.6))
        x += 0.3 * size
    items.append(Line(0.0, 0.0, 0.0, baseline + 0.2 * size, 0.6))
    return Block(tuple(items), x, baseline + 0.5 * size)


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
    return Text(x, baseline, tuple(spans(text, name, size)))
