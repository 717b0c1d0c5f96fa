"""How hard a planned tune is for the hand: one figure from five parts that a teacher can check.

Takes the grips of a chorus in played order with their seconds, gives a `Difficulty` from 0 to 10.
Each part runs from 0 to 2 and reaches 2 at a value of its own; those values are settings, chosen so
that slow blues come out low and fast tunes with a change every two beats high. It orders tunes for
one player; it measures nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from .grip import Grip
from .player import Player
from .taught import shape_of
from .travel import reach_mm

#: Where each part reaches its full 2 points.
FULL_PACE_PER_MINUTE: Final = 120.0
FULL_SHIFT_FRETS: Final = 3.0
FULL_LEAP_FRETS: Final = 8.0
FULL_REACH_MM: Final = 90.0
FULL_SHAPES: Final = 12.0


@dataclass(frozen=True, slots=True)
class Difficulty:
    """The parts of difficulty, each 0 to 2; 2 from its `FULL_` value on.

    `pace`: changes a minute. `shifting`: frets that the hand shifts for each change. `leap`: the
    widest shift. `reach`: the widest spread of a grip. `shapes`: the number of different shapes.
    """

    pace: float
    shifting: float
    leap: float
    reach: float
    shapes: float

    @property
    def total(self) -> float:
        """The figure: 0 (nothing moves) to 10."""
        return self.pace + self.shifting + self.leap + self.reach + self.shapes


def difficulty_of(grips: Sequence[Grip], seconds: Sequence[float], player: Player) -> Difficulty:
    """The difficulty of a chorus; `seconds` last from each grip to the next."""
    if not grips:
        return Difficulty(0.0, 0.0, 0.0, 0.0, 0.0)
    moves = [(a, b) for a, b in pairwise((*grips, grips[0])) if a != b]
    shifts = [abs(a.position - b.position) for a, b in moves]
    return Difficulty(
        pace=_points(60.0 * len(moves) / sum(seconds), FULL_PACE_PER_MINUTE),
        shifting=_points(sum(shifts) / max(len(moves), 1), FULL_SHIFT_FRETS),
        leap=_points(max(shifts, default=0), FULL_LEAP_FRETS),
        reach=_points(max(reach_mm(grip, player) for grip in grips), FULL_REACH_MM),
        shapes=_points(len({shape_of(grip.frets) for grip in grips}), FULL_SHAPES),
    )


def _points(value: float, full: float) -> float:
    return min(2.0 * value / full, 2.0)
