"""From keys and arcs to what is said of each event: numeral, role and goal.

Takes an event with its local key (a number) and what it prepares, gives a `Interpretation`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from ...grammar.numeral import Numeral
from .events import DOMINANTS, FALLS, MINORS, SUPERTONICS, Event, Sound, is_two_five, motion
from .functions import degree_prices, goal_of, resting_roots
from .numerals import applied, is_degree, is_small_target, numeral, plain_role
from .weights import MAJOR_FIT, MINOR_FIT

#: A minor chord that costs no more than this in the key keeps its own numeral before a dominant.
OWN_NUMERAL = 0.5

#: I7 aims at the IV7 that opens a phrase of so many bars; before any other IV7 it is at rest.
PHRASE_BARS = 4

#: Semitones from a dominant's root up to a root that is no goal of it.
OPEN_MOTIONS = (0, 3, 4, 6, 8)


@dataclass(frozen=True, slots=True)
class Interpretation:
    """What is said of one event: numeral, role, and the event that it resolves to (None: none)."""

    numeral: Numeral
    role: str
    goal: int | None = None


def interpret(
    events: Sequence[Event], heads: Sequence[int], local: Sequence[int]
) -> tuple[Interpretation, ...]:
    """What is said of each event."""
    rests = resting_roots(events)
    return tuple(_say(events, heads, at, local[at], rests) for at in range(len(events)))


def _say(
    events: Sequence[Event], heads: Sequence[int], at: int, key: int, rests: frozenset[int]
) -> Interpretation:
    heard, minor_key = events[at].heard, key >= 12
    degree = (heard.root - key) % 12
    if heard.sound in DOMINANTS:
        if is_at_rest(events, heads, at, key, rests):
            role = "tonic" if degree == 0 else "predominant"
            return Interpretation(numeral(degree, heard.sound), role)
        return _dominant(events, heads, at, key)
    if heard.sound in SUPERTONICS:
        return _minor(events, heads, at, key)
    falls = motion(heard, events[(at + 1) % len(events)].heard) == 11
    goal = heads[at] if goal_of(events, heads, at) is not None else None
    role = plain_role(degree, heard.sound, minor_key)
    return Interpretation(numeral(degree, heard.sound, falls=falls), role, goal)


def is_at_rest(
    events: Sequence[Event], heads: Sequence[int], at: int, key: int, rests: frozenset[int]
) -> bool:
    """Whether a seventh chord on I or IV is at rest, as in the blues or in a minor vamp with i."""
    heard, minor_key = events[at].heard, key >= 12
    degree = (heard.root - key) % 12
    if minor_key and degree == 5 and heard.sound is Sound.DOMINANT:
        after = events[(at + 1) % len(events)].heard
        return motion(heard, after) == 7 and after.sound in MINORS
    if minor_key or heard.sound is not Sound.DOMINANT or degree not in (0, 5):
        return False
    if degree == 5 and (heard.root - 5) % 12 in rests and heads[at] != at + 1:
        return True
    goal = events[heads[at] % len(events)]
    step = motion(heard, goal.heard)
    if degree == 0 and step == 5 and heard.root in rests:
        return heads[at] != at + 1 or goal.start % PHRASE_BARS != 0
    return step not in FALLS


def _dominant(events: Sequence[Event], heads: Sequence[int], at: int, key: int) -> Interpretation:
    heard, minor_key = events[at].heard, key >= 12
    degree = (heard.root - key) % 12
    root, comes = goal_of(events, heads, at) or (0, False)
    target = (root - key) % 12
    goal = aim(events, heads, at, key)
    back_door = goal is not None and goal != heads[at]
    own = degree == 7 or back_door or (degree == 5 and not minor_key and heads[at] != at + 1)
    if own or not comes or goal is None:
        return Interpretation(numeral(degree, heard.sound), "dominant", goal)
    there = events[heads[at] % len(events)].heard.sound
    slides = (root - heard.root) % 12 == 11
    if slides and serves_a_substitute(events, heads, heads[at], key):
        slides, target = False, (target + 6) % 12
    small = is_small_target(target, minor_key, there)
    found = applied(5, heard.sound, target, small=small, substitute=slides)
    return Interpretation(found, "dominant", goal)


def serves_a_substitute(events: Sequence[Event], heads: Sequence[int], goal: int, key: int) -> bool:
    """Whether a dominant's goal stands in, a tritone away, for a V of a degree of the key.

    D7 before D♭7 before C is the V of the G7 that D♭7 stands for, and no substitute itself.
    """
    heard = events[goal % len(events)].heard
    after = events[heads[goal % len(events)] % len(events)].heard
    substitute = heard.sound in DOMINANTS and motion(heard, after) == 11
    return substitute and is_degree((heard.root + 6 - key) % 12, minor_key=key >= 12)


def aim(events: Sequence[Event], heads: Sequence[int], at: int, key: int) -> int | None:
    """The event that a dominant resolves to, None when it is left open.

    A dominant that comes back on the same root aims where that one aims; a suspended one aims at
    the dominant that releases it. ♭VII7 resolves to I, and to iii in its stead, when they stand
    next. What neither falls nor slides nor steps anywhere is left open.
    """
    n, heard = len(events), events[at].heard
    if _comes_by_the_back_door(events, at, key):
        return at + 1
    goal = heads[at]
    for _ in range(n):
        there = events[goal % n].heard
        if there.root != heard.root or there.sound not in DOMINANTS:
            break
        if heard.sound is Sound.SUSPENDED and there.sound is not Sound.SUSPENDED:
            return goal
        goal = heads[goal % n] + goal // n * n
    return None if motion(heard, events[goal % n].heard) in OPEN_MOTIONS else goal


def _comes_by_the_back_door(events: Sequence[Event], at: int, key: int) -> bool:
    heard, after = events[at].heard, events[(at + 1) % len(events)].heard
    if key >= 12 or (heard.root - key) % 12 != 10:
        return False
    degree = (after.root - key) % 12
    return degree == 0 or (degree == 4 and after.sound in MINORS)


def _minor(events: Sequence[Event], heads: Sequence[int], at: int, key: int) -> Interpretation:
    heard, minor_key = events[at].heard, key >= 12
    degree = (heard.root - key) % 12
    plain = Interpretation(numeral(degree, heard.sound), plain_role(degree, heard.sound, minor_key))
    there = heads[at] % len(events)
    if not is_two_five(heard, events[there].heard):
        return plain
    root, comes = goal_of(events, heads, there) or (0, False)
    target = (root - key) % 12
    own = degree == 5 or _fit(heard.sound, degree, minor_key) <= OWN_NUMERAL
    if target == 0 or own or not comes:
        return Interpretation(plain.numeral, "predominant")
    reached = events[heads[there] % len(events)].heard.sound
    small = is_small_target(target, minor_key, reached)
    return Interpretation(applied(2, heard.sound, target, small=small), "predominant")


@lru_cache(maxsize=512)
def _fit(sound: Sound, degree: int, minor_key: bool) -> float:
    return degree_prices((MINOR_FIT if minor_key else MAJOR_FIT)[sound])[degree]
