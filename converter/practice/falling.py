"""How a pattern falls on a bar of chords.

Takes a pattern, a meter and the chords of a bar, gives strokes with their lengths and accents, in
quarter notes from the bar line, as exact fractions, not yet swung. The two rules of `fall` are
common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from ...grammar.sheet import Meter
from .pulses import pulse_count, pulse_quarters
from .rhythm import HALF, Beat, Pattern, every_group


@dataclass(frozen=True, slots=True)
class ChordSpan:
    """A chord in its bar, in quarters from the bar line; `slot` names it to the caller.

    No two spans of a bar have one slot. `new`: another chord sounded before it, so that it must be
    heard where it begins. `silent`: N.C.
    """

    slot: int
    start: Fraction
    end: Fraction
    new: bool = True
    silent: bool = False
    push: bool = False
    hold: bool = False


@dataclass(frozen=True, slots=True)
class BarStroke:
    """One stroke on a bar: quarters from the bar line (negative when pushed over it)."""

    slot: int
    at: Fraction
    length: Fraction
    accent: int = 0


def fall(
    pattern: Pattern, meter: Meter, cycle_bar: int, spans: Sequence[ChordSpan]
) -> tuple[BarStroke, ...]:
    """The strokes of one bar, in order. `cycle_bar` counts bars since the pattern began.

    In a meter that the pattern is not made for, each group of pulses gets a held stroke. An
    off-beat stroke half a pulse before a new chord already sounds it; a new chord with no stroke
    of its own is struck where it begins, and strokes less than a pulse later give way. A hold is
    one long stroke.
    """
    cycle = pattern.cycle(pulse_count(meter)) or every_group(pulse_count(meter))
    pulse = pulse_quarters(meter)
    strokes: list[BarStroke] = []
    for beat in cycle[cycle_bar % len(cycle)]:
        at, length = _in_quarters(beat, pulse)
        span = _sounded(spans, at, pulse)
        if span is not None:
            strokes.append(BarStroke(span.slot, at, length, beat.accent))
    for span in spans:
        strokes = _begun(strokes, span, pulse)
    by_slot = {span.slot: span for span in spans}
    finished = [_finished(stroke, by_slot[stroke.slot]) for stroke in strokes]
    return tuple(sorted(finished, key=lambda stroke: stroke.at))


def _in_quarters(beat: Beat, pulse: Fraction) -> tuple[Fraction, Fraction]:
    """Where a beat falls and how long it lasts. Half a pulse in threes is its third eighth."""
    at, end = beat.at, beat.at + beat.length
    if pulse.numerator == 3 and (at % 1 or beat.length > 1):
        at, end = (each + (HALF / 3 if each % 1 == HALF else 0) for each in (at, end))
    return at * pulse, (end - at) * pulse


def _sounded(spans: Sequence[ChordSpan], at: Fraction, pulse: Fraction) -> ChordSpan | None:
    """Which span a stroke sounds: the one it lies in, or the new one it comes just before."""
    for place, span in enumerate(spans):
        if span.start <= at < span.end:
            following = [one for one in spans[place + 1 : place + 2] if one.new and not one.silent]
            if at % pulse != 0 and any(one.start - pulse / 2 <= at for one in following):
                return following[0]
            return None if span.silent else span
    return None


def _begun(strokes: list[BarStroke], span: ChordSpan, pulse: Fraction) -> list[BarStroke]:
    """See to it that a chord that must be heard where it begins is struck there."""
    own = [stroke for stroke in strokes if stroke.slot == span.slot]
    others = [stroke for stroke in strokes if stroke.slot != span.slot]
    if span.silent:
        return others
    if span.hold:
        return [*others, BarStroke(span.slot, span.start, span.end - span.start, 0)]
    begun = any(stroke.at <= span.start for stroke in own)
    if begun or not (span.new or span.push):
        return strokes
    kept = [stroke for stroke in own if stroke.at >= span.start + pulse]
    return [*others, BarStroke(span.slot, span.start, pulse / 2), *kept]


def _finished(stroke: BarStroke, span: ChordSpan) -> BarStroke:
    """A stroke moved when its chord is pushed, ended where its chord ends."""
    at, end = stroke.at, min(stroke.at + stroke.length, span.end)
    if span.push and at == span.start:
        at -= HALF
    return BarStroke(stroke.slot, at, end - at, stroke.accent)
