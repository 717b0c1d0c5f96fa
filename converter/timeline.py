"""The form as it sounds: which written chord is played when, and for how long.

`timeline_of` takes a `Sheet` and its `Form` and gives a `Timeline`, the one place that expands the
form into times. Musical time is exact, in quarter notes, from the top of the form or from the bar
line. A pickup bar lasts as long as its chords, a multi-bar rest as long as its bars. `playings`
views the same in seconds at a tempo.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from ..grammar.form.unfold import Form, unfold
from ..grammar.sheet import USUAL_TEMPO, Bar, Sheet


@dataclass(frozen=True, slots=True)
class TimedChord:
    """A written chord or N.C. in its bar, in quarters; `start` counts from the bar line.

    `chord` is its index in `Sheet.chords`; `silent`: it is N.C.
    """

    chord: int
    start: Fraction
    length: Fraction
    silent: bool = False


@dataclass(frozen=True, slots=True)
class TimedBar:
    """One playing of a written bar, in quarters; `start` counts from the top of the form.

    `index` points into `Sheet.bars`. `before` is the number of bars before it in the form, each bar
    of a multi-bar rest counted, the pickup too. `section` counts the sections as they are played,
    from 0. `chords` sound in it, those of another bar where it repeats one; a rest has none.
    """

    index: int
    before: int
    section: int
    start: Fraction
    length: Fraction
    chords: tuple[TimedChord, ...]


@dataclass(frozen=True, slots=True)
class Timeline:
    """A sheet in its played order, once through: `bars` in order of time."""

    sheet: Sheet
    form: Form
    bars: tuple[TimedBar, ...]


def timeline_of(sheet: Sheet, form: Form | None = None) -> Timeline:
    """The timeline of a sheet, in the order of `form`, None for its own.

    Raises SheetError when the bars of the sheet make no form.
    """
    form = unfold(sheet) if form is None else form
    return Timeline(sheet, form, tuple(_timed_bars(sheet, form)))


def _timed_bars(sheet: Sheet, form: Form) -> Iterator[TimedBar]:
    chords = _timed_chords(sheet)
    lengths = [max(bar.rest_bars, 1) * bar.quarters for bar in sheet.bars]
    sections = sheet.bar_sections
    start, before, section, last = Fraction(0), 0, -1, -1
    for index in form.bars:
        written = sections[index]
        if written != last or index == sheet.sections[written].first:
            section, last = section + 1, written
        sounding = chords[form.sounding[index]]
        yield TimedBar(index, before, section, start, lengths[index], sounding)
        start += lengths[index]
        before += max(1, sheet.bars[index].rest_bars)


def _timed_chords(sheet: Sheet) -> list[tuple[TimedChord, ...]]:
    """For each written bar its own chords."""
    firsts = sheet.first_chords
    return [_chords_of(bar, first) for bar, first in zip(sheet.bars, firsts, strict=False)]


def _chords_of(bar: Bar, first: int) -> tuple[TimedChord, ...]:
    chords = enumerate(bar.chords, first)
    if bar.meter.unit == 4:
        return tuple(TimedChord(at, one.start, one.beats, one.chord is None) for at, one in chords)
    unit = Fraction(4, bar.meter.unit)
    return tuple(
        TimedChord(at, one.start * unit, one.beats * unit, one.chord is None) for at, one in chords
    )


#: No change is reckoned faster than this, however short its chord is written.
LEAST_SECONDS: Final = 0.05


@dataclass(frozen=True, slots=True)
class Playing:
    """One playing of a written chord: its index in `Sheet.chords`, the seconds to the next."""

    chord: int
    seconds: float


def playings(timeline: Timeline, tempo: int | None = None) -> tuple[Playing, ...]:
    """Every playing of a chord in one chorus, in order, N.C. left out.

    Silence gives its time to the playing before it; the last chord leads back to the first. `tempo`
    counts the beats of `Sheet.tempo_quarters` a minute, None for the sheet's own.
    """
    found: list[Playing] = []
    silence = 0.0
    for chord, seconds in _in_seconds(timeline, tempo):
        if chord is not None:
            found.append(Playing(chord, seconds))
        elif found:
            found[-1] = Playing(found[-1].chord, found[-1].seconds + seconds)
        else:
            silence += seconds
    if found and silence:
        found[-1] = Playing(found[-1].chord, found[-1].seconds + silence)
    return tuple(found)


def _in_seconds(timeline: Timeline, tempo: int | None) -> Iterator[tuple[int | None, float]]:
    """The chords in played order with their seconds; None for silence, rests of many bars too."""
    sheet = timeline.sheet
    quarter = Fraction(60, tempo or sheet.header.tempo or USUAL_TEMPO) / sheet.tempo_quarters
    seconds: dict[int, float] = {}
    for bar in timeline.bars:
        for one in bar.chords:
            if one.chord not in seconds:
                seconds[one.chord] = max(float(one.length * quarter), LEAST_SECONDS)
            yield (None if one.silent else one.chord), seconds[one.chord]
        if not bar.chords:
            yield None, float(bar.length * quarter)
