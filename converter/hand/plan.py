"""The options of a plan, the finished plan, and the error if there is none.

Chord indices point into `Sheet.chords`; efforts are in mm (see `Effort`).
"""

from __future__ import annotations

from typing import Final, Literal

from ...grammar.checks import check_one_of, check_type, check_whole
from ...grammar.errors import TuneError
from ...grammar.frozen import frozen
from ...grammar.sheet import TEMPOS
from .clashes import Clash
from .grip import Grip
from .player import STRINGS

Style = Literal["shell", "guide tones", "colour", "four-note"]
STYLES: Final[tuple[Style, ...]] = ("shell", "guide tones", "colour", "four-note")


@frozen
class PlanOptions:
    """The options of a plan of least effort.

    - `style`: the style of the voicings.
    - `smooth`: minimise the worst single change first, then the sum: for a student who cannot make
      a hard change in time.
    - `same_grips`: chords of a repeated four-bar phrase share their grips (see `phrases.py`); the
      plan is the least of those that do, `GripPlan.shared_mm` the effort that this adds.
    - `first_root_string`: the string (6, 5 …) of the root of the first chord, to learn a tune from
      each of them.
    - `tempo`: in quarter notes a minute (dotted quarters in compound time), None for the sheet's
      own; a shorter time raises the effort of a change.
    - `roots`: for each written chord the string and fret of its root, None for the choice of the
      planner; a drill sets them to its pattern of roots.
    """

    style: Style = "shell"
    smooth: bool = False
    same_grips: bool = True
    first_root_string: int | None = None
    tempo: int | None = None
    roots: tuple[tuple[int, int] | None, ...] | None = None

    def __post_init__(self) -> None:
        check_one_of("style", self.style, STYLES)
        for name in ("smooth", "same_grips"):
            check_type(name, getattr(self, name), bool)
        if self.tempo is not None:
            check_whole("tempo", self.tempo, *TEMPOS)
        if self.first_root_string is not None:
            check_whole("first_root_string", self.first_root_string, 1, STRINGS[1])


@frozen
class Travel:
    """How far the hand moves in one chorus, the loop back to the top included.

    Frets are fret numbers or counts of frets, `_mm` millimetres. `changes` counts the moves from
    one chord to a different one; `shifts` those of them that move the hand position.
    `outside_window` counts written chords whose lowest note lies outside the player's window.
    `optimal` is True when the plan is proved to be the least; otherwise `gap_mm` is an upper bound
    on its distance from the least. With `smooth`, the hardest change is minimised and not the sum,
    and `optimal` is about that change.
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


@frozen
class GripPlan:
    """One grip for each written chord (None for N.C.), the total effort and the `travel`.

    `effort_mm` is in millimetres (see `Effort`), a whole multiple of 1/1024 mm. `playings` holds
    them as they are played, one for each entry of `Form.chords`. `shared_mm` is the effort that the
    same grips for repeated phrases add to the least, None if none are asked for or no phrase is
    repeated. `clashes` are the notes of pinned grips that contradict their symbols.
    """

    grips: tuple[Grip | None, ...]
    effort_mm: float
    travel: Travel
    playings: tuple[Grip | None, ...]
    shared_mm: float | None = None
    clashes: tuple[Clash, ...] = ()

    def __repr__(self) -> str:
        """A summary of the plan on one line; different plans may have the same."""
        sounding = sum(grip is not None for grip in self.grips)
        return f"<GripPlan grips: {sounding}, effort: {self.effort_mm:.1f} mm>"

    @property
    def silent(self) -> bool:
        """Whether no chord sounds, so that the plan has no frets and no changes."""
        return all(grip is None for grip in self.grips)


class PlanError(TuneError):
    """A chord cannot be played with the options; the message names chord, bar and reason."""
