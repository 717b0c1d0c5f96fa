"""What holding grips costs, in mm of effort, each time they are struck.

Takes fingerings put on frets and a player, gives the parts of their strain, one row for each grip.
The parts and their prices are those of `Effort`; spread is measured along the neck between frets.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from .effort import FINGER_PAIRS, Effort
from .grain import Flags, Numbers, Places
from .player import Neck, Player
from .shapes import FingeredShape
from .taught import habits_mm

_LOW = [low - 1 for low, _ in FINGER_PAIRS]
_HIGH = [high - 1 for _, high in FINGER_PAIRS]

#: The parts of strain in the order of their columns, as `Effort` describes them.
PARTS = (
    "stretch_mm", "crowding_mm", "little_finger_mm", "barre_mm", "unmuted_mm", "habit_mm",
    "window_mm", "unsaid_mm",
)  # fmt: skip


@lru_cache(maxsize=64)
def fret_table(neck: Neck) -> Numbers:
    """Distances of the frets 0, 1, 2 … of a neck from its nut, in mm."""
    return np.array([neck.fret_mm(fret) for fret in range(neck.frets + 1)])


def spreads_mm(fret: Places, neck: Neck) -> Numbers:
    """The spread of each pair of `FINGER_PAIRS`, in mm; 0 where one of them is not used."""
    places = fret_table(neck)[np.maximum(fret, 0)]
    both = (fret[:, _LOW] >= 0) & (fret[:, _HIGH] >= 0)
    return np.where(both, places[:, _HIGH] - places[:, _LOW], 0.0)


def within_reach(spreads: Numbers, player: Player) -> Flags:
    """Which rows keep every pair of fingers within the player's limit."""
    return np.asarray((spreads <= np.array(player.reach.limit_mm)).all(axis=1))


def stretch_mm(spreads: Numbers, player: Player) -> Numbers:
    """What the spreads beyond comfort cost, row by row."""
    beyond = np.maximum(spreads - np.array(player.reach.comfort_mm), 0.0)
    return np.asarray(player.effort.stretch * beyond.sum(axis=1))


@lru_cache(maxsize=4096)
def shape_parts(shape: FingeredShape, player: Player) -> Numbers:
    """The parts from crowding to habit: what a fingering costs at any fret. One row each."""
    prices = np.array(_count_prices(player.effort))
    counted = shape.counts * prices
    easiest = int(counted.sum(axis=1).argmin()) if len(counted) else 0
    habits = habits_mm(shape.name, shape.words, easiest, player)
    barres = counted[:, 2] + counted[:, 3]
    return np.column_stack((counted[:, :2], barres, counted[:, 4], np.array(habits)))


def _count_prices(effort: Effort) -> Sequence[float]:
    return (
        effort.crowd_mm, effort.little_mm, effort.barre_mm, effort.barre_string_mm,
        effort.unmuted_mm,
    )  # fmt: skip


def window_mm(fret: int, player: Player) -> float:
    """What a root at this fret costs for lying outside the player's window; inside it is free."""
    low, high = player.window
    outside = max(low - fret, fret - high, 0)
    if outside == 0:
        return 0.0
    return player.effort.tolerable_mm + player.effort.outside_mm * (outside - 1)
