"""The player and the neck: what the hand has to work with.

Lengths are millimetres; tunings are MIDI numbers from the lowest string up.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

#: Strings 6 to 1: E2 A2 D3 G3 B3 E4 (common practice, no source).
STANDARD_TUNING = (40, 45, 50, 55, 59, 64)


@dataclass(frozen=True, slots=True)
class Neck:
    """A fretted neck: open strings as MIDI numbers from the lowest up, scale length, last fret."""

    tuning: tuple[int, ...] = STANDARD_TUNING
    scale_mm: float = 647.7
    frets: int = 19

    def fret_mm(self, fret: int) -> float:
        """Distance of a fret from the nut: L·(1 − 2^(−f/12)), equal temperament."""
        return self.scale_mm * (1.0 - 2.0 ** (-fret / 12.0))


@dataclass(frozen=True, slots=True)
class Player:
    """Who plays: the neck, the window of frets kept to where possible, the hand used to fret."""

    neck: Neck = Neck()
    window: tuple[int, int] = (3, 10)
    hand: Literal["right", "left"] = "right"
