"""The price of each chord in each key, by the cheapest function that it can have there.

Takes events and the arcs of preparation, gives a table events × 24 (`function_prices`). Keys are
numbered by tonic (0 to 11, 0 is C) for major, the same plus 12 for minor. A chord's
functions are: chord of the key itself, applied dominant or tritone substitute of a degree, related
ii of such a dominant, and the tonic or dominant of a cadence, which lowers the price.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING, Final, TypeAlias

import numpy as np

from ...grammar.numeral import ROMAN
from ...grammar.pitch import Tone, accidental_text
from .chord_class import (
    DOMINANTS,
    FALLS,
    MAJORS,
    MINORS,
    Sound,
    is_two_five,
    motion,
)
from .events import Event
from .numerals import DEGREES as TONES
from .weights import MAJOR_APPLIED, MAJOR_FIT, MINOR_APPLIED, MINOR_FIT, WEIGHTS

if TYPE_CHECKING:
    from numpy.typing import NDArray

Table: TypeAlias = "NDArray[np.float64]"

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


def rest_prices(events: Sequence[Event]) -> Table:
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
