"""The events of a form: chords in played order, neighbours of one chord class joined.

`events_of` takes a `Timeline` and gives `Event`s. Joining neighbours of one root, sound and bass
makes the analysis independent of how a chord is written (once, twice, or as a maj7 followed by a
sixth chord). N.C. neither ends an event nor makes one: the chord before it is still heard, so that
silence counts to its length, up to as long as it sounds (common practice, no source). Times are in
bars from the top of the form.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from ...grammar.frozen import frozen
from ...grammar.key import Key
from ..timeline import Timeline
from .chord_class import ChordClass, chord_class

#: The number of events in alternation of two chords that makes a vamp.
VAMP_EVENTS: Final = 6


@frozen
class Event:
    """One sound of the played form, from `start` for `bars` (both in bars).

    `chords` are the written chords joined in it, in played order. `section` counts the played
    sections from 0; `settled` is the key that the sheet states for the section, or None.
    """

    chord_class: ChordClass
    chords: tuple[int, ...]
    start: float
    bars: float
    section: int
    settled: Key | None = None


@frozen
class _TimedClass:
    """A playing of a chord before it is joined with its neighbours; fields as in `Event`."""

    chord: int
    chord_class: ChordClass
    start: float
    bars: float
    section: int
    settled: Key | None


def events_of(timeline: Timeline) -> tuple[Event, ...]:
    """The events of one chorus; empty when the sheet holds no chord."""
    joined: list[list[_TimedClass]] = []
    for playing in _timed_classes(timeline):
        last = joined[-1][-1] if joined else None
        if last and (last.chord_class, last.settled) == (playing.chord_class, playing.settled):
            joined[-1].append(playing)
        else:
            joined.append([playing])
    return tuple(_event(playings) for playings in joined)


def _event(playings: list[_TimedClass]) -> Event:
    first = playings[0]
    if len(playings) == 1:
        bars = round(first.bars, 9)
        return Event(
            first.chord_class, (first.chord,), first.start, bars, first.section, first.settled
        )
    chords = tuple(dict.fromkeys(playing.chord for playing in playings))
    bars = round(sum(playing.bars for playing in playings), 9)
    return Event(first.chord_class, chords, first.start, bars, first.section, first.settled)


def _timed_classes(timeline: Timeline) -> list[_TimedClass]:
    sheet = timeline.sheet
    classes = [chord_class(each.chord) if each.chord else None for each in sheet.chords]
    settled = sheet.stated_keys
    playings: list[_TimedClass] = []
    silent = 0.0
    for bar in timeline.bars:
        meter = sheet.bars[bar.index].meter
        whole = 4 * meter.beats / meter.unit
        for timed in bar.chords:
            timed_class = classes[timed.chord]
            start, bars = bar.before + float(timed.start) / whole, float(timed.length) / whole
            if timed_class is not None:
                playings = _with_silence(playings, silent)
                key = settled[bar.index]
                playings.append(
                    _TimedClass(timed.chord, timed_class, start, bars, bar.section, key)
                )
            silent = silent + bars if timed_class is None else 0.0
    return _with_silence(playings, silent)


def _with_silence(playings: list[_TimedClass], bars: float) -> list[_TimedClass]:
    """Count bars of silence to the last chord, at most as many as it sounds."""
    if bars and playings:
        last = playings[-1]
        playings[-1] = replace(last, bars=last.bars + min(bars, last.bars))
    return playings
