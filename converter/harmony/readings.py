"""From keys and arcs to what is said of each event: numeral, role and goal.

Takes an event with its local key (a number) and what it prepares, gives a `Said`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from .events import Event
from .functions import degree_prices, goal_of
from .numerals import applied, numeral, plain_role, target_name
from .sounds import DOMINANTS, SUPERTONICS, Sound
from .weights import WEIGHTS

#: A minor chord that costs no more than this in the key keeps its own numeral before a dominant.
OWN_NUMERAL = 0.5


@dataclass(frozen=True, slots=True)
class Said:
    """What is said of one event: numeral, role, and the event that it resolves to (None: none)."""

    roman: str
    role: str
    goal: int | None = None


def say(events: Sequence[Event], heads: Sequence[int], local: Sequence[int]) -> tuple[Said, ...]:
    """What is said of each event."""
    return tuple(_say(events, heads, at, local[at]) for at in range(len(events)))


def _say(events: Sequence[Event], heads: Sequence[int], at: int, key: int) -> Said:
    sound = events[at].heard.sound
    if sound in DOMINANTS:
        return _dominant(events, heads, at, key)
    if sound in SUPERTONICS:
        return _minor(events, heads, at, key)
    degree, minor_key = (events[at].heard.root - key) % 12, key >= 12
    role = plain_role(degree, sound, minor_key)
    goal = heads[at] if goal_of(events, heads, at) is not None else None
    return Said(numeral(degree, sound), role, goal)


def _dominant(events: Sequence[Event], heads: Sequence[int], at: int, key: int) -> Said:
    heard, minor_key = events[at].heard, key >= 12
    degree = (heard.root - key) % 12
    root, comes = goal_of(events, heads, at) or (0, False)
    target = (root - key) % 12
    plain = numeral(degree, heard.sound)
    if rests(events, heads, at, key):
        return Said(plain, "tonic" if degree == 0 else "predominant", None)
    if degree == 7 or not comes:
        return Said(plain, "dominant", heads[at])
    there = events[heads[at] % len(events)].heard.sound
    name = "" if target == 0 else target_name(target, minor_key, there)
    prefix = "subV" if (root - heard.root) % 12 == 11 else "V"
    return Said(applied(prefix, heard.sound, name), "dominant", heads[at])


def rests(events: Sequence[Event], heads: Sequence[int], at: int, key: int) -> bool:
    """Whether a seventh chord on I or IV is at rest, as in the blues, and aims at nothing."""
    degree = (events[at].heard.root - key) % 12
    if key >= 12 or events[at].heard.sound is not Sound.DOMINANT or degree not in (0, 5):
        return False
    there = events[heads[at] % len(events)].heard
    motion = (there.root - events[at].heard.root) % 12
    if degree == 5:
        return motion != 5 and motion != 11
    return (
        motion != 5 or (there.sound is Sound.DOMINANT and events[heads[at] % len(events)].bars <= 1)
    )


def _minor(events: Sequence[Event], heads: Sequence[int], at: int, key: int) -> Said:
    heard, minor_key = events[at].heard, key >= 12
    degree = (heard.root - key) % 12
    plain = Said(numeral(degree, heard.sound), plain_role(degree, heard.sound, minor_key))
    there = events[heads[at] % len(events)].heard
    if there.sound not in DOMINANTS or (there.root - heard.root) % 12 not in (5, 11):
        return plain
    goal = goal_of(events, heads, heads[at] % len(events))
    target = 0 if goal is None else (goal[0] - key) % 12
    if target == 0 or _fit(heard.sound, degree, minor_key) <= OWN_NUMERAL:
        role = "predominant" if degree in (2, 5, 8) or target else plain.role
        return Said(plain.roman, role)
    goal_sound = events[heads[heads[at] % len(events)] % len(events)].heard.sound
    name = target_name(target, minor_key, goal_sound)
    return Said(applied("ii", heard.sound, name), "predominant")


def _fit(sound: Sound, degree: int, minor_key: bool) -> float:
    table = WEIGHTS.minor_fit if minor_key else WEIGHTS.major_fit
    return degree_prices(table[sound], WEIGHTS.foreign)[degree]
