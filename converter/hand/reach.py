"""The reach of the fingers along the neck, in mm: spreads, limits, the cost of stretches.

Takes the frets of the fingers, one row for each grip and one column for each finger, index first;
-1 marks a finger that is not used. A spread is the distance of two fingers between their frets.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from .grip import FINGER_NAMES, Grip
from .player import FINGER_PAIRS, Neck, Player
from .quantization import FloatArray, IntArray

_LOW = [low - 1 for low, _ in FINGER_PAIRS]
_HIGH = [high - 1 for _, high in FINGER_PAIRS]


@lru_cache(maxsize=64)
def fret_table(neck: Neck) -> FloatArray:
    """Distances of the frets 0, 1, 2 … of a neck from its nut, in mm."""
    return np.array([neck.fret_mm(fret) for fret in range(neck.frets + 1)])


def spreads_mm(fret: IntArray, neck: Neck) -> FloatArray:
    """The spread of each pair of `FINGER_PAIRS`, in mm; 0 if a finger of the pair is not used."""
    at_mm = fret_table(neck)[np.maximum(fret, 0)]
    both = (fret[:, _LOW] >= 0) & (fret[:, _HIGH] >= 0)
    return np.where(both, at_mm[:, _HIGH] - at_mm[:, _LOW], 0.0)


def stretch_mm(spreads: FloatArray, player: Player) -> FloatArray:
    """The cost of the spreads beyond comfort, for each row."""
    beyond = np.maximum(spreads - np.array(player.reach.comfort_mm), 0.0)
    return np.asarray(player.effort.stretch * beyond.sum(axis=1))


def beyond_reach(fret: Sequence[int], player: Player) -> str:
    """The reason why four fingers on these frets are out of a player's reach, "" if they are not.

    The reason is about the pair of fingers farthest beyond its limit.
    """
    spreads = spreads_mm(np.array([fret], dtype=np.int64), player.neck)[0]
    limits = np.array(player.reach.limit_mm)
    worst = int((spreads - limits).argmax())
    if spreads[worst] <= limits[worst]:
        return ""
    low, high = (FINGER_NAMES[finger] for finger in FINGER_PAIRS[worst])
    return (
        f"{low} and {high} finger are {spreads[worst]:.0f} mm apart,"
        f" beyond the reach of {limits[worst]:.0f} mm"
    )


def reach_mm(grip: Grip, player: Player) -> float:
    """The spread from the lowest to the highest stopped fret along the neck, in mm."""
    stopped = [fret for fret in grip.frets if fret]
    neck = player.neck
    return neck.fret_mm(max(stopped)) - neck.fret_mm(min(stopped)) if stopped else 0.0
