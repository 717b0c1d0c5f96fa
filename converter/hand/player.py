"""The player and the neck: what the hand has to work with.

Lengths are millimetres; tunings are MIDI numbers from the lowest string up.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from .effort import Effort, Reach
from .taste import Taste

#: Strings 6 to 1: E2 A2 D3 G3 B3 E4 (common practice, no source).
STANDARD_TUNING = (40, 45, 50, 55, 59, 64)


@dataclass(frozen=True, slots=True)
class Neck:
    """A fretted neck: open strings as MIDI numbers from the lowest up, scale length, last fret.

    `string_gap_mm` is the distance from one string to the next in the middle of the neck (from
    memory: about 7 mm at the nut, 10 at the bridge). `highest_fret` is the last that the hand
    reaches in comfort (a cutaway raises it), None for the last of the neck.
    """

    tuning: tuple[int, ...] = STANDARD_TUNING
    scale_mm: float = 647.7
    frets: int = 19
    string_gap_mm: float = 8.5
    highest_fret: int | None = None

    def fret_mm(self, fret: int) -> float:
        """Distance of a fret from the nut: L·(1 − 2^(−f/12)), equal temperament."""
        return self.scale_mm * (1.0 - float(2.0 ** (-fret / 12.0)))

    @property
    def last_fret(self) -> int:
        """The highest fret that grips may use."""
        return self.frets if self.highest_fret is None else min(self.highest_fret, self.frets)


@dataclass(frozen=True, slots=True)
class Player:
    """Who plays: the neck, the window of frets kept to where possible, the hand used to fret.

    `fingers` are the player's own fingerings of shapes, as (shape, fingers) in the writing of
    `taught.py`; they stand before the taught ones.
    """

    neck: Neck = Neck()
    window: tuple[int, int] = (3, 10)
    hand: Literal["right", "left"] = "right"
    reach: Reach = field(default_factory=Reach)
    taste: Taste = field(default_factory=Taste)
    effort: Effort = field(default_factory=Effort)
    fingers: tuple[tuple[str, str], ...] = ()
