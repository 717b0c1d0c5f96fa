"""What holding a grip costs, in mm of effort, each time it is struck.

Takes a grip's frets and fingers and a player, gives the parts of its strain. The parts and their
prices are those of `Effort`; spread is measured along the neck between the frets.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from .effort import FINGER_PAIRS
from .fingering import LITTLE, Fingers, Frets, unmuted
from .player import Neck, Player
from .taught import habit_mm


@dataclass(frozen=True, slots=True)
class Strain:
    """The parts of a grip's strain in mm of effort; `total_mm` is their sum.

    `reach_mm` is a length, not a price: the spread between the outermost fretted notes.
    """

    stretch_mm: float
    crowding_mm: float
    little_finger_mm: float
    barre_mm: float
    unmuted_mm: float
    window_mm: float
    unsaid_mm: float
    habit_mm: float
    reach_mm: float = 0.0

    @property
    def total_mm(self) -> float:
        """The strain as a whole."""
        hand = self.stretch_mm + self.crowding_mm + self.little_finger_mm + self.barre_mm
        return hand + self.unmuted_mm + self.window_mm + self.unsaid_mm + self.habit_mm


@lru_cache(maxsize=64)
def fret_table(neck: Neck) -> tuple[float, ...]:
    """Distances of the frets 0, 1, 2 … of a neck from its nut, in mm."""
    return tuple(neck.fret_mm(fret) for fret in range(neck.frets + 1))


def finger_frets(frets: Frets, fingers: Fingers) -> dict[int, int]:
    """The fret that each used finger stands on, from the index up."""
    pairs = zip(fingers, frets, strict=True)
    return dict(sorted((finger, fret) for finger, fret in pairs if finger and fret))


def within_reach(frets: Frets, fingers: Fingers, player: Player) -> bool:
    """Whether no two fingers spread beyond the player's limit."""
    at, table = finger_frets(frets, fingers), fret_table(player.neck)
    limits = zip(FINGER_PAIRS, player.reach.limit_mm, strict=True)
    return all(
        low not in at or high not in at or table[at[high]] - table[at[low]] <= limit
        for (low, high), limit in limits
    )


def strain_of(frets: Frets, fingers: Fingers, anchor: int, player: Player, unsaid: int) -> Strain:
    """The strain of a grip.

    `anchor` is the fret that the window judges (the root's, or the lowest note's where no root is
    played), `unsaid` the number of tones that the symbol names and the grip leaves out.
    """
    effort = player.effort
    at = finger_frets(frets, fingers)
    places = [fret_table(player.neck)[fret] for fret in at.values()]
    return Strain(
        stretch_mm=effort.stretch * _excess_mm(at, player),
        crowding_mm=effort.crowd_mm * _crowding(at),
        little_finger_mm=effort.little_mm if LITTLE in at else 0.0,
        barre_mm=_barre_mm(fingers, player),
        unmuted_mm=effort.unmuted_mm * unmuted(frets, fingers),
        window_mm=window_mm(anchor, player),
        unsaid_mm=effort.unsaid_mm * unsaid,
        habit_mm=habit_mm(frets, fingers, player),
        reach_mm=max(places) - min(places) if places else 0.0,
    )


def window_mm(fret: int, player: Player) -> float:
    """What a root at this fret costs for lying outside the player's window; inside it is free."""
    low, high = player.window
    outside = max(low - fret, fret - high, 0)
    if outside == 0:
        return 0.0
    return player.effort.tolerable_mm + player.effort.outside_mm * (outside - 1)


def _excess_mm(at: dict[int, int], player: Player) -> float:
    table = fret_table(player.neck)
    return sum(
        max(table[at[high]] - table[at[low]] - comfort, 0.0)
        for (low, high), comfort in zip(FINGER_PAIRS, player.reach.comfort_mm, strict=True)
        if low in at and high in at
    )


def _crowding(at: dict[int, int]) -> int:
    used = list(at.items())
    return sum(
        max((high - low) - (high_fret - low_fret), 0)
        for (low, low_fret), (high, high_fret) in pairwise(used)
    )


def _barre_mm(fingers: Fingers, player: Player) -> float:
    price = 0.0
    for finger in {finger for finger in fingers if finger}:
        span = len(fingers) - fingers[::-1].index(finger) - fingers.index(finger)
        if span > 1:
            price += player.effort.barre_mm + player.effort.barre_string_mm * (span - 2)
    return price
