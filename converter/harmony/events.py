"""The events of a form: chords in played order, neighbours of one chord class joined.

`events_of` takes a `Timeline` and gives `Event`s. Joining neighbours of one root, sound and bass
makes the analysis independent of how a chord is written (once, twice, or as a maj7 that turns to a
sixth). N.C. neither ends an event nor makes one. Times are in bars from the top of the form.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from ...grammar.key import Key
from ..timeline import Timeline
from .chord_class import ChordClass, chord_class

#: So many changes between two chords make a vamp.
VAMP_EVENTS: Final = 6


@dataclass(frozen=True, slots=True)
class Event:
    """One sound of the played form, from `start` for `bars` (both in bars).

    `chords` are the written chords joined in it, in played order. `section` counts the played
    sections from 0; `settled` is the key that the writer states for it.
    """

    chord_class: ChordClass
    chords: tuple[int, ...]
    start: float
    bars: float
    section: int
    settled: Key | None = None


@dataclass(frozen=True, slots=True)
class _Spot:
    chord: int
    chord_class: ChordClass
    start: float
    bars: float
    section: int
    settled: Key | None


def events_of(timeline: Timeline) -> tuple[Event, ...]:
    """The events of one chorus; empty when the sheet holds no chord."""
    joined: list[list[_Spot]] = []
    for spot in _spots(timeline):
        last = joined[-1][-1] if joined else None
        if last and (last.chord_class, last.settled) == (spot.chord_class, spot.settled):
            joined[-1].append(spot)
        else:
            joined.append([spot])
    return tuple(_event(spots) for spots in joined)


def _event(spots: list[_Spot]) -> Event:
    first = spots[0]
    if len(spots) == 1:
        bars = round(first.bars, 9)
        return Event(
            first.chord_class, (first.chord,), first.start, bars, first.section, first.settled
        )
    chords = tuple(dict.fromkeys(spot.chord for spot in spots))
    bars = round(sum(spot.bars for spot in spots), 9)
    return Event(first.chord_class, chords, first.start, bars, first.section, first.settled)


def _spots(timeline: Timeline) -> list[_Spot]:
    sheet = timeline.sheet
    classes = [chord_class(one.chord) if one.chord else None for one in sheet.chords]
    settled = sheet.stated_keys
    spots: list[_Spot] = []
    for bar in timeline.bars:
        meter = sheet.bars[bar.index].meter
        whole = 4 * meter.beats / meter.unit
        for one in bar.chords:
            found = classes[one.chord]
            if found is not None:
                start, bars = bar.before + float(one.start) / whole, float(one.length) / whole
                key = settled[bar.index]
                spots.append(_Spot(one.chord, found, start, bars, bar.section, key))
    return spots
