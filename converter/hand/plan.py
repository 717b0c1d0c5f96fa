"""What a plan is asked for, the finished plan, and the error where there is none.

Chord indices point into `Sheet.chords`; efforts are in mm (see `Effort`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from ...grammar.errors import MidneckError
from .grip import Grip

Style = Literal["shell", "guide tones", "colour", "four-note"]
STYLES: Final[tuple[Style, ...]] = ("shell", "guide tones", "colour", "four-note")


@dataclass(frozen=True, slots=True)
class PlanOptions:
    """What one plan is asked for besides the least effort.

    - `style`: which voicings are searched.
    - `smooth`: make the worst single change least, then the sum: for a student whom one hard change
      stops.
    - `per_playing`: a grip for each playing of a chord instead of one for each written chord.
    - `first_root_string`: the string (6, 5 …) on which the root of the first chord lies, to learn a
      tune from either.
    - `strings`: the strings on which roots may lie at all, None for those of the style.
    - `tempo`: in quarter notes a minute (dotted quarters in compound time), None for the sheet's
      own; the time for a change weighs in its effort.
    - `roots`: for each written chord the string and fret of its root, None where the planner
      chooses; a drill asks so for its pattern of roots.
    """

    style: Style = "shell"
    smooth: bool = False
    per_playing: bool = False
    first_root_string: int | None = None
    strings: tuple[int, ...] | None = None
    tempo: int | None = None
    roots: tuple[tuple[int, int] | None, ...] | None = None


@dataclass(frozen=True, slots=True)
class Travel:
    """How far the hand goes in one chorus, the loop back to the top included.

    Frets are fret numbers or counts of frets, `_mm` millimetres. `changes` counts the moves from
    one chord to a different one; `shifts` those of them that move the hand position.
    `outside_window` counts written chords whose root lies outside the player's window. `optimal` is
    True when the plan is proved to be the least; otherwise `gap_mm` bounds how far above the least
    it can be. With `smooth`, the hardest change was made least and not the whole: `optimal` then
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
    gap_mm: float = 0.0
    smooth: bool = False


@dataclass(frozen=True, slots=True, repr=False)
class GripPlan:
    """One grip for each written chord (None for N.C.), the effort of the whole and its `travel`.

    `effort_mm` is in millimetres (see `Effort`), a whole multiple of 1/1024 mm. `playings` holds a
    grip for each entry of `Form.chords` (None for N.C.); it differs from `grips` only where a grip
    for each playing was asked for, and `grips` then shows the first playing.
    """

    grips: tuple[Grip | None, ...]
    effort_mm: float
    travel: Travel
    playings: tuple[Grip | None, ...]

    def __repr__(self) -> str:
        """The plan on one line; equal plans may have the same."""
        sounding = sum(grip is not None for grip in self.grips)
        return f"<GripPlan grips: {sounding}, effort: {self.effort_mm:.1f} mm>"

    @property
    def silent(self) -> bool:
        """Whether no chord sounds: then there are no frets and no changes to tell of."""
        return all(grip is None for grip in self.grips)


class PlanError(MidneckError, ValueError):
    """No hand can do what was asked; the message names the chord, its bar and the reason."""
