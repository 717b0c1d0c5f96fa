"""The functions of chords in keys: the price of each, and the function of a chord in its local key.

Takes events and the arcs of preparation. `function_prices` gives a table events × 24, the price of
the cheapest function; `interpret` gives the numeral, role and goal of each event in its local key.
Keys are numbered by tonic (0 to 11, 0 is C) for major, the same plus 12 for minor. A chord's
functions are: chord of the key itself, applied dominant or tritone substitute of a degree, related
ii of such a dominant, and the tonic or dominant of a cadence, which lowers the price.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ...grammar.numeral import ROMAN, Numeral
from ...grammar.pitch import Tone, accidental_text
from .chord_class import (
    DOMINANTS,
    FALLS,
    MAJORS,
    MINORS,
    SUPERTONICS,
    Sound,
    is_two_five,
    motion,
)
from .events import Event
from .numerals import DEGREES as TONES
from .numerals import applied, is_degree, is_small_target, numeral, plain_role
from .weights import MAJOR_APPLIED, MAJOR_FIT, MINOR_APPLIED, MINOR_FIT, WEIGHTS

Table = NDArray[np.float64]

#: The minimum length in bars of a chord that counts as a I for its length alone.
STANDING_BARS: Final = 4.0
#: Semitones above the tonic of the degrees that `weights` names.
DEGREES: Final = {
    f"{accidental_text(tone.alteration)}{ROMAN[tone.degree - 1]}": tone.semitones
    for tone in (*TONES, Tone(1, 1), Tone(2, 1), Tone(5, 1))
}
KEYS: Final = 24


def degree_prices(text: str) -> list[float]:
    """Twelve prices by semitones above the tonic, from a line of the table (`V .0 I 1.0 …`)."""
    entries = text.split()
    prices = [WEIGHTS.foreign] * 12
    for name, price in zip(entries[::2], entries[1::2], strict=True):
        prices[DEGREES[name]] = float(price)
    return prices


def _by_root(major: list[float], minor: list[float]) -> Table:
    """table[root, key] from prices by degree."""
    roots, tonics = np.arange(12)[:, None], np.arange(12)[None, :]
    degree = (roots - tonics) % 12
    return np.concatenate([np.array(major)[degree], np.array(minor)[degree]], axis=1)


@cache
def _fit_tables() -> tuple[Table, Table]:
    """fit[sound, root, key] and applied[target root, key]."""
    fit = [
        _by_root(degree_prices(MAJOR_FIT[sound]), degree_prices(MINOR_FIT[sound]))
        for sound in Sound
    ]
    targets = _by_root(degree_prices(MAJOR_APPLIED), degree_prices(MINOR_APPLIED))
    return np.stack(fit), targets


def weight_of(bars: float) -> float:
    """The weight of a chord of that many bars.

    It is the square root of the length, because the second bar of a chord is weaker evidence than
    the first. Beyond four bars it is linear: a chord that lasts a whole section is its own key.
    """
    return max(0.5, float(np.sqrt(bars))) if bars <= 4 else bars / 2


def goal_of(events: Sequence[Event], heads: Sequence[int], at: int) -> tuple[int, bool] | None:
    """The root that a dominant aims at and whether it follows; None for any other chord."""
    here = events[at].chord_class
    if here.sound not in DOMINANTS and here.sound is not Sound.DIMINISHED:
        return None
    there = events[heads[at] % len(events)].chord_class
    step = motion(here, there)
    if here.sound is Sound.DIMINISHED:
        return (there.root, True) if step == 1 else None
    if step in FALLS:
        return there.root, True
    if step == 0 and there.sound in DOMINANTS and heads[at] % len(events) != at:
        return (here.root + 5) % 12, True
    return (here.root + 5) % 12, False


def function_prices(events: Sequence[Event], heads: Sequence[int]) -> Table:
    """prices[event, key], weighted by length, less the rewards of cadences."""
    fit, targets = _fit_tables()
    sounds = [event.chord_class.sound for event in events]
    roots = [event.chord_class.root for event in events]
    prices = fit[sounds, roots]
    # For chords that prepare a degree: the event, the root it aims at, and the extra price.
    places, aims, extras = [], [], []
    for at in range(len(events)):
        goal = goal_of(events, heads, at)
        if goal is None:
            continue
        root, follows = goal
        extra = 0.0 if follows else WEIGHTS.unresolved
        if (root - roots[at]) % 12 == 11:
            extra += WEIGHTS.tritone
        places.append(at)
        aims.append(root)
        extras.append(extra)
        if at and is_two_five(events[at - 1].chord_class, events[at].chord_class):
            places.append(at - 1)
            aims.append(root)
            extras.append(extra + WEIGHTS.related_ii)
    np.minimum.at(prices, places, targets[aims] + np.array(extras)[:, None])
    _reduce_vamps(prices, events)
    _reduce_standing(prices, events)
    lengths = np.array([weight_of(event.bars) for event in events])
    prices *= lengths[:, None]
    _reduce_cadences(prices, events, heads, lengths)
    return prices


def rest_prices(events: Sequence[Event], heads: Sequence[int]) -> Table:
    """rest[event, tonic]: the price of a seventh chord at rest as I7 or IV7 on each tonic.

    It is infinite for other chords. A I7 that its own V reaches has the reward of a cadence.
    """
    prices = np.full((len(events), 12), np.inf)
    for at, event in enumerate(events):
        if event.chord_class.sound is not Sound.DOMINANT:
            continue
        root, length = event.chord_class.root, weight_of(event.bars)
        prices[at, [root, (root - 5) % 12]] = WEIGHTS.resting * length
        before = events[at - 1].chord_class
        if at and before.sound in DOMINANTS and motion(before, event.chord_class) in FALLS:
            prices[at, root] -= WEIGHTS.cadence * length
    return prices


def _reduce_vamps(prices: Table, events: Sequence[Event]) -> None:
    """Lower the price of IV7 between the i7s of a minor vamp."""
    for at in range(1, len(events)):
        before, here = events[at - 1].chord_class, events[at].chord_class
        if here.sound is not Sound.DOMINANT or not is_two_five(before, here):
            continue
        if _is_vamp(events, at):
            minor = before.root + 12
            prices[at, minor] = min(prices[at, minor], WEIGHTS.vamping)


def _reduce_standing(prices: Table, events: Sequence[Event]) -> None:
    for at, event in enumerate(events):
        after = events[(at + 1) % len(events)]
        if event.bars < STANDING_BARS or is_two_five(event.chord_class, after.chord_class):
            continue
        if event.chord_class.sound in MAJORS:
            prices[at, event.chord_class.root] -= WEIGHTS.standing
        elif event.chord_class.sound in MINORS:
            prices[at, event.chord_class.root + 12] -= WEIGHTS.standing


def _is_vamp(events: Sequence[Event], at: int) -> bool:
    """Whether a V moves back to its ii: a vamp, which is no evidence of a key."""
    return at + 1 < len(events) and events[at + 1].chord_class == events[at - 1].chord_class


def _reduce_cadences(
    prices: Table, events: Sequence[Event], heads: Sequence[int], lengths: Table
) -> None:
    n = len(events)
    for at, event in enumerate(events):
        goal = goal_of(events, heads, at)
        if goal is None:
            continue
        tonic, follows = goal
        with_ii = at > 0 and is_two_five(events[at - 1].chord_class, event.chord_class)
        half_dim = with_ii and events[at - 1].chord_class.sound is Sound.HALF_DIMINISHED
        dark = half_dim or event.chord_class.dark
        if with_ii and not _is_vamp(events, at):
            pay = WEIGHTS.open_two_five * min(1.0, lengths[at])
            prices[at, tonic] -= pay - (WEIGHTS.minor_colour if dark else 0)
            prices[at, tonic + 12] -= pay - (0 if dark else WEIGHTS.minor_colour)
        there = heads[at] % n
        if not follows or heads[at] >= n:
            continue
        target = events[there].chord_class
        pay = (WEIGHTS.cadence + (WEIGHTS.cadence_with_ii if with_ii else 0)) * lengths[there]
        if target.root == tonic and target.sound in MAJORS:
            prices[there, tonic] -= pay
        elif target.root == tonic and target.sound in MINORS:
            light = 0.6 if target.sound is Sound.MINOR_7 else 1.0
            prices[there, tonic + 12] -= pay * light


#: A minor chord that costs no more than this in the key keeps its own numeral before a dominant.
OWN_NUMERAL = 0.5

#: I7 aims at a IV7 that opens a phrase of this many bars, if it lasts no longer than
#: `APPLIED_BARS`; else it is at rest. In the first four bars of
#: a blues at most the last is V7/IV.
PHRASE_BARS, APPLIED_BARS = 4, 1

#: Semitones from a dominant's root up to roots that cannot be its goal.
OPEN_MOTIONS = (0, 3, 4, 6, 8)


@dataclass(frozen=True, slots=True)
class Interpretation:
    """Numeral and role of one event, and the event that it resolves to, or None."""

    numeral: Numeral
    role: str
    goal: int | None = None


def interpret(
    events: Sequence[Event],
    heads: Sequence[int],
    local: Sequence[int],
    rests: frozenset[int] = frozenset(),
) -> tuple[Interpretation, ...]:
    """The interpretation of each event, in order; `rests`: tonics that are seventh chords."""
    return tuple(_interpretation(events, heads, at, local[at], rests) for at in range(len(events)))


def _interpretation(
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
    is_seventh = goal.chord_class.sound in DOMINANTS
    if degree == 0 and step == 5 and here.root in rests and is_seventh:
        is_long = events[at].bars > APPLIED_BARS
        return is_long or heads[at] != at + 1 or goal.start % PHRASE_BARS != 0
    return step not in FALLS


def _dominant(events: Sequence[Event], heads: Sequence[int], at: int, key: int) -> Interpretation:
    here, minor_key = events[at].chord_class, key >= 12
    degree = (here.root - key) % 12
    root, follows = goal_of(events, heads, at) or (0, False)
    target = (root - key) % 12
    goal = aim(events, heads, at, key)
    is_backdoor = goal is not None and goal != heads[at]
    own = degree == 7 or is_backdoor or (degree == 5 and not minor_key and heads[at] != at + 1)
    if own or not follows or goal is None:
        return Interpretation(numeral(degree, here.sound), "dominant", goal)
    there = events[heads[at] % len(events)].chord_class.sound
    is_substitute = (root - here.root) % 12 == 11
    if is_substitute and serves_a_substitute(events, heads, heads[at], key):
        is_substitute, target = False, (target + 6) % 12
    small = is_small_target(target, minor_key, there)
    applied_numeral = applied(5, here.sound, target, small=small, substitute=is_substitute)
    return Interpretation(applied_numeral, "dominant", goal)


def serves_a_substitute(events: Sequence[Event], heads: Sequence[int], goal: int, key: int) -> bool:
    """Whether a dominant's goal is a tritone substitute for a V of a degree of the key.

    In D7 D♭7 C, D♭7 is the substitute of G7; D7 is the V of G7 and not a substitute.
    """
    here = events[goal % len(events)].chord_class
    after = events[heads[goal % len(events)] % len(events)].chord_class
    substitute = here.sound in DOMINANTS and motion(here, after) == 11
    return substitute and is_degree((here.root + 6 - key) % 12, minor_key=key >= 12)


def aim(events: Sequence[Event], heads: Sequence[int], at: int, key: int) -> int | None:
    """The event that a dominant resolves to, None when it is left open.

    A dominant before another one on the same root has the goal of that one; a suspended dominant
    aims at the dominant that it resolves into. ♭VII7 resolves to I, or to iii in place of I, if it
    is the next chord. A dominant whose root moves by one of `OPEN_MOTIONS` is left open.
    """
    n, here = len(events), events[at].chord_class
    if _is_backdoor(events, at, key):
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


def _is_backdoor(events: Sequence[Event], at: int, key: int) -> bool:
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
    root, follows = goal_of(events, heads, there) or (0, False)
    target = (root - key) % 12
    own = degree == 5 or _fit(here.sound, degree, minor_key) <= OWN_NUMERAL
    if target == 0 or own or not follows:
        return Interpretation(plain.numeral, "predominant")
    reached = events[heads[there] % len(events)].chord_class.sound
    small = is_small_target(target, minor_key, reached)
    return Interpretation(applied(2, here.sound, target, small=small), "predominant")


@lru_cache(maxsize=512)
def _fit(sound: Sound, degree: int, minor_key: bool) -> float:
    return degree_prices((MINOR_FIT if minor_key else MAJOR_FIT)[sound])[degree]
