"""What each chord costs in each of the 24 keys, its cheapest function taken.

Takes events and the arcs of preparation, gives a table events × 24. Keys are numbered by tonic (0
to 11, 0 is C) for major, the same plus 12 for minor. A chord's functions are: at home in the key,
applied dominant or tritone substitute of a degree, related ii of such a dominant, and the tonic or
dominant of a cadence, which pays back.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ...grammar.numeral import ROMAN
from ...grammar.pitch import Tone, accidental_text
from .events import DOMINANTS, FALLS, MAJORS, MINORS, Event, Sound, is_two_five, motion
from .numerals import DEGREES as TONES
from .weights import MAJOR_APPLIED, MAJOR_FIT, MINOR_APPLIED, MINOR_FIT, WEIGHTS

Table = NDArray[np.float64]

#: Semitones above the tonic of the degrees that `weights` names.
DEGREES: Final = {
    f"{accidental_text(tone.alteration)}{ROMAN[tone.degree - 1]}": tone.semitones
    for tone in (*TONES, Tone(1, 1), Tone(2, 1), Tone(5, 1))
}
KEYS: Final = 24
#: A chord that lasts so many bars stands still.
STANDING_BARS: Final = 4.0


def degree_prices(text: str) -> list[float]:
    """A line of the table, `V .0 I 1.0 …`, as twelve prices by semitones above the tonic."""
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
    applied = _by_root(degree_prices(MAJOR_APPLIED), degree_prices(MINOR_APPLIED))
    return np.stack(fit), applied


def weight_of(bars: float) -> float:
    """How much a chord of that many bars counts.

    By the root of its length: the second bar of a chord says less than the first. Beyond four bars
    by the length itself, for what lasts a whole section is a key of its own.
    """
    return max(0.5, float(np.sqrt(bars))) if bars <= 4 else bars / 2


def goal_of(events: Sequence[Event], heads: Sequence[int], at: int) -> tuple[int, bool] | None:
    """The root that a dominant aims at and whether it comes; None for any other chord."""
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
    """prices[event, key], weighted by length; cadences are taken off."""
    fit, applied = _fit_tables()
    sounds = [event.chord_class.sound for event in events]
    roots = [event.chord_class.root for event in events]
    prices = fit[sounds, roots]
    # What prepares a degree: which event, the root it aims at, and what it pays on top.
    places, aims, extras = [], [], []
    for at in range(len(events)):
        goal = goal_of(events, heads, at)
        if goal is None:
            continue
        root, comes = goal
        extra = 0.0 if comes else WEIGHTS.unresolved
        if (root - roots[at]) % 12 == 11:
            extra += WEIGHTS.tritone
        places.append(at)
        aims.append(root)
        extras.append(extra)
        if at and is_two_five(events[at - 1].chord_class, events[at].chord_class):
            places.append(at - 1)
            aims.append(root)
            extras.append(extra + WEIGHTS.related_ii)
    np.minimum.at(prices, places, applied[aims] + np.array(extras)[:, None])
    _take_rests(prices, events)
    _take_standing(prices, events)
    lengths = np.array([weight_of(event.bars) for event in events])
    prices *= lengths[:, None]
    _take_cadences(prices, events, heads, lengths)
    return prices


def resting_roots(events: Sequence[Event]) -> frozenset[int]:
    """The roots of seventh chords at rest, which are a blues I and not a V.

    They go to another seventh chord and come straight back: anywhere to the one a fourth up (I7 and
    IV7), at the top of the form to any but the one a semitone down, which the first would prepare.
    Or the form opens with eight bars of one seventh chord that does not fall to its I then.
    """
    roots = {
        events[at].chord_class.root for at in range(len(events) - 2) if _comes_back(events, at)
    }
    first, second = events[0], events[1 % len(events)]
    stands = first.chord_class.sound is Sound.DOMINANT and first.bars >= 2 * STANDING_BARS
    if stands and motion(first.chord_class, second.chord_class) != 5:
        roots.add(first.chord_class.root)
    return frozenset(roots)


def _comes_back(events: Sequence[Event], at: int) -> bool:
    """Whether a seventh chord goes to another and back, a diminished chord between allowed."""
    here, other = events[at].chord_class, events[at + 1].chord_class
    if not here.sound is other.sound is Sound.DOMINANT:
        return False
    step = motion(here, other)
    if step != 5 and (at or step == 11):
        return False
    back = at + 2
    if events[back].chord_class.sound is Sound.DIMINISHED and back + 1 < len(events):
        back += 1
    return (
        events[back].chord_class.root == here.root
        and events[back].chord_class.sound is Sound.DOMINANT
    )


def _take_rests(prices: Table, events: Sequence[Event]) -> None:
    """Sevenths at rest: I7 and IV7 of a blues, IV7 of a minor vamp that goes back to its i7."""
    rests = resting_roots(events)
    for at, event in enumerate(events):
        if event.chord_class.sound is not Sound.DOMINANT:
            continue
        for tonic in (event.chord_class.root, (event.chord_class.root - 5) % 12):
            if tonic in rests:
                prices[at, tonic] = min(prices[at, tonic], WEIGHTS.resting)
        if (
            at
            and is_two_five(events[at - 1].chord_class, event.chord_class)
            and _swings_back(events, at)
        ):
            minor = events[at - 1].chord_class.root + 12
            prices[at, minor] = min(prices[at, minor], WEIGHTS.vamping)


def _take_standing(prices: Table, events: Sequence[Event]) -> None:
    for at, event in enumerate(events):
        after = events[(at + 1) % len(events)]
        if event.bars < STANDING_BARS or is_two_five(event.chord_class, after.chord_class):
            continue
        if event.chord_class.sound in MAJORS:
            prices[at, event.chord_class.root] -= WEIGHTS.standing
        elif event.chord_class.sound in MINORS:
            prices[at, event.chord_class.root + 12] -= WEIGHTS.standing


def _swings_back(events: Sequence[Event], at: int) -> bool:
    """Whether a V goes straight back to its ii: a vamp, which names no key by itself."""
    return at + 1 < len(events) and events[at + 1].chord_class == events[at - 1].chord_class


def _take_cadences(
    prices: Table, events: Sequence[Event], heads: Sequence[int], lengths: Table
) -> None:
    n = len(events)
    for at, event in enumerate(events):
        goal = goal_of(events, heads, at)
        if goal is None:
            continue
        tonic, comes = goal
        with_ii = at > 0 and is_two_five(events[at - 1].chord_class, event.chord_class)
        half_dim = with_ii and events[at - 1].chord_class.sound is Sound.HALF_DIMINISHED
        dark = half_dim or event.chord_class.dark
        if with_ii and not _swings_back(events, at):
            pay = WEIGHTS.open_two_five * min(1.0, lengths[at])
            prices[at, tonic] -= pay - (WEIGHTS.minor_colour if dark else 0)
            prices[at, tonic + 12] -= pay - (0 if dark else WEIGHTS.minor_colour)
        there = heads[at] % n
        if not comes or heads[at] >= n:
            continue
        target = events[there].chord_class
        pay = (WEIGHTS.cadence + (WEIGHTS.cadence_with_ii if with_ii else 0)) * lengths[there]
        if target.root == tonic and target.sound in MAJORS:
            prices[there, tonic] -= pay
        elif target.root == tonic and target.sound in MINORS:
            light = 0.6 if target.sound is Sound.MINOR_7 else 1.0
            prices[there, tonic + 12] -= pay * light
