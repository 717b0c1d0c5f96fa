"""A tune performed: guitar, bass and click as timed strokes.

`perform` takes a `Timeline`, the plan of the hand and `Settings`, and gives a `Performance`; the
same input gives the same strokes. Times are in quarter notes. A fermata is one long stroke; its
last playing is at half the tempo.

The bass plays roots and fifths, one note for each group of pulses: at the start of a chord its root
(or the bass that its symbol names), then fifth and root in turn. Its lowest note is E1 (MIDI 28),
the lowest string of a double bass. The click counts in, then sounds every pulse or the off-beats (2
and 4 in a bar of four) on General MIDI wood blocks. Tempos, meters, keys and section markers are
(quarters, value) pairs in order of time, one for each change. All of these are common practice, no
source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import zip_longest
from typing import Final, TypeVar

from ...grammar.chord import Chord
from ...grammar.key import Key
from ...grammar.sheet import Meter, Sheet
from ..hand.plan import GripPlan
from ..timeline import Timeline
from .choruses import EVEN, Chorus, PlayedBar, chorus_bars, choruses, swung
from .performance import CLICK_STRONG, CLICK_WEAK, Click, Performance, Settings, Stroke, StruckNote
from .rhythm import BarStroke, ChordSpan, apply_pattern, group_starts, pulse_count, pulse_quarters

LOWEST_BASS_MIDI: Final = 28
BASS_VELOCITY: Final = 82


def bass_strokes(sheet: Sheet, played: PlayedBar, start: Fraction) -> Iterator[Stroke]:
    """The bass of a bar that begins at `start` (quarters); nothing under N.C."""
    pulse = pulse_quarters(played.meter)
    groups = [place * pulse for place in group_starts(pulse_count(played.meter))]
    for span in played.spans:
        chord = sheet.chords[span.slot].chord
        if chord is None:
            continue
        times = [span.start] if span.hold else _times(span, groups)
        for turn, (at, end) in enumerate(zip(times, [*times[1:], span.end], strict=True)):
            # A tenth of a pulse of silence separates each note from the next.
            length = end - at - pulse / 10
            note = StruckNote(bass_note(chord, turn))
            yield Stroke(start + at, length, "bass", BASS_VELOCITY, (note,), span.slot)


def _times(span: ChordSpan, groups: list[Fraction]) -> list[Fraction]:
    return [span.start, *(at for at in groups if span.start < at < span.end)]


def bass_note(chord: Chord, turn: int) -> int:
    """The MIDI number of the `turn`-th bass note on a chord: its root or bass, then its fifth."""
    base = chord.root if chord.bass is None else chord.bass
    root = LOWEST_BASS_MIDI + (base.pitch_class - LOWEST_BASS_MIDI) % 12
    fifths = [tone for tone in chord.tones if tone.degree == 5]
    if turn % 2 == 0 or not fifths or chord.bass is not None:
        return root
    return LOWEST_BASS_MIDI + (chord.root.pitch_class + fifths[0].semitones - LOWEST_BASS_MIDI) % 12


CLICK_QUARTERS: Final = Fraction(1, 8)
CLICK_STRONG_VELOCITY: Final = 96
CLICK_WEAK_VELOCITY: Final = 76


def count_in_strokes(meter: Meter, start: Fraction, end: Fraction) -> Iterator[Stroke]:
    """Every pulse from `start` to `end` (quarters), the first of each bar higher."""
    pulse, at = pulse_quarters(meter), start
    while at < end:
        yield _click(at, (at - start) % meter.quarters == 0)
        at += pulse


def click_strokes(played: PlayedBar, start: Fraction, click: Click) -> Iterator[Stroke]:
    """The clicks of a bar that begins at `start`: every pulse, or those that begin no group."""
    pulse, whole = pulse_quarters(played.meter), played.meter.quarters
    # A pickup holds the last pulses of a whole bar.
    skipped = whole - played.length if played.bar.pickup else Fraction(0)
    strong = group_starts(pulse_count(played.meter))
    at = -(-skipped // pulse) * pulse
    while at < skipped + played.length:
        place = int((at % whole) / pulse)
        if click == "all" or place not in strong:
            yield _click(start + at - skipped, place == 0)
        at += pulse


def _click(at: Fraction, strong: bool) -> Stroke:
    note = StruckNote(CLICK_STRONG if strong else CLICK_WEAK)
    return Stroke(
        at,
        CLICK_QUARTERS,
        "click",
        CLICK_STRONG_VELOCITY if strong else CLICK_WEAK_VELOCITY,
        (note,),
    )


Value = TypeVar("Value")
Intervals = tuple[tuple[Fraction, Fraction], ...]

#: Time signatures have powers of two as units; the meter of a pickup of thirds is in this unit.
_SHORTEST_UNIT: Final = 64


def last_holds(chorus: Chorus) -> Intervals:
    """The (start, end) of each fermata of the last chorus, at its last playing."""
    last: dict[int, tuple[Fraction, Fraction]] = {}
    for played in chorus.bars:
        start = chorus.start + played.at
        for span in played.spans:
            if span.hold:
                last[span.slot] = (start + span.start, start + span.end)
    return tuple(sorted(last.values()))


def tempi(choruses: tuple[Chorus, ...], holds: Intervals) -> tuple[tuple[Fraction, Fraction], ...]:
    """The tempos, in quarters a minute."""
    marks = {chorus.count_in_start: chorus.tempo for chorus in choruses}
    tempo = choruses[-1].tempo
    for start, end in holds:
        marks[start] = tempo / 2
        if end < choruses[-1].end and end not in [start for start, _ in holds]:
            marks[end] = tempo
    return _changes(marks)


def meters(choruses: tuple[Chorus, ...]) -> tuple[tuple[Fraction, Meter], ...]:
    """The meters; a pickup has its own unless a count-in comes before it or it overlaps a bar."""
    marks: dict[Fraction, Meter] = {}
    for chorus in choruses:
        counted = chorus.count_in_start < chorus.start
        if counted:
            marks[chorus.count_in_start] = chorus.bars[0].meter
        for place, played in enumerate(chorus.bars):
            if not played.bar.pickup:
                marks[chorus.start + played.at] = played.meter
            elif place or not (counted or chorus.overlaps):
                marks[chorus.start + played.at] = _pickup_meter(played.length, played.meter)
    return _changes(marks)


def _pickup_meter(length: Fraction, whole: Meter) -> Meter:
    units = length * whole.unit / 4
    unit = whole.unit * units.denominator
    if unit <= _SHORTEST_UNIT and _SHORTEST_UNIT % unit == 0:
        return Meter(units.numerator, unit)
    return Meter(max(1, round(length * _SHORTEST_UNIT / 4)), _SHORTEST_UNIT)


def keys(choruses: tuple[Chorus, ...]) -> tuple[tuple[Fraction, Key], ...]:
    """The keys that are stated for the bars; that of the first bar starts with the count-in."""
    marks: dict[Fraction, Key] = {}
    for chorus in choruses:
        for place, played in enumerate(chorus.bars):
            if played.key is not None:
                marks[chorus.start + played.at if place else chorus.count_in_start] = played.key
    return _changes(marks)


def markers(choruses: tuple[Chorus, ...]) -> tuple[tuple[Fraction, str], ...]:
    """The label of each section at each of its playings."""
    return tuple(
        (chorus.start + played.at, played.marker)
        for chorus in choruses
        for played in chorus.bars
        if played.marker
    )


def _changes(marks: dict[Fraction, Value]) -> tuple[tuple[Fraction, Value], ...]:
    """The marks in order of time, without those that repeat the value before."""
    result: list[tuple[Fraction, Value]] = []
    for at, value in sorted(marks.items(), key=lambda mark: mark[0]):
        if not result or result[-1][1] != value:
            result.append((at, value))
    return tuple(result)


GUITAR_VELOCITY: Final = 84
ACCENT_VELOCITY: Final = 14


def perform(timeline: Timeline, plan: GripPlan, settings: Settings) -> Performance:
    """The performance of a tune.

    Raises RhythmError when the rhythm does not fit the meter, ExcerptError when the tune does not
    have the bars of an excerpt, SettingsError when the performance lasts too long.
    """
    sheet = timeline.sheet
    every = choruses(sheet, chorus_bars(timeline, plan, settings.choruses, settings.bars), settings)
    holds = last_holds(every[-1])
    strokes: list[Stroke] = []
    for chorus, after in zip_longest(every, every[1:]):
        chorus_strokes = _strokes_of(sheet, chorus, settings, holds)
        strokes += (
            chorus_strokes if after is None else _cut_at(chorus_strokes, after.count_in_start)
        )
    guitar = sorted(
        (stroke for stroke in strokes if stroke.part == "guitar"), key=lambda stroke: stroke.at
    )
    others = [stroke for stroke in strokes if stroke.part != "guitar"]
    return Performance(
        sheet.header.title,
        tuple(sorted([*_damped(guitar), *others], key=_time_order)),
        every[-1].end,
        tempi(every, holds),
        meters(every),
        keys(every),
        markers(every),
    )


def _time_order(stroke: Stroke) -> tuple[Fraction, str, int]:
    return stroke.at, stroke.part, stroke.notes[0].midi if stroke.notes else 0


def _strokes_of(
    sheet: Sheet, chorus: Chorus, settings: Settings, holds: Intervals
) -> Iterator[Stroke]:
    """The strokes of one chorus, part by part."""
    if "guitar" not in settings.without:
        yield from _guitar(chorus, settings.strum_ms)
    if "bass" not in settings.without:
        for played in chorus.bars:
            yield from bass_strokes(sheet, played, chorus.start + played.at)
    if chorus.count_in_start < chorus.start:
        yield from count_in_strokes(chorus.bars[0].meter, chorus.count_in_start, chorus.start)
    if "click" not in settings.without and settings.click != "none":
        for played in chorus.bars:
            for stroke in click_strokes(played, chorus.start + played.at, settings.click):
                if not any(start < stroke.at < end for start, end in holds):
                    yield stroke


def _cut_at(strokes: Iterable[Stroke], stop: Fraction) -> Iterator[Stroke]:
    """The strokes that begin before `stop`, cut at that time."""
    for stroke in strokes:
        if stroke.at < stop:
            yield replace(stroke, length=min(stroke.length, stop - stroke.at))


def _guitar(chorus: Chorus, strum_ms: int) -> Iterator[Stroke]:
    for played in chorus.bars:
        for struck in apply_pattern(chorus.pattern, played.meter, played.cycle, played.spans):
            yield _stroke(chorus, played, struck, strum_ms)


def _damped(strokes: Iterable[Stroke]) -> list[Stroke]:
    """The strokes of the guitar in order of time, each cut at the start of the next one."""
    result: list[Stroke] = []
    for stroke in strokes:
        if result and result[-1].at + result[-1].length > stroke.at:
            result[-1] = replace(result[-1], length=stroke.at - result[-1].at)
        result.append(stroke)
    return [stroke for stroke in result if stroke.length > 0]


def _stroke(chorus: Chorus, played: PlayedBar, struck: BarStroke, strum_ms: int) -> Stroke:
    ratio = chorus.ratio if pulse_quarters(played.meter) == 1 else EVEN
    start = chorus.start + played.at
    end = swung(struck.at + struck.length, ratio)
    if struck.at % 1 == 0 and struck.length < 1:
        # The length of a short stroke on the beat does not depend on the swing ratio.
        end = struck.at + struck.length
    at, end = max(start + swung(struck.at, ratio), Fraction(0)), start + end
    slots = [span.slot for span in played.spans]
    grip = played.grips[slots.index(struck.slot)]
    notes = () if grip is None else grip.voicing.notes
    spread = tuple(
        StruckNote(note.midi, note.string, place * strum_ms) for place, note in enumerate(notes)
    )
    return Stroke(
        at,
        end - at,
        "guitar",
        GUITAR_VELOCITY + ACCENT_VELOCITY * struck.accent,
        spread,
        struck.slot,
    )
