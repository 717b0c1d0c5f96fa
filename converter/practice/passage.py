"""The bars of one time through: a whole chorus, or the part from one bar to another.

Takes `Sheet`, `Form` and `GripPlan`, gives bars with their chords, in quarter notes from the start
of the passage. A pickup bar lasts as long as its chords, a multi-bar rest as long as its bars.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import accumulate

from ...grammar.key import Key
from ...grammar.sheet import Bar, Meter, Sheet
from ..form import Form
from ..hand.grip import Grip
from ..hand.plan import GripPlan
from .falling import ChordSpan


class PassageError(ValueError):
    """The bars that were asked for are not in the tune; the message says which there are."""


@dataclass(frozen=True, slots=True)
class PlayedBar:
    """A bar as it is played: where it begins, how long it lasts, what sounds in it.

    `spans` point by `slot` into the written chords; `grips` runs beside them. `cycle` counts the
    bars since the section or the meter began. `marker` is the label of a section that begins here,
    `key` the one that is stated for the bar, by its section or the header.
    """

    bar: Bar
    at: Fraction
    length: Fraction
    spans: tuple[ChordSpan, ...]
    grips: tuple[Grip | None, ...]
    cycle: int
    marker: str = ""
    key: Key | None = None

    @property
    def meter(self) -> Meter:
        """The meter as written."""
        return self.bar.meter


def passage(
    sheet: Sheet, form: Form, plan: GripPlan, bars: tuple[int, int] | None = None
) -> tuple[PlayedBar, ...]:
    """The bars of one time through, or from bar number `bars[0]` to the next `bars[1]` played.

    Raises PassageError when the tune does not play these bars in this order.
    """
    played = _whole(sheet, form, plan)
    if bars is not None:
        first, last = _slice(played, bars)
        played = played[first : last + 1]
    return _timed(played)


def _whole(sheet: Sheet, form: Form, plan: GripPlan) -> list[PlayedBar]:
    first = [0, *accumulate(len(bar.chords) for bar in sheet.bars)]
    labels = {section.first: section.label for section in sheet.sections if section.count}
    keys = [key or sheet.header.key for key in sheet.stated_keys]
    playings = plan.playings or tuple(plan.grips[index] for index in form.chords)
    result: list[PlayedBar] = []
    count = 0
    for index in form.bars:
        bar, source = sheet.bars[index], form.sounding[index]
        written = sheet.bars[source].chords
        grips = playings[count : count + len(written)]
        count += len(written)
        spans = _spans(bar, range(first[source], first[source + 1]), sheet)
        label = labels.get(index, "")
        result.append(
            PlayedBar(bar, Fraction(0), _length(bar), spans, grips, 0, label, keys[index])
        )
    return result


def _length(bar: Bar) -> Fraction:
    return max(bar.rest_bars, 1) * bar.quarters


def _spans(bar: Bar, slots: range, sheet: Sheet) -> tuple[ChordSpan, ...]:
    unit, end = Fraction(4, bar.meter.unit), _length(bar)
    spans = []
    for slot in slots:
        chord = sheet.chords[slot]
        start = chord.start * unit
        if start < end:
            stop = min(end, start + chord.beats * unit)
            span = ChordSpan(slot, start, stop, True, chord.chord is None, chord.push, chord.hold)
            spans.append(span)
    return tuple(spans)


def _slice(played: list[PlayedBar], bars: tuple[int, int]) -> tuple[int, int]:
    numbers = [one.bar.number for one in played]
    if bars[0] in numbers:
        first = numbers.index(bars[0])
        if bars[1] in numbers[first:]:
            return first, numbers.index(bars[1], first)
    raise PassageError(
        f"bars {bars[0]}–{bars[1]} are not played in this order; there are bars "
        f"{min(numbers)} to {max(numbers)}"
    )


def _timed(played: list[PlayedBar]) -> tuple[PlayedBar, ...]:
    """Bars set one after another; chords that only go on are no longer new."""
    at, cycle = Fraction(0), 0
    before: object = None
    result: list[PlayedBar] = []
    for one in played:
        fresh = bool(one.marker) or not result or result[-1].meter != one.meter
        cycle = 0 if fresh or result[-1].bar.pickup else cycle + 1
        spans, before = _news(one.spans, one.grips, before)
        result.append(replace(one, at=at, cycle=cycle, spans=spans))
        at += one.length
    return tuple(result)


def _news(
    spans: tuple[ChordSpan, ...], grips: tuple[Grip | None, ...], before: object
) -> tuple[tuple[ChordSpan, ...], object]:
    marked = []
    for span, grip in zip(spans, grips, strict=False):
        marked.append(replace(span, new=grip != before))
        before = grip
    return tuple(marked), before
