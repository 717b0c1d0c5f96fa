"""The two searches are exact: against brute force over everything that they choose from."""

from __future__ import annotations

import itertools
import random

import numpy as np
import pytest
from midneck.converter.harmony.chord_class import ChordClass, Sound
from midneck.converter.harmony.events import Event
from midneck.converter.harmony.keys import best_keys, distances
from midneck.converter.harmony.preparation import REACH, cheapest_arcs, prepared
from midneck.converter.harmony.weights import WEIGHTS


def events(*sounds: tuple[int, Sound]) -> list[Event]:
    return [
        Event(ChordClass(root, sound, root), (at,), float(at), 1.0, 0)
        for at, (root, sound) in enumerate(sounds)
    ]


@pytest.mark.parametrize("seed", range(12))
def test_keys_are_the_cheapest_of_all_successions_under_all_homes(seed: int) -> None:
    chance = np.random.default_rng(seed)
    prices, homes = chance.random((3, 24)) * 8, chance.random(36) * 4
    rests = np.where(chance.random((3, 12)) < 0.5, chance.random((3, 12)) * 4, np.inf)
    bars, borders = np.array([1.0, 0.5, 2.0]), chance.choice([0.5, 1.0, np.inf], 3)
    steps = distances()
    change = WEIGHTS.border + WEIGHTS.border_step * steps
    np.fill_diagonal(change, 0.0)
    best = None
    for number in range(36):
        home = number % 24
        local = prices + WEIGHTS.away * steps[home] * bars[:, None]
        if number >= 24:
            local[:, home] = np.minimum(local[:, home], rests[:, home])
        first = change[home] + local[0]
        sums = (
            first[:, None, None] + scaled(change, borders[1])[:, :, None] + local[1][None, :, None]
            + scaled(change, borders[2])[None, :, :] + local[2] + change[home][None, None, :]
        )  # fmt: skip
        path = np.unravel_index(sums.argmin(), sums.shape)
        price = sums.min() + homes[number]
        if best is None or price < best[0]:
            best = (price, home, number >= 24, tuple(int(key) for key in path))
    found = best_keys(prices, rests, homes, bars, borders)
    assert best is not None
    assert (found.home, found.seventh, found.local) == best[1:]


def scaled(change: np.ndarray, factor: float) -> np.ndarray:
    """The price of changes times a factor, which may be infinite; to stay costs nothing."""
    return np.where(change > 0, np.maximum(change, 1e-9) * factor, 0.0)


@pytest.mark.parametrize("seed", range(8))
def test_the_margin_is_what_the_best_reading_through_the_rival_costs_more(seed: int) -> None:
    chance = np.random.default_rng(seed)
    prices, bars = chance.random((4, 24)) * 6, np.ones(4)
    rests, plain = np.full((4, 12), np.inf), np.append(np.zeros(24), np.full(12, 1000.0))
    found = best_keys(prices, rests, plain, bars, bars)
    for at in range(4):
        barred = prices.copy()
        barred[at, found.local[at]] += 1000
        homes = np.full(36, 1000.0)
        homes[found.home] = 0.0
        other = best_keys(barred, rests, homes, bars, bars)
        assert other.local[at] == found.runner_up[at]
        dearer = price_of(other.local, found.home, prices, bars) - price_of(
            found.local, found.home, prices, bars
        )
        assert found.margin[at] == pytest.approx(dearer, abs=2e-3)


def price_of(path: tuple[int, ...], home: int, prices: np.ndarray, bars: np.ndarray) -> float:
    steps = distances()
    change = WEIGHTS.border + WEIGHTS.border_step * steps
    np.fill_diagonal(change, 0.0)
    around = [home, *path, home]
    moves = sum(change[a, b] for a, b in itertools.pairwise(around))
    spots = sum(
        prices[at, key] + WEIGHTS.away * steps[home, key] * bars[at] for at, key in enumerate(path)
    )
    return float(moves + spots)


@pytest.mark.parametrize("seed", range(20))
def test_arcs_are_the_cheapest_of_all_that_nest(seed: int) -> None:
    n, chance = 7, np.random.default_rng(seed)
    prices = np.full((n, REACH + 1), np.inf)
    for at in range(n):
        prices[at, 1 : n - at] = chance.random(n - 1 - at)
    found = cheapest_arcs(prices)[: n - 1]
    every = itertools.product(*(range(at + 1, n) for at in range(n - 1)))
    least = min(total(prices, heads) for heads in every if nests(heads))
    assert nests(found)
    assert total(prices, found) == pytest.approx(least)


def nests(heads: tuple[int, ...] | list[int]) -> bool:
    arcs = list(enumerate(heads))
    return not any(a < c < b < d for a, b in arcs for c, d in arcs)


def total(prices: np.ndarray, heads: tuple[int, ...] | list[int]) -> float:
    return float(sum(prices[at, head - at] for at, head in enumerate(heads)))


@pytest.mark.parametrize("seed", range(40))
def test_what_is_prepared_nests_and_lies_ahead(seed: int) -> None:
    chance = random.Random(seed)
    row = events(*((chance.randrange(12), Sound(chance.randrange(13))) for _ in range(20)))
    heads = prepared(row)
    assert all(at < head <= at + REACH for at, head in enumerate(heads))
    assert nests(heads)


def test_a_dominant_looks_past_its_target_s_own_ii() -> None:
    row = events((2, Sound.DOMINANT), (2, Sound.MINOR_7), (7, Sound.DOMINANT), (0, Sound.MAJOR_6))
    assert prepared(row)[:3] == (2, 2, 3)


def test_the_last_dominant_finds_its_goal_at_the_top() -> None:
    row = events((0, Sound.MAJOR_6), (9, Sound.MINOR_7), (2, Sound.MINOR_7), (7, Sound.DOMINANT))
    assert prepared(row)[3] == 4


def test_one_chord_alone_prepares_its_own_return() -> None:
    assert prepared(events((0, Sound.MAJOR_7))) == (1,)
