"""The travel of changes from one grip to another: a cost for each change, in mm of effort.

Takes the placement of hand and fingers of the grips before and after a change, gives the travel of
every move between them. It is the sum of the shift of the hand, the distances of the fingers that
stay in use, relative to the hand, and a price for each finger put down anew; at least `blind_mm` if
no finger stays on a string. A finger that stays on its string and fret costs nothing. Prices are
those of `Effort`, without hurry.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import fields
from functools import lru_cache
from itertools import accumulate, pairwise
from typing import Final

import numpy as np

from ...grammar.frozen import frozen
from .finger_rules import LITTLE
from .grip import Grip, finger_positions
from .player import Neck, Player
from .quantization import FloatArray, IntArray
from .reach import fret_table

#: The number of moves computed at once; more are computed in parts, to save memory.
MOVES_AT_ONCE: Final = 1 << 16


@frozen(eq=False)
class HandPlacement:
    """The positions of hand and fingers: one column for each grip, one row for each finger.

    `position_mm` is the distance of the hand position from the nut, one for each grip; `low` and
    `high` are the outermost string indices of a finger, `fret` is its fret, `along_mm` its distance
    along the neck from the hand position. Rows start with the index finger; -1 marks a finger that
    is not used.
    """

    position_mm: FloatArray
    low: IntArray
    high: IntArray
    fret: IntArray
    along_mm: FloatArray

    def only(self, columns: list[int] | IntArray) -> HandPlacement:
        """The placement of the grips in these columns."""
        return HandPlacement(
            self.position_mm[columns], self.low[:, columns], self.high[:, columns],
            self.fret[:, columns], self.along_mm[:, columns],
        )  # fmt: skip


def hand_placement(
    positions: Sequence[int], fingers: tuple[IntArray, IntArray, IntArray], neck: Neck
) -> HandPlacement:
    """The placement of grips from their hand positions and the `low`, `high`, `fret` of fingers."""
    low, high, fret = fingers
    hand = np.array([neck.fret_mm(position) for position in positions])
    along = np.where(fret >= 0, fret_table(neck)[np.maximum(fret, 0)] - hand, 0.0)
    return HandPlacement(hand, low, high, fret, along)


@lru_cache(maxsize=1024)
def placement_of(grip: Grip, neck: Neck) -> HandPlacement:
    """The placement of one grip."""
    fingers = np.full((3, LITTLE, 1), -1, dtype=np.int64)
    for finger, at in finger_positions(grip).items():
        fingers[:, finger - 1, 0] = at.low, at.high, at.fret
    return hand_placement([grip.position], (fingers[0], fingers[1], fingers[2]), neck)


#: The placements of the grips before and after a change.
Ends = tuple[HandPlacement, HandPlacement]


def travel_between(start: Grip, goal: Grip, player: Player) -> float:
    """The travel from one grip to another."""
    ends = placement_of(start, player.neck), placement_of(goal, player.neck)
    return float(_travel(*ends, player)[0])


def travel_tables(changes: Sequence[Ends], player: Player) -> Iterator[FloatArray]:
    """For each change the travel of every move from a grip before (row) to one after (column)."""
    first, count = 0, 0
    for at, (start, goal) in enumerate(changes):
        here = len(start.position_mm) * len(goal.position_mm)
        if count and count + here > MOVES_AT_ONCE:
            yield from _tables(changes[first:at], player)
            first, count = at, 0
        count += here
    yield from _tables(changes[first:], player)


def _tables(changes: Sequence[Ends], player: Player) -> Iterator[FloatArray]:
    """The tables of some changes, whose moves are computed in one row."""
    different = {id(end): end for ends in changes for end in ends}
    sizes = {key: len(end.position_mm) for key, end in different.items()}
    firsts = dict(zip(sizes, accumulate(sizes.values(), initial=0), strict=False))
    keys = [(id(start), id(goal)) for start, goal in changes]
    shapes = [(sizes[start], sizes[goal]) for start, goal in keys]
    rows, columns = _moves([(firsts[start], firsts[goal]) for start, goal in keys], shapes)
    every = _joined(list(different.values()))
    travel = _travel(every.only(rows), every.only(columns), player)
    ends = accumulate((rows * columns for rows, columns in shapes), initial=0)
    for (first, last), shape in zip(pairwise(ends), shapes, strict=True):
        yield travel[first:last].reshape(shape)


def _moves(
    firsts: Sequence[tuple[int, int]], shapes: Sequence[tuple[int, int]]
) -> tuple[IntArray, IntArray]:
    """The columns of the grips before and after all moves, change after change, row by row.

    `firsts` are the first columns of the grips of each change, `shapes` their numbers.
    """
    first, shape = (np.array(each, dtype=np.int64).reshape(-1, 2) for each in (firsts, shapes))
    counts = shape.prod(axis=1)
    change = np.repeat(np.arange(len(counts)), counts)
    within = np.arange(len(change)) - (counts.cumsum() - counts)[change]
    row, column = np.divmod(within, shape[change, 1])
    return first[change, 0] + row, first[change, 1] + column


def _joined(placements: Sequence[HandPlacement]) -> HandPlacement:
    """Placements side by side as one."""
    return HandPlacement(
        *(
            np.concatenate([getattr(each, one.name) for each in placements], axis=-1)
            for one in fields(HandPlacement)
        )
    )


def _travel(start: HandPlacement, goal: HandPlacement, player: Player) -> FloatArray:
    """The travel of each move: from a column of `start` to the same column of `goal`."""
    effort = player.effort
    shift = np.abs(start.position_mm - goal.position_mm)
    used, used_after = start.fret >= 0, goal.fret >= 0
    stays = used & used_after
    guides = stays & (start.low <= goal.high) & (goal.low <= start.high)
    moved = stays & ~(guides & (start.fret == goal.fret))
    across = (start.low - goal.low) * player.neck.string_gap_mm
    along = start.along_mm - goal.along_mm
    ways = np.sqrt(across * across + along * along) * moved
    travel = (
        effort.shift * shift
        + effort.leap * np.maximum(shift - effort.leap_from_mm, 0.0)
        + effort.finger * ways.sum(axis=0)
        + effort.place_mm * (used_after & ~used).sum(axis=0)
    )
    blind = ~guides.any(axis=0)
    return np.asarray(np.maximum(travel, effort.blind_mm * blind))
