"""The played form as a row of events: chords in played order, neighbours that sound alike joined.

Takes a `Sheet` and its `Form`, gives `Event`s. Joining neighbours of one root, sound and bass makes
the analysis blind to how a bar's chord is written (once, twice, or as a maj7 that turns to a
sixth). Silence (N.C.) ends no event and makes none. Times are in bars from the top of the form.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from ...grammar.key import Key
from ...grammar.sheet import Sheet
from ..form import Form
from .sounds import Heard, hear

#: So many changes between two chords make a vamp.
VAMP_EVENTS: Final = 6


@dataclass(frozen=True, slots=True)
class Event:
    """One sound of the played form, from `start` for `bars` (both in bars).

    `chords` are the written chords joined in it, in played order. `section` counts the played
    sections from 0; `settled` is the key that the writer states for it.
    """

    heard: Heard
    chords: tuple[int, ...]
    start: float
    bars: float
    section: int
    settled: Key | None = None


@dataclass(frozen=True, slots=True)
class _Spot:
    chord: int
    heard: Heard
    start: float
    bars: float
    section: int
    settled: Key | None


def events_of(sheet: Sheet, form: Form) -> tuple[Event, ...]:
    """The events of one chorus; empty when the sheet holds no chord."""
    joined: list[list[_Spot]] = []
    for spot in _spots(sheet, form):
        last = joined[-1][-1] if joined else None
        if last and (last.heard, last.settled) == (spot.heard, spot.settled):
            joined[-1].append(spot)
        else:
            joined.append([spot])
    return tuple(_event(spots) for spots in joined)


def _event(spots: list[_Spot]) -> Event:
    first = spots[0]
    if len(spots) == 1:
        bars = round(first.bars, 9)
        return Event(first.heard, (first.chord,), first.start, bars, first.section, first.settled)
    chords = tuple(dict.fromkeys(spot.chord for spot in spots))
    bars = round(sum(spot.bars for spot in spots), 9)
    return Event(first.heard, chords, first.start, bars, first.section, first.settled)


def _spots(sheet: Sheet, form: Form) -> list[_Spot]:
    firsts, chord_at = _first_chords(sheet), sheet.chords
    hearing = [hear(chord.chord) if chord.chord else None for chord in chord_at]
    sections, settled = _sections(sheet), sheet.stated_keys
    spots, start, played_section, before = [], 0, -1, -1
    for bar in form.bars:
        section = sections[bar]
        if section != before or bar == sheet.sections[section].first:
            played_section, before = played_section + 1, section
        sounding, length = form.sounding[bar], sheet.bars[bar].meter.beats
        for at in range(firsts[sounding], firsts[sounding + 1]):
            chord, heard = chord_at[at], hearing[at]
            if heard is not None:
                spots.append(
                    _Spot(at, heard, start + float(chord.start) / length,
                          float(chord.beats) / length, played_section, settled[bar])
                )  # fmt: skip
        start += max(1, sheet.bars[bar].rest_bars)
    return spots


def _first_chords(sheet: Sheet) -> list[int]:
    """For each written bar the index of its first chord, and one more at the end."""
    firsts = [0]
    for bar in sheet.bars:
        firsts.append(firsts[-1] + len(bar.chords))
    return firsts


def _sections(sheet: Sheet) -> list[int]:
    """The section of each written bar."""
    counts = [section.count for section in sheet.sections]
    return [index for index, count in enumerate(counts) for _ in range(count)]
