"""The timeline of a form: the start and length of each playing of a written chord.

`timeline_of` takes a `Sheet` and its `Form` and gives a `Timeline`; no other module expands the
form into times. Musical time is exact, in quarter notes, from the top of the form or from the bar
line. A pickup bar lasts as long as its chords, a multi-bar rest as long as its bars. `playings`
gives the same in seconds at a tempo.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from ..grammar.form.unfold import Form, unfold
from ..grammar.frozen import frozen
from ..grammar.sheet import USUAL_TEMPO, Bar, Sheet


@frozen
class TimedChord:
    """A written chord or N.C. in its bar, in quarters; `start` counts from the bar line.

    `chord` is its index in `Sheet.chords`; `silent`: it is N.C.
    """

    chord: int
    start: Fraction
    length: Fraction
    silent: bool = False


@frozen
class TimedBar:
    """One playing of a written bar, in quarters; `start` counts from the top of the form.

    `index` points into `Sheet.bars`. `before` is the number of bars before it in the form, each bar
    of a multi-bar rest counted, the pickup too. `section` counts the sections as they are played,
    from 0. `chords` sound in it; a bar with a repeat sign has those of the bar it repeats, a rest
    none.
    """

    index: int
    before: int
    section: int
    start: Fraction
    length: Fraction
    chords: tuple[TimedChord, ...]


@frozen
class Timeline:
    """One chorus of a sheet: `bars` in played order."""

    sheet: Sheet
    form: Form
    bars: tuple[TimedBar, ...]


def timeline_of(sheet: Sheet, form: Form | None = None) -> Timeline:
    """The timeline of a sheet in the order of `form`; None for the sheet's own form.

    Raises SheetError when the bars of the sheet make no form.
    """
    form = unfold(sheet) if form is None else form
    return Timeline(sheet, form, tuple(_timed_bars(sheet, form)))


def _timed_bars(sheet: Sheet, form: Form) -> Iterator[TimedBar]:
    chords = _timed_chords(sheet)
    lengths = [bar.bar_count * bar.quarters for bar in sheet.bars]
    sections = sheet.bar_sections
    start, before, section, last = Fraction(0), 0, -1, -1
    for index in form.bars:
        written = sections[index]
        if written != last or index == sheet.sections[written].first:
            section, last = section + 1, written
        sounding = chords[form.sounding[index]]
        yield TimedBar(index, before, section, start, lengths[index], sounding)
        start += lengths[index]
        before += sheet.bars[index].bar_count


def _timed_chords(sheet: Sheet) -> list[tuple[TimedChord, ...]]:
    """For each written bar its own chords."""
    firsts = sheet.first_chords
    return [_chords_of(bar, first) for bar, first in zip(sheet.bars, firsts, strict=False)]


def _chords_of(bar: Bar, first: int) -> tuple[TimedChord, ...]:
    chords = enumerate(bar.chords, first)
    if bar.meter.unit == 4:
        return tuple(
            TimedChord(at, written.start, written.beats, written.chord is None)
            for at, written in chords
        )
    unit = Fraction(4, bar.meter.unit)
    return tuple(
        TimedChord(at, written.start * unit, written.beats * unit, written.chord is None)
        for at, written in chords
    )


#: The minimum duration of a chord in seconds; shorter ones count as this.
LEAST_SECONDS: Final = 0.05


@frozen
class Playing:
    """One playing of a written chord: its index in `Sheet.chords`, the seconds to the next."""

    chord: int
    seconds: float


def playings(timeline: Timeline, tempo: int | None = None) -> tuple[Playing, ...]:
    """Every playing of a chord in one chorus, in order, N.C. left out.

    The time of silence is added to the playing before it; the last chord is followed by the first.
    `tempo` is in beats of `Sheet.tempo_quarters` a minute, None for the sheet's own.
    """
    result: list[Playing] = []
    silence = 0.0
    for chord, seconds in _in_seconds(timeline, tempo):
        if chord is not None:
            result.append(Playing(chord, seconds))
        elif result:
            result[-1] = Playing(result[-1].chord, result[-1].seconds + seconds)
        else:
            silence += seconds
    if result and silence:
        result[-1] = Playing(result[-1].chord, result[-1].seconds + silence)
    return tuple(result)


def _in_seconds(timeline: Timeline, tempo: int | None) -> Iterator[tuple[int | None, float]]:
    """The chords in played order with their seconds; None for silence and multi-bar rests."""
    sheet = timeline.sheet
    quarter = Fraction(60, tempo or sheet.header.tempo or USUAL_TEMPO) / sheet.tempo_quarters
    seconds: dict[int, float] = {}
    for bar in timeline.bars:
        for timed in bar.chords:
            if timed.chord not in seconds:
                seconds[timed.chord] = max(float(timed.length * quarter), LEAST_SECONDS)
            yield (None if timed.silent else timed.chord), seconds[timed.chord]
        if not bar.chords:
            yield None, float(bar.length * quarter)
