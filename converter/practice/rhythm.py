"""Comping rhythms: the pulses of a meter, the table of patterns, a pattern on a bar of chords.

A pulse is the quarter in simple meters and in cut time, the dotted quarter in 6/8, 9/8 and 12/8,
the written unit elsewhere. `find_pattern` takes a name and `usual_pattern` a feel, each with a
meter; both give a `Pattern`, which counts in pulses. `apply_pattern` takes a pattern, a meter and
the chords of a bar and gives strokes with lengths and accents, in quarter notes from the bar line,
as exact fractions, not yet swung. Pulses, patterns and the rules of `apply_pattern` are common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import Final

from ...grammar.errors import TuneError, nearest
from ...grammar.frozen import frozen
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
    """The sizes of the groups of pulses: threes if they divide the bar, else twos.

    An odd number that threes do not divide begins with one group of three.
    """
    if pulses % 3 == 0:
        return (3,) * (pulses // 3)
    if pulses == 1:
        return (1,)
    return (2,) * (pulses // 2) if pulses % 2 == 0 else (3,) + (2,) * ((pulses - 3) // 2)


def group_starts(pulses: int) -> tuple[int, ...]:
    """The pulses, counted from 0, on which a group begins: 0 and 2 in a bar of four."""
    groups = pulse_groups(pulses)
    return tuple(sum(groups[:place]) for place in range(len(groups)))


HALF: Final = Fraction(1, 2)


@frozen
class Beat:
    """A stroke of a pattern, in pulses; `accent` is 1 stronger, 0 plain, −1 softer."""

    at: Fraction
    length: Fraction
    accent: int = 0


#: The strokes of each bar of a pattern, which repeats after the last of them.
BarCycle = tuple[tuple[Beat, ...], ...]


@frozen
class Pattern:
    """A comping rhythm: a cycle of bars for each number of pulses in a bar.

    `of_any` makes the cycle for any number of pulses; None for a rhythm that has only its `cycles`.
    `even`: its eighths are never swung.
    """

    name: str
    cycles: tuple[tuple[int, BarCycle], ...] = ()
    even: bool = False
    of_any: Callable[[int], BarCycle] | None = None

    def cycle(self, pulses: int) -> BarCycle | None:
        """The cycle for bars of that many pulses; None if the pattern has none."""
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

#: Every rhythm, in teaching order.
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


class RhythmError(TuneError):
    """A rhythm does not exist, or not for this meter; the message lists those that exist."""


def plain_name(text: str) -> str:
    """The name of a rhythm as in the table, from a text with capitals or spaces."""
    return "-".join(text.lower().split())


def named_pattern(name: str) -> Pattern:
    """The pattern of that name, for any meter. Raises RhythmError when there is none."""
    found = _named(name)
    if found is None:
        raise RhythmError(no_rhythm(name, [pattern.name for pattern in PATTERNS]))
    return found


def no_rhythm(name: str, names: Sequence[str], where: str = "") -> str:
    """What is wrong with a name that no rhythm has: the nearest of `names`, or else all of them."""
    near = nearest(plain_name(name), names)
    hint = f"did you mean {near!r}?" if near else f"{where}there are {', '.join(names)}"
    return f"there is no rhythm {name!r}; {hint}"


def _named(name: str) -> Pattern | None:
    return next((row for row in PATTERNS if row.name == plain_name(name)), None)


def find_pattern(name: str, meter: Meter) -> Pattern:
    """The pattern of that name. Raises RhythmError when there is none, or none for the meter."""
    fitting = [row.name for row in PATTERNS if row.cycle(pulse_count(meter)) is not None]
    found = _named(name)
    if found is None:
        raise RhythmError(no_rhythm(name, fitting, f"in {meter} "))
    if found.name not in fitting:
        there = f"in {meter} there are {', '.join(fitting)}"
        raise RhythmError(f"{found.name} does not fit {meter}; {there}")
    return found


def usual_pattern(meter: Meter, feel: str) -> Pattern:
    """The default rhythm: bossa or waltz if the feel or the meter fits, else a stroke a beat."""
    if "bossa" in feel.lower() and pulse_count(meter) == 4:
        return find_pattern("bossa", meter)
    simple_three = pulse_count(meter) == 3 and pulse_quarters(meter) == 1
    return find_pattern("waltz" if simple_three else "four-to-the-bar", meter)


@frozen
class ChordSpan:
    """A chord in its bar, in quarters from the bar line; `slot` identifies it for the caller.

    The slots of a bar's spans are different. `new`: another chord sounded before it, so that a
    stroke must sound where it begins. `silent`: N.C.
    """

    slot: int
    start: Fraction
    end: Fraction
    new: bool = True
    silent: bool = False
    push: bool = False
    hold: bool = False


@frozen
class BarStroke:
    """One stroke on a bar: quarters from the bar line (negative when pushed over it).

    On paper `tied` is the rest of a stroke of the bar before, and `over` a stroke that rings on
    into the next bar.
    """

    slot: int
    at: Fraction
    length: Fraction
    accent: int = 0
    tied: bool = False
    over: bool = False


def apply_pattern(
    pattern: Pattern, meter: Meter, cycle_bar: int, spans: Sequence[ChordSpan]
) -> tuple[BarStroke, ...]:
    """The strokes of one bar, in order. `cycle_bar` counts bars since the pattern began.

    In a meter for which the pattern has no cycle, each group of pulses gets a held stroke. An
    off-beat stroke half a pulse before a new chord already sounds that chord; a new chord without
    a stroke at its start gets one there, and strokes less than a pulse later are left out. A hold
    is one long stroke.
    """
    cycle = pattern.cycle(pulse_count(meter)) or every_group(pulse_count(meter))
    pulse = pulse_quarters(meter)
    strokes: list[BarStroke] = []
    for beat in cycle[cycle_bar % len(cycle)]:
        at, length = _in_quarters(beat, pulse)
        span = _span_at(spans, at, pulse)
        if span is not None:
            strokes.append(BarStroke(span.slot, at, length, beat.accent))
    for span in spans:
        strokes = _with_first_stroke(strokes, span, pulse)
    by_slot = {span.slot: span for span in spans}
    finished = [_pushed_and_cut(stroke, by_slot[stroke.slot]) for stroke in strokes]
    return tuple(sorted(finished, key=lambda stroke: stroke.at))


def _in_quarters(beat: Beat, pulse: Fraction) -> tuple[Fraction, Fraction]:
    """The start and length of a beat in quarters; half a dotted pulse is at its third eighth."""
    at, end = beat.at, beat.at + beat.length
    if pulse.numerator == 3 and (at % 1 or beat.length > 1):
        at, end = (each + (HALF / 3 if each % 1 == HALF else 0) for each in (at, end))
    return at * pulse, (end - at) * pulse


def _span_at(spans: Sequence[ChordSpan], at: Fraction, pulse: Fraction) -> ChordSpan | None:
    """The span that a stroke sounds: the span at its time, or a new one half a pulse later."""
    for place, span in enumerate(spans):
        if span.start <= at < span.end:
            following = [
                after for after in spans[place + 1 : place + 2] if after.new and not after.silent
            ]
            if at % pulse != 0 and any(after.start - pulse / 2 <= at for after in following):
                return following[0]
            return None if span.silent else span
    return None


def _with_first_stroke(
    strokes: list[BarStroke], span: ChordSpan, pulse: Fraction
) -> list[BarStroke]:
    """The strokes, with one added at the start of the span if its chord must sound there."""
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


def _pushed_and_cut(stroke: BarStroke, span: ChordSpan) -> BarStroke:
    """A stroke, an eighth earlier if its chord is pushed, cut at the end of its chord."""
    at, end = stroke.at, min(stroke.at + stroke.length, span.end)
    if span.push and at == span.start:
        at -= HALF
    return BarStroke(stroke.slot, at, end - at, stroke.accent)
