"""The key of the tune and the local key of every event, by one exact optimisation.

Takes the price of each event in each key, gives the cheapest reading. The state is a pair, the home
key and the local key; a reading pays for each chord's function in the local key, for each change of
local key, for being away from home, and, once, for what does not speak for its home key. The
Viterbi recursion finds the least sum over all 24 homes and all successions of keys: best
segmentation by dynamic programming after Choi, "Jazz harmonic analysis as optimal tonality
segmentation", *Computer Music Journal* 35(2), 2011, with the home key carried along. The form
starts from home and comes back to it, which closes the loop to the top.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from .functions import KEYS, Table
from .weights import WEIGHTS


@dataclass(frozen=True, slots=True)
class Keys:
    """`home` and the `local` key of each event, with the next best of each and its distance.

    Keys are numbers: the tonic's pitch class for major, 12 more for minor.
    """

    home: int
    home_runner_up: int
    home_margin: float
    local: tuple[int, ...]
    runner_up: tuple[int, ...]
    margin: tuple[float, ...]

    def up(self, semitones: int) -> Keys:
        """The same a number of semitones higher."""
        return replace(
            self,
            home=raised(self.home, semitones),
            home_runner_up=raised(self.home_runner_up, semitones),
            local=tuple(raised(key, semitones) for key in self.local),
            runner_up=tuple(raised(key, semitones) for key in self.runner_up),
        )


def raised(key: int, semitones: int) -> int:
    """A key's number a number of semitones higher."""
    return (key % 12 + semitones) % 12 + key // 12 * 12


@cache
def distances() -> Table:
    """distance[key, key]: steps on the line of fifths between signatures, one more across modes."""
    keys = np.arange(KEYS)
    signature = np.where(keys < 12, keys, keys + 3) % 12 * 7 % 12
    around = (signature[:, None] - signature[None, :]) % 12
    steps = np.minimum(around, 12 - around).astype(float)
    mode = (keys[:, None] < 12) != (keys[None, :] < 12)
    parallel = mode & (keys[:, None] % 12 == keys[None, :] % 12)
    return np.where(parallel, 1.0, steps + mode)


@cache
def changes() -> Table:
    """change[key, key]: the price of going from one local key to another, 0 for staying."""
    change: Table = WEIGHTS.border + WEIGHTS.border_step * distances()
    np.fill_diagonal(change, 0.0)
    change.flags.writeable = False
    return change


@dataclass(frozen=True, slots=True, eq=False)
class Homes:
    """All keys as home, the cheapest first: their numbers in `order`, their least `sums` by number.

    `ways` is the least price of every reading up to an event, as `_sweep` gives it.
    """

    order: tuple[int, ...]
    sums: Table
    ways: NDArray[np.float32]


def best_homes(prices: Table, home_prices: Table, bars: Table) -> Homes:
    """The home keys by the price of the cheapest reading in each.

    `prices` is events × 24, `home_prices` has 24, `bars` the events' lengths.
    """
    change = changes()
    ways = _sweep(prices, change, WEIGHTS.away * distances(), bars)
    sums = (ways[-1] + change).min(axis=0) + home_prices
    return Homes(tuple(np.argsort(sums, kind="stable").tolist()), sums, ways)


def best_keys(prices: Table, home_prices: Table, bars: Table) -> Keys:
    """The cheapest home and local keys, from the same tables as `best_homes`."""
    homes = best_homes(prices, home_prices, bars)
    home, second = homes.order[:2]
    change = changes()
    local = prices + WEIGHTS.away * distances()[home] * bars[:, None]
    way = homes.ways[:, :, home].astype(np.float64)
    path = _trace(way, local, change, change[home])
    runner, margin = _rivals(way + _backward(local, change, change[home]), path)
    return Keys(home, second, float(homes.sums[second] - homes.sums[home]), path, runner, margin)


def _sweep(prices: Table, change: Table, away: Table, bars: Table) -> NDArray[np.float32]:
    """way[event, key, home]: the least price of a reading up to the event, in single precision.

    Homes come last, so that the least over the key before is taken over whole rows.
    """
    apart = away.astype(np.float32) * bars.astype(np.float32)[:, None, None]
    costs = prices.astype(np.float32)[:, :, None] + apart
    moves = np.repeat(change.astype(np.float32)[:, :, None], KEYS, axis=2)
    way = np.empty_like(costs)
    way[0] = change + costs[0]
    through = np.empty_like(moves)
    for at in range(1, len(prices)):
        np.add(moves, way[at - 1][:, None, :], out=through)
        np.minimum.reduce(through, axis=0, out=way[at])
        way[at] += costs[at]
    return way


def _backward(local: Table, change: Table, end: Table) -> Table:
    """behind[event, key]: the least price of what follows the event."""
    behind = np.empty_like(local)
    behind[-1] = end
    for at in range(len(local) - 2, -1, -1):
        behind[at] = (change + (local[at + 1] + behind[at + 1])[None, :]).min(axis=1)
    return behind


def _trace(forward: Table, local: Table, change: Table, end: Table) -> tuple[int, ...]:
    key = int(np.argmin(forward[-1] + end))
    path = [key]
    for at in range(len(local) - 1, 0, -1):
        key = int(np.argmin(forward[at - 1] + change[:, key]))
        path.append(key)
    return tuple(reversed(path))


def _rivals(through: Table, path: tuple[int, ...]) -> tuple[tuple[int, ...], tuple[float, ...]]:
    """For each event the best other key and how much dearer the best reading through it is."""
    rows, chosen = np.arange(len(path)), np.array(path)
    best = through[rows, chosen].copy()
    others = through.copy()
    others[rows, chosen] = np.inf
    rival = others.argmin(axis=1)
    margins = np.maximum(0.0, others[rows, rival] - best)
    return tuple(rival.tolist()), tuple(np.round(margins, 3).tolist())
