"""The beats of a bar on paper: which bars show a tick for each, and where each falls.

A bar that its chords share evenly, in whole beats, needs no ticks; in any other every beat has one.
Room grows with duration less than in proportion, as engravers space notes. Beats count as in the
sheet, from 0 at the bar line; lengths are points.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import accumulate, pairwise
from typing import Final

from ...grammar.frozen import frozen
from ...grammar.sheet import SheetChord

#: Room is proportional to this power of the duration (common practice of engravers: about 0.6).
POWER: Final = 0.6


@frozen
class Tick:
    """A time that is marked: `at` in beats; `chord` is the place in the bar of one that starts."""

    at: Fraction
    chord: int | None = None

    @property
    def part(self) -> Fraction:
        """How far behind a beat it lies, as a part of the beat: 0 on a beat."""
        return self.at % 1

    @property
    def label(self) -> str:
        """Its part of the beat in figures where that is neither 0 nor, as most often, a half."""
        return "" if self.part in (0, Fraction(1, 2)) else str(self.part)


def shows_beats(chords: Sequence[SheetChord], pickup: bool = False) -> bool:
    """Whether a bar needs ticks: a pickup, whose length they tell, and one not split evenly."""
    if not chords:
        return False
    first = chords[0].beats
    return pickup or first.denominator != 1 or any(chord.beats != first for chord in chords)


def ticks_of(chords: Sequence[SheetChord]) -> tuple[Tick, ...]:
    """The beats of chords that follow each other, and the starts that lie between beats."""
    return tuple(
        Tick(at, place if at == chord.start else None)
        for place, chord in enumerate(chords)
        for at in chord_times(chord.start, chord.beats).ticks
    )


@frozen
class ChordTimes:
    """The times that a chord marks in its bar and its end, in beats.

    `rooms` and `labels` are those of its ticks: the room of what lasts until the next one, and what
    is written beside it. `room` is that of the whole chord.
    """

    ticks: tuple[Fraction, ...]
    end: Fraction
    rooms: tuple[float, ...]
    labels: tuple[str, ...]
    room: float


@lru_cache(maxsize=4096)
def chord_times(start: Fraction, beats: Fraction) -> ChordTimes:
    """The times of a chord that starts at a beat: its start, and every beat in it."""
    end = start + beats
    ticks = (start, *(Fraction(beat) for beat in range(int(start) + 1, -int(-end // 1))))
    rooms = tuple(room_of(after - at) for at, after in pairwise((*ticks, end)))
    labels = tuple(Tick(at).label for at in ticks)
    return ChordTimes(ticks, end, rooms, labels, room_of(beats))


def room_of(duration: Fraction | float) -> float:
    """The room that a duration takes beside that of a whole."""
    return math.pow(duration, POWER)


def share(least: Sequence[float], ideal: Sequence[float], room: float) -> list[float]:
    """Widths that fill a room: in proportion to `ideal`, but none below its `least`.

    Where even the least widths do not fit, they are reduced in proportion.
    """
    if not least:
        return []
    if sum(least) >= room:
        return [width * room / sum(least) for width in least]
    out = list(least)
    order = sorted(range(len(out)), key=lambda place: least[place] / ideal[place], reverse=True)
    weight = sum(ideal)
    for rank, place in enumerate(order):
        if least[place] * weight <= ideal[place] * room:
            for other in order[rank:]:
                out[other] = ideal[other] * room / weight
            break
        room -= least[place]
        weight -= ideal[place]
    return out


@frozen
class BarTimes:
    """Where the times of a bar fall: the x of each of `beats`, which ascend to its end.

    `starts` are the left edges of its chords.
    """

    beats: tuple[Fraction, ...]
    xs: tuple[float, ...]
    starts: tuple[float, ...] = ()

    def x(self, beat: Fraction) -> float:
        """Where a time falls, between two known ones in proportion; others lie at the ends."""
        place = min(max(bisect_right(self.beats, beat), 1), len(self.beats) - 1)
        before, after = self.beats[place - 1], self.beats[place]
        if beat == before:
            return self.xs[place - 1]
        part = min(max(float((beat - before) / (after - before)), 0.0), 1.0)
        return self.xs[place - 1] + part * (self.xs[place] - self.xs[place - 1])

    def moved(self, dx: float) -> BarTimes:
        """The same times, `dx` to the right."""
        xs, starts = (tuple(x + dx for x in places) for places in (self.xs, self.starts))
        return BarTimes(self.beats, xs, starts)


def times_in(
    chords: Sequence[ChordTimes], rooms: Sequence[float], start: float, gaps: Sequence[float]
) -> BarTimes:
    """The times of chords that take `rooms` from `start` on, with at least one of `gaps` behind
    each of their ticks."""
    beats: list[Fraction] = []
    xs: list[float] = []
    starts = tuple(accumulate(rooms, initial=start))
    for chord, x, room in zip(chords, starts, rooms, strict=False):
        least = gaps[len(beats) : len(beats) + len(chord.ticks)]
        beats += chord.ticks
        xs += accumulate(share(least, chord.rooms, room)[:-1], initial=x)
    return BarTimes((*beats, chords[-1].end), (*xs, starts[-1]), starts[:-1])
