"""Cadences: their goals, the strength of each by kind and metre, and what they say for a key.

Takes events and phrases, gives `Arrival`s in order, and with the local keys the `Why` of a key. A
cadence here is a dominant next to its goal.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from ...grammar.frozen import frozen
from ...grammar.sheet import Sheet
from .analysis import Why
from .chord_class import DOMINANTS, FALLS, MAJORS, MINORS, ChordClass, Sound, is_two_five, motion
from .events import Event
from .metre import Phrase

#: The strength of each kind of cadence, alone and after a chord that prepares the dominant: a full
#: cadence is the strongest, then the tritone substitute, the backdoor, and the plagal IV7 to I7
#: (common practice, no source; the order is that of textbooks, the numbers are guesses).
_AUTHENTIC, _TRITONE, _BACKDOOR = (0.8, 1.0), (0.5, 0.8), (0.3, 0.6)
_PLAGAL: Final = 0.5
#: V to I in triads, which is IV to I of a blues or I to IV as well.
_TRIADS: Final = 0.4
#: V7 to a seventh chord without preparation, which is I7 to IV7 as well.
_TO_SEVENTH: Final = 0.3
#: The least strength of a kind that can close a form.
FULL: Final = 0.4


@frozen
class Arrival:
    """The goal `at` of a cadence; `strength` is the strength of its `kind` by that of its bar."""

    at: int
    kind: float
    strength: float


def leads_on(events: Sequence[Event], at: int) -> bool:
    """Whether a minor chord is the ii of the next chord; the last chord's next is the first."""
    return is_two_five(events[at].chord_class, events[(at + 1) % len(events)].chord_class)


def resolves(events: Sequence[Event], heads: Sequence[int], at: int) -> bool:
    """Whether a seventh chord falls to the chord that it prepares."""
    after = events[heads[at] % len(events)].chord_class
    return motion(events[at].chord_class, after) in FALLS


def arrivals(events: Sequence[Event], phrases: Sequence[Phrase]) -> Iterator[Arrival]:
    """The goals of all cadences, in order."""
    place = 0
    for at in range(1, len(events)):
        kind = _kind(events, at)
        if not kind or leads_on(events, at):
            continue
        start = events[at].start
        while place + 1 < len(phrases) and phrases[place].end <= start:
            place += 1
        yield Arrival(at, kind, kind * phrases[place].strength(start))


def _kind(events: Sequence[Event], at: int) -> float:
    """The strength of the cadence into an event by its kind, 0 for none."""
    before, here = events[at - 1].chord_class, events[at].chord_class
    if here.sound not in MAJORS and here.sound not in MINORS and here.sound is not Sound.DOMINANT:
        return 0.0
    step = motion(before, here)
    if before.sound in DOMINANTS:
        return _dominant_kind(step, before, here, is_prepared(events, at))
    triads = before.sound is Sound.MAJOR and here.sound in (Sound.MAJOR, Sound.MINOR)
    return _TRIADS if triads and step == 5 else 0.0


def _dominant_kind(step: int, before: ChordClass, here: ChordClass, prepared: bool) -> float:
    if step == 5:
        if here.sound is Sound.DOMINANT and not prepared:
            return _TO_SEVENTH
        return _AUTHENTIC[prepared]
    if step == 11:
        return _TRITONE[prepared]
    if step == 2 and here.sound in MAJORS:
        return _BACKDOOR[prepared]
    return _PLAGAL if step == 7 and before.sound is here.sound else 0.0


def is_prepared(events: Sequence[Event], at: int) -> bool:
    """Whether the chord before the dominant that leads to an event is its ii, or its V."""
    if at < 2:
        return False
    here, dominant = events[at - 2].chord_class, events[at - 1].chord_class
    is_fifth = here.sound is Sound.DOMINANT and motion(here, dominant) == 5
    return is_fifth or is_two_five(here, dominant)


def why(
    sheet: Sheet, events: Sequence[Event], phrases: Sequence[Phrase], local: Sequence[int], key: int
) -> Why:
    """The reasons for the key of a number; bars are those that are written."""
    tonic = key % 12
    found = [a for a in arrivals(events, phrases) if events[a.at].chord_class.root == tonic]
    full = [arrival for arrival in found if arrival.kind >= FULL]
    first = events[0].chord_class
    close = full[-1] if full else None
    inside = sum(event.bars for event, own in zip(events, local, strict=True) if own == key)
    return Why(
        opens=first.bass == tonic,
        closes=None if close is None else _written_bars(sheet, events, close),
        cadence="" if close is None else _name(events, close),
        arrivals=len(full),
        share=inside / sum(event.bars for event in events),
    )


def _first_event(events: Sequence[Event], arrival: Arrival) -> int:
    return arrival.at - 1 - is_prepared(events, arrival.at)


def _written_bars(sheet: Sheet, events: Sequence[Event], arrival: Arrival) -> tuple[int, int]:
    first, last = events[_first_event(events, arrival)].chords[0], events[arrival.at].chords[0]
    return sheet.bar_number_of(first), sheet.bar_number_of(last)


def _name(events: Sequence[Event], arrival: Arrival) -> str:
    """Its name: `ii–V–I`, `V–i`, `II–V–I` after another dominant, or `by the back door`."""
    before = events[arrival.at - 1].chord_class
    step = motion(before, events[arrival.at].chord_class)
    if step not in (5, 11):
        return "by the back door"
    tonic = "i" if events[arrival.at].chord_class.sound in MINORS else "I"
    dominant = f"{'V' if step == 5 else 'subV'}–{tonic}"
    if not is_prepared(events, arrival.at):
        return dominant
    first = events[_first_event(events, arrival)].chord_class
    return f"{'II' if first.sound in DOMINANTS else 'ii'}–{dominant}"
