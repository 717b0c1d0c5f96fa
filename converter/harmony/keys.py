"""The key of the tune and the local key of every event, by one exact optimisation.

Takes events and the price of each in each key, gives `Keys`. Keys are numbered 0 to 11 for major by
tonic, 12 more for minor; `key_named` spells a key to match the spelling of the roots, so that
respelling a tune changes only names.

The state of the search is the pair of home and local key; a home is a key, or a major key whose
tonic is a seventh chord (24 to 35). The price of a reading is the sum of the price of each chord's
function in the local key, of each change of local key, of each bar outside the home key and, once,
of the home key. The Viterbi recursion finds the least sum over all 36 homes and all successions of
local keys: segmentation by dynamic programming after Choi, "Jazz harmonic analysis as optimal
tonality segmentation", *Computer Music Journal* 35(2), 2011, with the home key added to the state.
The form starts and ends in the home key, so that it can loop to the top.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Final

import numpy as np

from ...grammar.frozen import frozen
from ...grammar.key import Key, Mode, keys_on
from ...grammar.pitch import PitchName
from .chord_class import Sound, is_two_five
from .events import Event
from .functions import KEYS, STANDING_BARS, Table
from .metre import Phrase
from .weights import WEIGHTS

if TYPE_CHECKING:
    from numpy.typing import NDArray

#: The maximum number of accidentals in the signature of a key name.
MOST_FIFTHS: Final = 6


def middle_of(roots: Iterable[PitchName]) -> float:
    """The mean position of the roots on the line of fifths; 0 without roots."""
    positions = [root.fifths for root in roots]
    return sum(positions) / len(positions) if positions else 0.0


def key_number(key: Key) -> int:
    """0 to 11 for major by tonic, 12 to 23 for minor."""
    return key.tonic.pitch_class + (12 if key.tonality == "minor" else 0)


def key_named(number: int, middle: float, mode: Mode | None = None) -> Key:
    """The key of a number (minor: tonic + 12), spelled nearest to a position on that line.

    `mode` is its mode if that is neither major nor minor.
    """
    usual: Mode = "minor" if number >= 12 else "major"
    choices = _choices(number % 12, mode or usual)
    return min(choices, key=lambda choice: abs(choice[0] - middle))[1]


@lru_cache(maxsize=128)
def _choices(number: int, mode: Mode) -> tuple[tuple[int, Key], ...]:
    """The usable names with their signatures, the fewest accidentals first."""
    keys = sorted(keys_on(number, mode), key=lambda key: abs(key.fifths))
    return tuple((key.fifths, key) for key in keys if abs(key.fifths) <= MOST_FIFTHS)


@frozen
class Keys:
    """`home` and the `local` key of each event, with the next best of each and its extra price.

    Keys are numbers: the tonic's pitch class for major, 12 more for minor. `seventh` tells whether
    the tonic of the home key is a seventh chord; `sums` has the least price in each key as home.
    """

    home: int
    seventh: bool
    sums: tuple[float, ...]
    local: tuple[int, ...]
    runner_up: tuple[int, ...]
    margin: tuple[float, ...]

    def up(self, semitones: int) -> Keys:
        """The same keys a number of semitones higher."""
        return replace(
            self,
            home=raised(self.home, semitones),
            sums=tuple(self.sums[raised(key, -semitones)] for key in range(KEYS)),
            local=tuple(raised(key, semitones) for key in self.local),
            runner_up=tuple(raised(key, semitones) for key in self.runner_up),
        )


@frozen
class Hearing:
    """The `key` that the chords speak for, its `rival`, and how sure that is.

    `margin` is the extra price of the rival, `confidence` the share of the key among all keys.
    """

    key: int
    rival: int
    margin: float
    confidence: float


def hearing(sums: Sequence[float], first: int) -> Hearing:
    """The cheapest key as home and the next one; ties go by the interval from the root `first`."""
    order = sorted(range(KEYS), key=lambda key: (round(sums[key], 4), raised(key, -first)))
    shares = np.exp((sums[order[0]] - np.array(sums)) / WEIGHTS.confidence)
    margin = sums[order[1]] - sums[order[0]]
    return Hearing(order[0], order[1], margin, float(1 / shares.sum()))


def raised(key: int, semitones: int) -> int:
    """The number of the key a number of semitones higher."""
    return (key % 12 + semitones) % 12 + key // 12 * 12


@cache
def distances() -> Table:
    """distance[key, key]: fifths between the signatures, plus one between a major and a minor."""
    keys = np.arange(KEYS)
    signature = np.where(keys < 12, keys, keys + 3) % 12 * 7 % 12
    around = (signature[:, None] - signature[None, :]) % 12
    steps = np.minimum(around, 12 - around).astype(float)
    mode = (keys[:, None] < 12) != (keys[None, :] < 12)
    parallel = mode & (keys[:, None] % 12 == keys[None, :] % 12)
    return np.where(parallel, 1.0, steps + mode)


@cache
def changes() -> Table:
    """change[key, key]: the price of a change of local key, 0 on the diagonal."""
    change: Table = WEIGHTS.border + WEIGHTS.border_step * distances()
    np.fill_diagonal(change, 0.0)
    change.flags.writeable = False
    return change


@frozen(eq=False)
class Homes:
    """All homes, the cheapest first: their numbers in `order`, their least `sums` by number.

    `costs` and `ways` are tables [event, key, home]: the price of an event, and the least price of
    a reading up to it.
    """

    order: tuple[int, ...]
    sums: Table
    costs: NDArray[np.float32]
    ways: NDArray[np.float32]


def borders(events: Sequence[Event], phrases: Sequence[Phrase]) -> Table:
    """factor[event]: what the price of a change of key before the event is multiplied by.

    A change is cheaper where a phrase or its second half starts, and impossible between a ii and
    its V, where the factor is infinite. A minor sixth chord and one of `STANDING_BARS` are a i
    before they are a ii.
    """
    starts = {start for phrase in phrases for start in (phrase.start, phrase.middle)}
    factors = np.ones(len(events))
    for at, event in enumerate(events):
        if at and _is_unit(events[at - 1], event):
            factors[at] = np.inf
        elif event.start in starts:
            factors[at] = WEIGHTS.border_at_phrase
    return factors


def _is_unit(here: Event, after: Event) -> bool:
    """Whether two chords are a ii and its V that no stated key parts."""
    is_tonic = here.chord_class.sound is Sound.MINOR_6 or here.bars >= STANDING_BARS
    two_five = is_two_five(here.chord_class, after.chord_class)
    return two_five and not is_tonic and here.settled == after.settled


def best_homes(
    prices: Table, rests: Table, home_prices: Table, bars: Table, borders: Table
) -> Homes:
    """The homes by the price of the cheapest reading in each.

    `prices` is events × 24; `rests` is events × 12, the price of an event in its home if that has
    a seventh chord as tonic; `home_prices` has 36, `bars` the events' lengths, `borders` the
    factors of changes before each event.
    """
    change = changes()
    apart = (WEIGHTS.away * distances()[:, _KEY_OF_HOME]).astype(np.float32)
    lengths = bars.astype(np.float32)[:, None, None]
    costs = prices.astype(np.float32)[:, :, None] + apart * lengths
    tonics = np.arange(12)
    costs[:, tonics, tonics + KEYS] = np.minimum(prices[:, :12], rests)
    ways = _sweep(costs, borders)
    sums = (ways[-1] + change[:, _KEY_OF_HOME]).min(axis=0) + home_prices
    return Homes(tuple(np.argsort(sums, kind="stable").tolist()), sums, costs, ways)


#: The key of each home.
_KEY_OF_HOME: Final = np.array([*range(KEYS), *range(12)])


def best_keys(prices: Table, rests: Table, home_prices: Table, bars: Table, borders: Table) -> Keys:
    """The cheapest home and local keys, from the same tables as `best_homes`."""
    homes = best_homes(prices, rests, home_prices, bars, borders)
    best = homes.order[0]
    home = int(_KEY_OF_HOME[best])
    change = changes()
    local = homes.costs[:, :, best].astype(np.float64)
    way = homes.ways[:, :, best].astype(np.float64)
    path = _trace(way, borders, change, change[home])
    behind = _backward(local, borders, change, change[home])
    runner, margin = _runners_up(way + behind, path)
    sums = homes.sums[:KEYS].copy()
    sums[:12] = np.minimum(sums[:12], homes.sums[KEYS:])
    return Keys(home, best >= KEYS, tuple(sums.tolist()), path, runner, margin)


@lru_cache(maxsize=16)
def _moves(factor: float) -> NDArray[np.float32]:
    """move[before, key, home]: the price of a change, the same for every home."""
    change = (factor * changes()).astype(np.float32)
    moves = np.repeat(change[:, :, None], len(_KEY_OF_HOME), axis=2)
    moves.flags.writeable = False
    return moves


def _sweep(costs: NDArray[np.float32], borders: Table) -> NDArray[np.float32]:
    """way[event, key, home]: the least price of a reading up to the event, in single precision.

    The home is the last axis, so that the minimum over the previous key runs over whole rows.
    """
    way = np.empty_like(costs)
    way[0] = changes()[:, _KEY_OF_HOME] + costs[0]
    through = np.empty((KEYS, *costs.shape[1:]), dtype=np.float32)
    for at, factor in enumerate(borders.tolist()[1:], 1):
        if factor == np.inf:
            np.add(way[at - 1], costs[at], out=way[at])
        else:
            np.add(_moves(factor), way[at - 1][:, None, :], out=through)
            np.minimum.reduce(through, axis=0, out=way[at])
            way[at] += costs[at]
    return way


def _backward(local: Table, borders: Table, change: Table, end: Table) -> Table:
    """behind[event, key]: the least price of what follows the event."""
    behind = np.empty_like(local)
    behind[-1] = end
    factors = borders.tolist()
    moves = {factor: factor * change for factor in set(factors) - {np.inf}}
    for at in range(len(local) - 2, -1, -1):
        after, factor = local[at + 1] + behind[at + 1], factors[at + 1]
        behind[at] = after if factor == np.inf else (moves[factor] + after).min(axis=1)
    return behind


def _trace(forward: Table, borders: Table, change: Table, end: Table) -> tuple[int, ...]:
    key = int(np.argmin(forward[-1] + end))
    path = [key]
    factors = borders.tolist()
    for at in range(len(forward) - 1, 0, -1):
        if factors[at] != np.inf:
            key = int((forward[at - 1] + factors[at] * change[key]).argmin())
        path.append(key)
    return tuple(reversed(path))


def _runners_up(through: Table, path: tuple[int, ...]) -> tuple[tuple[int, ...], tuple[float, ...]]:
    """For each event the next best key and the extra price of the best reading through it."""
    rows, chosen = np.arange(len(path)), np.array(path)
    best = through[rows, chosen].copy()
    others = through.copy()
    others[rows, chosen] = np.inf
    rival = others.argmin(axis=1)
    margins = np.maximum(0.0, others[rows, rival] - best)
    return tuple(rival.tolist()), tuple(np.round(margins, 3).tolist())
