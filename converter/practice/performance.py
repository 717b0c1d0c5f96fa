"""A tune performed: played order, count-in, rhythm, swing, bass and click as timed strokes.

Takes a sheet, its form, the plan of the hand and `Settings`; gives a `Performance`. Nothing here is
left to chance. A fermata is one long stroke; how much longer it lasts stands in `marks`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import zip_longest
from typing import Final

from ...grammar.sheet import Sheet
from ..form import Form
from ..hand.plan import GripPlan
from .bassline import bass_strokes
from .choruses import Chorus, choruses
from .clicks import click_strokes, count_in_strokes
from .falling import BarStroke, fall
from .marks import Spans, keys, last_holds, markers, meters, tempi
from .passage import PlayedBar, passage
from .pulses import pulse_quarters
from .swing import EVEN, swung
from .timing import Performance, Settings, Stroke, StruckNote

VELOCITY: Final = 84
ACCENT: Final = 14


def perform(sheet: Sheet, form: Form, plan: GripPlan, settings: Settings) -> Performance:
    """Play a tune.

    Raises RhythmError when the rhythm does not fit the meter and PassageError when the bars to loop
    are not in the tune, SettingsError when it lasts too long.
    """
    bars = passage(sheet, form, plan, settings.bars)
    every = choruses(sheet, bars, settings)
    holds = last_holds(every[-1])
    strokes: list[Stroke] = []
    for chorus, after in zip_longest(every, every[1:]):
        played = _played(sheet, chorus, settings, holds)
        strokes += played if after is None else _before(played, after.entry)
    guitar = sorted((one for one in strokes if one.part == "guitar"), key=lambda one: one.at)
    others = [one for one in strokes if one.part != "guitar"]
    return Performance(
        sheet.header.title,
        tuple(sorted([*_damped(guitar), *others], key=_in_time)),
        every[-1].end,
        tempi(every, holds),
        meters(every),
        keys(every),
        markers(every),
    )


def _in_time(stroke: Stroke) -> tuple[Fraction, str, int]:
    return stroke.at, stroke.part, stroke.notes[0].midi if stroke.notes else 0


def _played(sheet: Sheet, chorus: Chorus, settings: Settings, holds: Spans) -> Iterator[Stroke]:
    """The strokes of one time through, part by part."""
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


def _before(strokes: Iterable[Stroke], stop: Fraction) -> Iterator[Stroke]:
    """The strokes that begin before a time, ended there at the latest."""
    for stroke in strokes:
        if stroke.at < stop:
            yield replace(stroke, length=min(stroke.length, stop - stroke.at))


def _guitar(chorus: Chorus, strum_ms: int) -> Iterator[Stroke]:
    for one in chorus.bars:
        for struck in fall(chorus.pattern, one.meter, one.cycle, one.spans):
            yield _stroke(chorus, one, struck, strum_ms)


def _damped(strokes: Iterable[Stroke]) -> list[Stroke]:
    """The strokes of the guitar in order of time, each ended by the next one."""
    result: list[Stroke] = []
    for stroke in strokes:
        if result and result[-1].at + result[-1].length > stroke.at:
            result[-1] = replace(result[-1], length=stroke.at - result[-1].at)
        result.append(stroke)
    return [stroke for stroke in result if stroke.length > 0]


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
