"""The finished plan: one grip for each written chord, what it costs, and what moves.

Chord indices point into `Sheet.chords`.
"""

from __future__ import annotations

from dataclasses import dataclass

from .grip import Grip


@dataclass(frozen=True, slots=True)
class Travel:
    """How far the hand goes in one chorus, the loop back to the top included.

    Frets are fret numbers or counts of frets, `_mm` millimetres. `changes` counts the moves from
    one chord to a different one; `shifts` those of them that move the hand position.
    `outside_window` counts written chords whose root lies outside the player's window. `optimal` is
    True when the plan is proved to be the least; otherwise `gap` bounds how far above the least it
    can be. With `smooth`, the hardest change was made least and not the whole: `optimal` then
    speaks of that change.
    """

    shift_frets: int
    shifts: int
    changes: int
    travel_mm: float
    outside_window: int
    lowest_fret: int
    highest_fret: int
    widest_reach_mm: float
    optimal: bool
    gap: float = 0.0
    smooth: bool = False


@dataclass(frozen=True, slots=True)
class GripPlan:
    """One grip for each written chord (None for N.C.), the `cost` of the whole and its `travel`.

    `cost` is in millimetres of effort (see `Effort`). `playings` holds a grip for each entry of
    `Form.chords` (None for N.C.); it differs from `grips` only where a grip for each playing was
    asked for, and `grips` then shows the first playing.
    """

    grips: tuple[Grip | None, ...]
    cost: float
    travel: Travel
    playings: tuple[Grip | None, ...] = ()

    @property
    def silent(self) -> bool:
        """Whether no chord sounds: then there are no frets and no changes to tell of."""
        return all(grip is None for grip in self.grips)


class PlanError(ValueError):
    """No hand can do what was asked; the message names the chord, its bar and the reason."""
