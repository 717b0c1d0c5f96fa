"""Areas without a dominant of their own: diminished chords, borrowed iv, pedal, vamp, blues.

Takes the heard `Tune`, gives `Found` areas.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from .events import VAMP_EVENTS
from .found import Found, Tune
from .sounds import DOMINANTS, MINORS, Sound

#: A chord that lasts so many bars is a vamp by itself.
VAMP_BARS: Final = 8.0


def diminished(tune: Tune) -> Iterator[Found]:
    """Diminished chords: passing between neighbours, or on the root of the chord they colour."""
    for at in range(1, len(tune)):
        if tune.heard(at).sound is not Sound.DIMINISHED:
            continue
        before, after = tune.bass_motion(at - 1, at), tune.bass_motion(at, at + 1)
        returns = before == 0 and tune.heard(at + 1).root == tune.heard(at - 1).root
        if tune.motion(at, at + 1) == 0 or returns:
            yield Found("common-tone diminished", tune.local[at], (at, at + 1))
        elif after in (1, 11) and before in (after, 0, 8, 9):
            yield Found("passing diminished", tune.local[at], (at - 1, at, at + 1))


def borrowed_fourths(tune: Tune) -> Iterator[Found]:
    """The minor chord on IV of a major key, where it is no ii of what follows."""
    for at in range(len(tune)):
        minor = tune.heard(at).sound in MINORS
        if minor and tune.local[at] < 12 and tune.degree(at) == 5 and not tune.goes_on(at):
            yield Found("borrowed iv", tune.local[at], (at, at + 1))


def pedals(tune: Tune) -> Iterator[Found]:
    """One bass under two and more chords, not all of them on it."""
    at = 0
    while at < len(tune):
        end = at
        while end + 1 < len(tune) and tune.heard(end + 1).bass == tune.heard(at).bass:
            end += 1
        run = tuple(range(at, end + 1))
        roots = {tune.heard(event).root for event in run}
        if len(run) >= 2 and len(roots) >= 2:
            yield Found("pedal", tune.local[at], run)
        at = end + 1


def vamps(tune: Tune) -> Iterator[Found]:
    """One chord for long, or two chords back and forth."""
    at = 0
    while at < len(tune):
        if tune.bars(at) >= VAMP_BARS:
            yield Found("vamp", tune.local[at], (at,))
        end = at + 1
        while end + 1 < len(tune) and tune.heard(end + 1) == tune.heard(end - 1):
            end += 1
        if end - at + 1 >= VAMP_EVENTS:
            yield Found("vamp", tune.local[at], tuple(range(at, end + 1)))
            at = end
        at += 1


def blues(tune: Tune) -> Iterator[Found]:
    """All sevenths at rest on I and IV of one key, as one area."""
    resting: dict[int, list[int]] = {}
    for at in range(len(tune)):
        if tune.heard(at).sound in DOMINANTS and tune.said[at].goal is None:
            resting.setdefault(tune.local[at], []).append(at)
    for key, events in resting.items():
        degrees = {tune.degree(at) for at in events}
        if degrees == {0, 5}:
            yield Found("blues", key, tuple(events))
