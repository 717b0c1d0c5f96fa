"""What each chord costs in each of the 24 keys, its cheapest function taken.

Takes events and the arcs of preparation, gives a table events × 24. Keys are numbered by tonic (0
to 11, 0 is C) for major, the same plus 12 for minor. A chord's functions are: at home in the key,
applied dominant or tritone substitute of a degree, related ii of such a dominant, and the tonic or
dominant of a cadence, which pays back.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from .events import Event
from .sounds import DOMINANTS, MAJORS, MINORS, SUPERTONICS, Sound
from .weights import MAJOR_APPLIED, MINOR_APPLIED, WEIGHTS, Weights

Table = NDArray[np.float64]

DEGREE_NAMES: Final = (
    "I",
    "bII",
    "II",
    "bIII",
    "III",
    "IV",
    "#IV",
    "V",
    "bVI",
    "VI",
    "bVII",
    "VII",
)
_DEGREES: Final = {name: at for at, name in enumerate(DEGREE_NAMES)} | {
    "#I": 1, "#II": 3, "bV": 6, "#V": 8,
}  # fmt: skip
KEYS: Final = 24
#: A chord that lasts so many bars stands still.
STANDING_BARS: Final = 4.0


def degree_prices(text: str, otherwise: float) -> list[float]:
    """A line of the table, `V .0 I 1.0 …`, as twelve prices by semitones above the tonic."""
    words = text.split()
    prices = [otherwise] * 12
    for name, price in zip(words[::2], words[1::2], strict=True):
        prices[_DEGREES[name]] = float(price)
    return prices


def _by_root(major: list[float], minor: list[float]) -> Table:
    """table[root, key] from prices by degree."""
    roots, tonics = np.arange(12)[:, None], np.arange(12)[None, :]
    degree = (roots - tonics) % 12
    return np.concatenate([np.array(major)[degree], np.array(minor)[degree]], axis=1)


@lru_cache(maxsize=4)
def _fit_tables(foreign: float) -> tuple[Table, Table]:
    """fit[sound, root, key] and applied[target root, key]."""
    fit = [
        _by_root(
            degree_prices(WEIGHTS.major_fit[sound], foreign),
            degree_prices(WEIGHTS.minor_fit[sound], foreign),
        )
        for sound in Sound
    ]
    applied = _by_root(degree_prices(MAJOR_APPLIED, foreign), degree_prices(MINOR_APPLIED, foreign))
    return np.stack(fit), applied


def weight_of(bars: float) -> float:
    """How much a chord of that many bars counts.

    By the root of its length: the second bar of a chord says less than the first. Beyond four bars
    by the length itself, for what lasts a whole section is a key of its own.
    """
    return max(0.5, float(np.sqrt(bars))) if bars <= 4 else bars / 2


def goal_of(events: Sequence[Event], heads: Sequence[int], at: int) -> tuple[int, bool] | None:
    """The root that a dominant aims at and whether it comes; None for any other chord."""
    heard = events[at].heard
    if heard.sound not in DOMINANTS and heard.sound is not Sound.DIMINISHED:
        return None
    there = events[heads[at] % len(events)].heard
    motion = (there.root - heard.root) % 12
    if heard.sound is Sound.DIMINISHED:
        return (there.root, True) if motion == 1 else None
    if motion in (5, 11):
        return there.root, True
    if motion == 0 and there.sound in DOMINANTS and heads[at] % len(events) != at:
        return (heard.root + 5) % 12, True
    return (heard.root + 5) % 12, False


def function_prices(events: Sequence[Event], heads: Sequence[int], weights: Weights) -> Table:
    """prices[event, key], weighted by length; cadences are taken off."""
    fit, applied = _fit_tables(weights.foreign)
    sounds = [event.heard.sound for event in events]
    roots = [event.heard.root for event in events]
    prices = fit[sounds, roots]
    # What prepares a degree: which event, the root it aims at, and what it pays on top.
    places, aims, extras = [], [], []
    for at in range(len(events)):
        goal = goal_of(events, heads, at)
        if goal is None:
            continue
        root, comes = goal
        extra = 0.0 if comes else weights.unresolved
        if (root - roots[at]) % 12 == 11:
            extra += weights.tritone
        places.append(at)
        aims.append(root)
        extras.append(extra)
        if at and _is_related_ii(events[at - 1], events[at]):
            places.append(at - 1)
            aims.append(root)
            extras.append(extra + weights.related_ii)
    np.minimum.at(prices, places, applied[aims] + np.array(extras)[:, None])
    _take_rests(prices, events, weights)
    _take_standing(prices, events, weights)
    lengths = np.array([weight_of(event.bars) for event in events])
    prices *= lengths[:, None]
    _take_cadences(prices, events, heads, lengths, weights)
    return prices


def resting_roots(events: Sequence[Event]) -> frozenset[int]:
    """The roots of seventh chords at rest, which are a blues I and not a V.

    They go to another seventh chord and come straight back: anywhere to the one a fourth up (I7 and
    IV7), at the top of the form to any but the one a semitone down, which the first would prepare.
    Or the form opens with eight bars of one seventh chord that does not fall to its I then.
    """
    roots = {events[at].heard.root for at in range(len(events) - 2) if _comes_back(events, at)}
    first, second = events[0], events[1 % len(events)]
    stands = first.heard.sound is Sound.DOMINANT and first.bars >= 2 * STANDING_BARS
    if stands and (second.heard.root - first.heard.root) % 12 != 5:
        roots.add(first.heard.root)
    return frozenset(roots)


def _comes_back(events: Sequence[Event], at: int) -> bool:
    """Whether a seventh chord goes to another and back, a diminished chord between allowed."""
    heard, other = events[at].heard, events[at + 1].heard
    if not heard.sound is other.sound is Sound.DOMINANT:
        return False
    motion = (other.root - heard.root) % 12
    if motion != 5 and (at or motion == 11):
        return False
    back = at + 2
    if events[back].heard.sound is Sound.DIMINISHED and back + 1 < len(events):
        back += 1
    return events[back].heard.root == heard.root and events[back].heard.sound is Sound.DOMINANT


def _take_rests(prices: Table, events: Sequence[Event], weights: Weights) -> None:
    """Sevenths at rest: I7 and IV7 of a blues, IV7 of a minor vamp that goes back to its i7."""
    rests = resting_roots(events)
    for at, event in enumerate(events):
        if event.heard.sound is not Sound.DOMINANT:
            continue
        for tonic in (event.heard.root, (event.heard.root - 5) % 12):
            if tonic in rests:
                prices[at, tonic] = min(prices[at, tonic], weights.resting)
        if at and _is_related_ii(events[at - 1], event) and _swings_back(events, at):
            minor = events[at - 1].heard.root + 12
            prices[at, minor] = min(prices[at, minor], weights.vamping)


def _take_standing(prices: Table, events: Sequence[Event], weights: Weights) -> None:
    for at, event in enumerate(events):
        if event.bars < STANDING_BARS or _is_related_ii(event, events[(at + 1) % len(events)]):
            continue
        if event.heard.sound in MAJORS:
            prices[at, event.heard.root] -= weights.standing
        elif event.heard.sound in MINORS:
            prices[at, event.heard.root + 12] -= weights.standing


def _is_related_ii(first: Event, second: Event) -> bool:
    if first.heard.sound not in SUPERTONICS or second.heard.sound not in DOMINANTS:
        return False
    return (second.heard.root - first.heard.root) % 12 in (5, 11)


def _swings_back(events: Sequence[Event], at: int) -> bool:
    """Whether a V goes straight back to its ii: a vamp, which names no key by itself."""
    return at + 1 < len(events) and events[at + 1].heard == events[at - 1].heard


def _take_cadences(
    prices: Table, events: Sequence[Event], heads: Sequence[int], lengths: Table, weights: Weights
) -> None:
    n = len(events)
    for at, event in enumerate(events):
        goal = goal_of(events, heads, at)
        if goal is None:
            continue
        tonic, comes = goal
        with_ii = at > 0 and _is_related_ii(events[at - 1], event)
        half_dim = with_ii and events[at - 1].heard.sound is Sound.HALF_DIMINISHED
        dark = half_dim or event.heard.dark
        if with_ii and not _swings_back(events, at):
            pay = weights.open_two_five * min(1.0, lengths[at])
            prices[at, tonic] -= pay - (weights.minor_colour if dark else 0)
            prices[at, tonic + 12] -= pay - (0 if dark else weights.minor_colour)
        there = heads[at] % n
        if not comes or heads[at] >= n:
            continue
        target = events[there].heard
        pay = (weights.cadence + (weights.cadence_with_ii if with_ii else 0)) * lengths[there]
        if target.root == tonic and target.sound in MAJORS:
            prices[there, tonic] -= pay
        elif target.root == tonic and target.sound in MINORS:
            light = 0.6 if target.sound is Sound.MINOR_7 else 1.0
            prices[there, tonic + 12] -= pay * light
