"""Keys: a tonic's name and a mode, printed as `Bb major` or `F# minor`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from .pitch import PitchName

Mode = Literal["major", "minor"]
MODES: Final[tuple[Mode, ...]] = ("major", "minor")


@dataclass(frozen=True, slots=True)
class Key:
    """A key of the two-mode system; `fifths` counts sharps (positive) or flats (negative)."""

    tonic: PitchName
    mode: Mode = "major"

    @property
    def fifths(self) -> int:
        """Sharps (positive) or flats (negative) of the key signature."""
        return self.tonic.fifths - (3 if self.mode == "minor" else 0)

    def __str__(self) -> str:
        return f"{self.tonic} {self.mode}"
