"""What going from one grip to another costs, for all pairs of candidates at once.

Takes two `Candidates`, gives matrices (from, to) in mm of effort before hurry: the shift of the
hand, the ways of the fingers that stay in use relative to the hand, and a price for each finger put
down anew; a change that no finger guides costs at least as much as a shift of two frets. A finger
that stays on its string and fret costs nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from .candidates import Candidates, holding
from .grain import Flags, Numbers
from .grip import Grip
from .player import Player


@dataclass(frozen=True, slots=True, eq=False)
class Moves:
    """The parts of all moves between two sets of grips: lengths in mm, and counts.

    `shift_mm` the way of the hand, `finger_mm` the ways of the fingers, `placed` the number of
    fingers put down anew, `blind` where no finger keeps to a string it was on.
    """

    shift_mm: Numbers
    finger_mm: Numbers
    placed: Numbers
    blind: Flags


def moves(start: Candidates, goal: Candidates) -> Moves:
    """The parts of every move from a grip of `start` to a grip of `goal`."""
    shift = np.abs(start.position_mm[:, None] - goal.position_mm[None, :])
    used, used_after = start.fret >= 0, goal.fret >= 0
    a_low, b_low = start.low[:, :, None], goal.low[:, None, :]
    guides = a_low <= goal.high[:, None, :]
    guides &= b_low <= start.high[:, :, None]
    stays = used[:, :, None] & used_after[:, None, :]
    guides &= stays
    moved = stays & ~(guides & (start.fret[:, :, None] == goal.fret[:, None, :]))
    across = (a_low - b_low) * start.player.neck.string_gap_mm
    along = start.along_mm[:, :, None] - goal.along_mm[:, None, :]
    ways = np.sqrt(across * across + along * along)
    ways *= moved
    placed = (~used).T.astype(np.float64) @ used_after.astype(np.float64)
    return Moves(shift, ways.sum(axis=0), placed, np.asarray(~guides.any(axis=0)))


def travel_between(start: Grip, goal: Grip, player: Player) -> float:
    """The travel from one grip to another, in mm of effort before hurry."""
    return float(travel_matrix(holding(start, player), holding(goal, player))[0, 0])


@lru_cache(maxsize=4096)
def travel_matrix(start: Candidates, goal: Candidates) -> Numbers:
    """The travel of every move, in mm of effort before hurry."""
    parts, effort = moves(start, goal), start.player.effort
    leap = np.maximum(parts.shift_mm - effort.leap_from_mm, 0.0)
    travel = (
        effort.shift * parts.shift_mm
        + effort.leap * leap
        + effort.finger * parts.finger_mm
        + effort.place_mm * parts.placed
    )
    return np.asarray(np.maximum(travel, effort.blind_mm * parts.blind))
