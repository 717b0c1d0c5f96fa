"""The interpretation of each event in its local key: numeral, role and goal.

Takes events with their local keys (numbers) and what they prepare, gives `Interpretation`s.
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
    """Numeral and role of one event, and the event that it resolves to (None: none)."""

    numeral: Numeral
    role: str
    goal: int | None = None


def interpret(
    events: Sequence[Event], heads: Sequence[int], local: Sequence[int]
) -> tuple[Interpretation, ...]:
    """The interpretation of each event, in order."""
    rests = resting_roots(events)
    return tuple(_say(events, heads, at, local[at], rests) for at in range(len(events)))


def _say(
    events: Sequence[Event], heads: Sequence[int], at: int, key: int, rests: frozenset[int]
) -> Interpretation:
    here, minor_key = events[at].chord_class, key >= 12
    degree = (here.root - key) % 12
    if here.sound in DOMINANTS:
        if is_at_rest(events, heads, at, key, rests):
            role = "tonic" if degree == 0 else "predominant"
            return Interpretation(numeral(degree, here.sound), role)
        return _dominant(events, heads, at, key)
    if here.sound in SUPERTONICS:
        return _minor(events, heads, at, key)
    falls = motion(here, events[(at + 1) % len(events)].chord_class) == 11
    goal = heads[at] if goal_of(events, heads, at) is not None else None
    role = plain_role(degree, here.sound, minor_key)
    return Interpretation(numeral(degree, here.sound, falls=falls), role, goal)


def is_at_rest(
    events: Sequence[Event], heads: Sequence[int], at: int, key: int, rests: frozenset[int]
) -> bool:
    """Whether a seventh chord on I or IV is at rest, as in the blues or in a minor vamp with i."""
    here, minor_key = events[at].chord_class, key >= 12
    degree = (here.root - key) % 12
    if minor_key and degree == 5 and here.sound is Sound.DOMINANT:
        after = events[(at + 1) % len(events)].chord_class
        return motion(here, after) == 7 and after.sound in MINORS
    if minor_key or here.sound is not Sound.DOMINANT or degree not in (0, 5):
        return False
    if degree == 5 and (here.root - 5) % 12 in rests and heads[at] != at + 1:
        return True
    goal = events[heads[at] % len(events)]
    step = motion(here, goal.chord_class)
    if degree == 0 and step == 5 and here.root in rests:
        return heads[at] != at + 1 or goal.start % PHRASE_BARS != 0
    return step not in FALLS


def _dominant(events: Sequence[Event], heads: Sequence[int], at: int, key: int) -> Interpretation:
    here, minor_key = events[at].chord_class, key >= 12
    degree = (here.root - key) % 12
    root, comes = goal_of(events, heads, at) or (0, False)
    target = (root - key) % 12
    goal = aim(events, heads, at, key)
    back_door = goal is not None and goal != heads[at]
    own = degree == 7 or back_door or (degree == 5 and not minor_key and heads[at] != at + 1)
    if own or not comes or goal is None:
        return Interpretation(numeral(degree, here.sound), "dominant", goal)
    there = events[heads[at] % len(events)].chord_class.sound
    slides = (root - here.root) % 12 == 11
    if slides and serves_a_substitute(events, heads, heads[at], key):
        slides, target = False, (target + 6) % 12
    small = is_small_target(target, minor_key, there)
    found = applied(5, here.sound, target, small=small, substitute=slides)
    return Interpretation(found, "dominant", goal)


def serves_a_substitute(events: Sequence[Event], heads: Sequence[int], goal: int, key: int) -> bool:
    """Whether a dominant's goal stands in, a tritone away, for a V of a degree of the key.

    D7 before D♭7 before C is the V of the G7 that D♭7 stands for, and no substitute itself.
    """
    here = events[goal % len(events)].chord_class
    after = events[heads[goal % len(events)] % len(events)].chord_class
    substitute = here.sound in DOMINANTS and motion(here, after) == 11
    return substitute and is_degree((here.root + 6 - key) % 12, minor_key=key >= 12)


def aim(events: Sequence[Event], heads: Sequence[int], at: int, key: int) -> int | None:
    """The event that a dominant resolves to, None when it is left open.

    A dominant that comes back on the same root aims where that one aims; a suspended one aims at
    the dominant that releases it. ♭VII7 resolves to I, and to iii in its stead, when they stand
    next. What neither falls nor slides nor steps anywhere is left open.
    """
    n, here = len(events), events[at].chord_class
    if _comes_by_the_back_door(events, at, key):
        return at + 1
    goal = heads[at]
    for _ in range(n):
        there = events[goal % n].chord_class
        if there.root != here.root or there.sound not in DOMINANTS:
            break
        if here.sound is Sound.SUSPENDED and there.sound is not Sound.SUSPENDED:
            return goal
        goal = heads[goal % n] + goal // n * n
    return None if motion(here, events[goal % n].chord_class) in OPEN_MOTIONS else goal


def _comes_by_the_back_door(events: Sequence[Event], at: int, key: int) -> bool:
    here, after = events[at].chord_class, events[(at + 1) % len(events)].chord_class
    if key >= 12 or (here.root - key) % 12 != 10:
        return False
    degree = (after.root - key) % 12
    return degree == 0 or (degree == 4 and after.sound in MINORS)


def _minor(events: Sequence[Event], heads: Sequence[int], at: int, key: int) -> Interpretation:
    here, minor_key = events[at].chord_class, key >= 12
    degree = (here.root - key) % 12
    plain = Interpretation(numeral(degree, here.sound), plain_role(degree, here.sound, minor_key))
    there = heads[at] % len(events)
    if not is_two_five(here, events[there].chord_class):
        return plain
    root, comes = goal_of(events, heads, there) or (0, False)
    target = (root - key) % 12
    own = degree == 5 or _fit(here.sound, degree, minor_key) <= OWN_NUMERAL
    if target == 0 or own or not comes:
        return Interpretation(plain.numeral, "predominant")
    reached = events[heads[there] % len(events)].chord_class.sound
    small = is_small_target(target, minor_key, reached)
    return Interpretation(applied(2, here.sound, target, small=small), "predominant")


@lru_cache(maxsize=512)
def _fit(sound: Sound, degree: int, minor_key: bool) -> float:
    return degree_prices((MINOR_FIT if minor_key else MAJOR_FIT)[sound])[degree]
