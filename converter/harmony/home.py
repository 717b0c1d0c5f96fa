"""The evidence of the form for each key as the key of the tune: opening, close, sections, time.

Takes events, gives 24 prices, numbered 0 to 11 for major by tonic, 12 more for minor. Each kind of
evidence is one row of `evidence` and one field of `HomeWeights`, under one name.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from .chord_class import DOMINANTS, FALLS, MAJORS, MINORS, Sound, is_two_five, motion
from .events import VAMP_EVENTS, Event
from .functions import KEYS, Table
from .resting import resting_roots
from .weights import WEIGHTS

#: The length in bars of the opening and of the close of a form, turnaround included.
OPENING_BARS, CLOSING_BARS = 5.0, 6.0


def home_prices(events: Sequence[Event]) -> Table:
    """prices[key] of each key as the key of the tune."""
    rows = evidence(events)
    prices = np.zeros(KEYS)
    for name, row in rows.items():
        prices -= getattr(WEIGHTS.home, name) * row
    return prices


def evidence(events: Sequence[Event]) -> dict[str, Table]:
    """The amount of each kind of evidence for each key, mostly 0 or 1."""
    rests = resting_roots(events)
    first, last = tonic_key(events[0], rests), tonic_key(events[-1], rests)
    supertonic = leads_on(events, 0) and not opens_on_vamp(events)
    close = _one_hot(_close(events, rests))
    turn = _last_dominant_goal(events)
    agrees = not close.any() or bool((close * turn).any())
    return {
        "opens_on_tonic": _one_hot(None if supertonic else first),
        "opens_on_minor_seventh": _one_hot(first if supertonic else None),
        "opens_towards": _one_hot(_first_goal(events, rests)),
        "closes_on_tonic": close,
        "ends_on_tonic": _one_hot(None if len(events) > 1 and leads_on(events, -1) else last),
        "turns_to": turn * agrees,
        "turns_from_close": turn * (not agrees),
        "turns_to_opening": turn * _one_hot(first) * agrees,
        "section_ends": _section_ends(events, rests),
        "time_on_tonic": _tonic_shares(events, rests),
    }


def tonic_key(event: Event, rests: frozenset[int] = frozenset()) -> int | None:
    """The key whose tonic the event could be; None for a chord that is no tonic."""
    blues = event.chord_class.sound is Sound.DOMINANT and event.chord_class.root in rests
    if event.chord_class.sound in MAJORS or blues:
        return event.chord_class.root
    return event.chord_class.root + 12 if event.chord_class.sound in MINORS else None


def leads_on(events: Sequence[Event], at: int) -> bool:
    """Whether a minor chord is the ii of the next chord; the last chord's next is the first."""
    return is_two_five(events[at].chord_class, events[(at + 1) % len(events)].chord_class)


def opens_on_vamp(events: Sequence[Event]) -> bool:
    """Whether the form opens with two chords alternating three times; the first is the tonic."""
    pairs = [event.chord_class for event in events[:VAMP_EVENTS]]
    return len(pairs) == VAMP_EVENTS and pairs[2:] == pairs[:-2]


def _one_hot(key: int | None) -> Table:
    row = np.zeros(KEYS)
    if key is not None:
        row[key] = 1.0
    return row


def _first_goal(events: Sequence[Event], rests: frozenset[int]) -> int | None:
    """The first tonic that a dominant leads to, within the opening."""
    for at in range(len(events) - 1):
        here, there = events[at].chord_class, events[at + 1].chord_class
        if events[at + 1].start >= OPENING_BARS:
            return None
        falls = here.sound in DOMINANTS and motion(here, there) in FALLS
        if falls and not leads_on(events, at + 1):
            key = tonic_key(events[at + 1], rests)
            if key is not None:
                return key
    return None


def _close(events: Sequence[Event], rests: frozenset[int]) -> int | None:
    """The last tonic that a dominant leads to, within the close."""
    end = events[-1].start + events[-1].bars
    for at in range(len(events) - 1, 0, -1):
        if events[at].start + min(events[at].bars, 2) < end - CLOSING_BARS:
            return None
        here, before = events[at].chord_class, events[at - 1].chord_class
        key = tonic_key(events[at], rests)
        if key is None or before.sound not in DOMINANTS or leads_on(events, at):
            continue
        if motion(before, here) in (*FALLS, 2):
            return key
    return None


def _last_dominant_goal(events: Sequence[Event]) -> Table:
    """The tonic that the last dominant of the form aims at, the likelier mode weighted more."""
    row, last = np.zeros(KEYS), events[-1].chord_class
    vamps = opens_on_vamp(events) and events[-2].chord_class == events[0].chord_class
    if last.sound not in DOMINANTS or vamps:
        return row
    goal = (last.root + 5) % 12
    half = len(events) > 1 and events[-2].chord_class.sound is Sound.HALF_DIMINISHED
    dark = half or last.dark
    row[goal], row[goal + 12] = (0.7, 1.0) if dark else (1.0, 0.7)
    return row


def _section_ends(events: Sequence[Event], rests: frozenset[int]) -> Table:
    """The share of sections that end on each tonic; the last section is not counted."""
    row, ends = np.zeros(KEYS), 0
    for at in range(len(events) - 1):
        if events[at].section != events[at + 1].section:
            ends += 1
            key = tonic_key(events[at], rests)
            if key is not None and not leads_on(events, at):
                row[key] += 1.0
    return row / max(1, ends)


def _tonic_shares(events: Sequence[Event], rests: frozenset[int]) -> Table:
    """The share of the form's time that sounds each tonic."""
    row = np.zeros(KEYS)
    for at, event in enumerate(events):
        key = tonic_key(event, rests)
        if key is not None and not leads_on(events, at):
            row[key] += event.bars
    return row / sum(event.bars for event in events)
