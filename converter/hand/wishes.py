"""What a plan is asked for besides the least effort."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

Style = Literal["shell", "guide tones", "colour", "four-note"]
STYLES: Final[tuple[Style, ...]] = ("shell", "guide tones", "colour", "four-note")


@dataclass(frozen=True, slots=True)
class PlanWishes:
    """The wishes for one plan.

    `style`: which voicings are searched. `smooth`: make the worst single change least, then the
    sum. `per_playing`: a grip for each playing of a chord instead of one for each written chord.
    `first_root_string`: the string (6, 5, …) on which the root of the first chord lies, as a drill
    may ask. `strings`: the strings on which roots may lie at all, None for those of the style.
    `tempo`: in quarter notes a minute (dotted quarters in compound time), None for the sheet's own.
    `roots`: for each written chord the string and fret of its root, None where the planner chooses;
    a drill asks so for the taught pattern.
    """

    style: Style = "shell"
    smooth: bool = False
    per_playing: bool = False
    first_root_string: int | None = None
    strings: tuple[int, ...] | None = None
    tempo: int | None = None
    roots: tuple[tuple[int, int] | None, ...] | None = None
