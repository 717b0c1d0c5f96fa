"""What speaks for each of the 24 keys as the key of the tune: its opening, its close, its section ends.

Takes events and arcs, gives 24 prices (negative where something speaks for the key).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ...grammar.key import Key
from .events import Event
from .functions import KEYS, Table
from .sounds import DOMINANTS, MAJORS, MINORS, SUPERTONICS
from .weights import Weights


def home_prices(
    events: Sequence[Event], heads: Sequence[int], stated: Key | None, weights: Weights
) -> Table:
    """prices[key] of taking a key for the tune's."""
    prices = np.zeros(KEYS)
    first = tonic_key(events[0])
    if first is not None:
        prices[first] -= weights.opens_on_tonic
    else:
        ahead = _next_tonic(events, 0)
        if ahead is not None:
            prices[ahead] -= weights.opens_towards
    close = _close(events)
    if close is not None:
        prices[close] -= weights.closes_on_tonic
    last = len(events) - 1
    if events[last].heard.sound in DOMINANTS:
        goal = (events[last].heard.root + 5) % 12
        prices[[goal, goal + 12]] -= weights.turns_to
    for at in range(1, len(events)):
        if events[at].section != events[at - 1].section:
            end = tonic_key(events[at - 1])
            if end is not None:
                prices[end] -= weights.section_tonic
    if stated is not None:
        prices[key_number(stated)] -= weights.header
    return prices


def key_number(key: Key) -> int:
    """0 to 11 for major by tonic, 12 to 23 for minor."""
    return key.tonic.pitch_class + (12 if key.mode == "minor" else 0)


def tonic_key(event: Event) -> int | None:
    """The key whose tonic the event could be; None for a chord that is no tonic."""
    if event.heard.sound in MAJORS:
        return event.heard.root
    return event.heard.root + 12 if event.heard.sound in MINORS else None


def _next_tonic(events: Sequence[Event], at: int) -> int | None:
    """The tonic that the opening leads to by fourths, within its first phrase."""
    for here, there in zip(events[at:], events[at + 1 :], strict=False):
        if there.start >= 5:
            return None
        rises = (there.heard.root - here.heard.root) % 12 in (5, 11)
        if here.heard.sound in DOMINANTS and rises and there.heard.sound not in DOMINANTS:
            return tonic_key(there)
    return None


def _close(events: Sequence[Event]) -> int | None:
    """The last tonic reached by a dominant within the last phrase of the form."""
    end = events[-1].start + events[-1].bars
    for at in range(len(events) - 1, 0, -1):
        here, before = events[at].heard, events[at - 1].heard
        if events[at].start < end - 6:
            return None
        key = tonic_key(events[at])
        if key is None or before.sound not in DOMINANTS:
            continue
        followed = at + 1 < len(events) and events[at + 1].heard
        if followed and here.sound in SUPERTONICS and followed.sound in DOMINANTS \
                and (followed.root - here.root) % 12 in (5, 11):  # fmt: skip
            continue
        if (here.root - before.root) % 12 in (5, 11, 2):
            return key
    return None
