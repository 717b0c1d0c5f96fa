"""A tune performed: played order, count-in, rhythm, swing, bass and click as timed strokes.

Takes a sheet, its form, the plan of the hand and `Settings`; gives a `Performance`. Nothing here is
left to chance. A fermata is one long stroke; the last time it is played it takes twice its time
(common practice, no source), written as half the tempo.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final, TypeVar

from ...grammar.key import Key
from ...grammar.sheet import Meter, Sheet
from ..form import Form
from ..hand.plan import GripPlan
from .bassline import bass_strokes
from .clicks import click_strokes, count_in_strokes
from .passage import PlayedBar, passage
from .rhythm import (
    BarStroke,
    Pattern,
    bar_quarters,
    fall,
    find_pattern,
    pulse_quarters,
    usual_pattern,
)
from .swing import EVEN, is_even_feel, swing_by_tempo, swung
from .timing import LONGEST_MINUTES, Performance, Settings, SettingsError, Stroke, StruckNote

Value = TypeVar("Value")

#: The tempo of a tune that states none: a medium one (common practice, no source).
USUAL_TEMPO: Final = 120
VELOCITY: Final = 84
ACCENT: Final = 14


@dataclass(frozen=True, slots=True)
class Chorus:
    """One time through at one tempo, from `start` on (quarters); its count-in begins at `entry`."""

    bars: tuple[PlayedBar, ...]
    pattern: Pattern
    ratio: Fraction
    start: Fraction
    tempo: Fraction
    entry: Fraction

    @property
    def end(self) -> Fraction:
        """Where it ends, in quarters."""
        return self.start + self.bars[-1].at + self.bars[-1].length


def perform(sheet: Sheet, form: Form, plan: GripPlan, settings: Settings) -> Performance:
    """Play a tune.

    Raises RhythmError when the rhythm does not fit the meter and PassageError when the bars to loop
    are not in the tune, SettingsError when it lasts too long.
    """
    bars = passage(sheet, form, plan, settings.bars)
    choruses = tuple(_limited(_choruses(sheet, bars, settings)))
    holds = _last_holds(choruses[-1])
    strokes = [stroke for chorus in choruses for stroke in _played(sheet, chorus, settings, holds)]
    return Performance(
        sheet.header.title,
        tuple(sorted(strokes, key=lambda one: (one.at, one.part, one.notes[0].midi))),
        choruses[-1].end,
        _tempi(choruses, holds),
        _meters(choruses),
        _keys(sheet, choruses),
        _markers(choruses),
    )


def _choruses(sheet: Sheet, bars: tuple[PlayedBar, ...], settings: Settings) -> Iterator[Chorus]:
    """Every time through, tempo by tempo; `entry` is where its count-in begins."""
    meter = next((one.meter for one in bars if not one.bar.pickup), bars[0].meter)
    feel = sheet.header.feel
    usual = usual_pattern(meter, feel)
    pattern = usual if settings.rhythm is None else find_pattern(settings.rhythm, meter)
    at = Fraction(0)
    plain = settings.tempo or sheet.header.tempo or USUAL_TEMPO
    for beats in settings.ladder or (plain,):
        tempo = beats * (pulse_quarters(meter) if pulse_quarters(meter) > 1 else Fraction(1))
        ratio = swing_by_tempo(tempo) if settings.swing is None else settings.swing
        if settings.swing is None and (pattern.even or is_even_feel(feel)):
            ratio = EVEN
        for count in range(settings.choruses):
            entry = at
            at += _count_in(bars[0], settings.count_in) if count == 0 else 0
            chorus = Chorus(bars, pattern, ratio, at, tempo, entry)
            yield chorus
            at = chorus.end


def _limited(choruses: Iterator[Chorus]) -> Iterator[Chorus]:
    """The choruses as they come, refused once they last too long, before a stroke is made."""
    minutes = Fraction(0)
    for chorus in choruses:
        minutes += (chorus.end - chorus.entry) / chorus.tempo
        if minutes > LONGEST_MINUTES:
            raise SettingsError(
                f"that lasts too long: at most {LONGEST_MINUTES} minutes are made at once"
            )
        yield chorus


def _count_in(first: PlayedBar, bars: int) -> Fraction:
    """Whole bars of count-in, and before a pickup the part of its bar that it leaves open."""
    whole = bar_quarters(first.meter)
    rest = whole - first.length if first.bar.pickup and bars else Fraction(0)
    return bars * whole + rest


def _played(
    sheet: Sheet, chorus: Chorus, settings: Settings, holds: tuple[tuple[Fraction, Fraction], ...]
) -> Iterator[Stroke]:
    if "guitar" not in settings.without:
        yield from _guitar(chorus, settings.strum_ms)
    if "bass" not in settings.without:
        for one in chorus.bars:
            yield from bass_strokes(sheet, one, chorus.start + one.at)
    if chorus.entry < chorus.start:
        yield from count_in_strokes(chorus.bars[0].meter, chorus.entry, chorus.start)
    if "click" not in settings.without and settings.click != "none":
        for one in chorus.bars:
            for stroke in click_strokes(one, chorus.start + one.at, settings.click):
                if not any(start < stroke.at < end for start, end in holds):
                    yield stroke


def _guitar(chorus: Chorus, strum_ms: int) -> list[Stroke]:
    """The strokes of the guitar, each ended by the next one."""
    strokes: list[Stroke] = []
    for one in chorus.bars:
        for struck in fall(chorus.pattern, one.meter, one.cycle, one.spans):
            stroke = _stroke(chorus, one, struck, strum_ms)
            if strokes and strokes[-1].at + strokes[-1].length > stroke.at:
                strokes[-1] = replace(strokes[-1], length=stroke.at - strokes[-1].at)
            strokes.append(stroke)
    return [stroke for stroke in strokes if stroke.length > 0]


def _stroke(chorus: Chorus, one: PlayedBar, struck: BarStroke, strum_ms: int) -> Stroke:
    ratio = chorus.ratio if pulse_quarters(one.meter) == 1 else EVEN
    start = chorus.start + one.at
    end = swung(struck.at + struck.length, ratio)
    if struck.at % 1 == 0 and struck.length < 1:
        # A short stroke on the beat stays short however long the swung eighth is.
        end = struck.at + struck.length
    at, end = max(start + swung(struck.at, ratio), Fraction(0)), start + end
    slots = [span.slot for span in one.spans]
    grip = one.grips[slots.index(struck.slot)]
    notes = () if grip is None else grip.voicing.notes
    spread = tuple(
        StruckNote(note.midi, note.string, place * strum_ms) for place, note in enumerate(notes)
    )
    return Stroke(at, end - at, "guitar", VELOCITY + ACCENT * struck.accent, spread, struck.slot)


def _last_holds(chorus: Chorus) -> tuple[tuple[Fraction, Fraction], ...]:
    """Where the fermatas of the last chorus begin and end, each at its last playing."""
    last: dict[int, tuple[Fraction, Fraction]] = {}
    for one in chorus.bars:
        start = chorus.start + one.at
        for span in one.spans:
            if span.hold:
                last[span.slot] = (start + span.start, start + span.end)
    return tuple(sorted(last.values()))


def _tempi(
    choruses: tuple[Chorus, ...], holds: tuple[tuple[Fraction, Fraction], ...]
) -> tuple[tuple[Fraction, Fraction], ...]:
    marks = {chorus.entry: chorus.tempo for chorus in choruses}
    tempo = choruses[-1].tempo
    for start, end in holds:
        marks[start] = tempo / 2
        if end < choruses[-1].end and end not in [one for one, _ in holds]:
            marks[end] = tempo
    return _changes(marks)


def _meters(choruses: tuple[Chorus, ...]) -> tuple[tuple[Fraction, Meter], ...]:
    """Meters where they change; a pickup that follows no count-in has a meter of its own."""
    marks: dict[Fraction, Meter] = {}
    for chorus in choruses:
        counted = chorus.entry < chorus.start
        if counted:
            marks[chorus.entry] = chorus.bars[0].meter
        for place, one in enumerate(chorus.bars):
            if not one.bar.pickup:
                marks[chorus.start + one.at] = one.meter
            elif place or not counted:
                units = one.length * one.meter.unit / 4
                short = Meter(units.numerator, one.meter.unit * units.denominator)
                marks[chorus.start + one.at] = short
    return _changes(marks)


def _keys(sheet: Sheet, choruses: tuple[Chorus, ...]) -> tuple[tuple[Fraction, Key], ...]:
    marks: dict[Fraction, Key] = {}
    if sheet.header.key is not None:
        marks[Fraction(0)] = sheet.header.key
        marks |= {chorus.start: sheet.header.key for chorus in choruses}
    for chorus in choruses:
        for one in chorus.bars:
            if one.key is not None:
                marks[chorus.start + one.at] = one.key
    return _changes(marks)


def _markers(choruses: tuple[Chorus, ...]) -> tuple[tuple[Fraction, str], ...]:
    return tuple(
        (chorus.start + one.at, one.marker)
        for chorus in choruses
        for one in chorus.bars
        if one.marker
    )


def _changes(marks: dict[Fraction, Value]) -> tuple[tuple[Fraction, Value], ...]:
    """Marks in order of time, those that change nothing left out."""
    result: list[tuple[Fraction, Value]] = []
    for at, value in sorted(marks.items(), key=lambda mark: mark[0]):
        if not result or result[-1][1] != value:
            result.append((at, value))
    return tuple(result)
