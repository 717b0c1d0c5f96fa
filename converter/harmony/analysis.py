"""What the changes do: the values that the analysis gives.

Chord indices point into `Sheet.chords`. Bars in areas are written bar numbers.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from ...grammar.key import Key

#: A reading whose runner-up is nearer than this is doubtful: it is about what one borrowed chord of
#: one bar costs, so a single chord heard otherwise would turn it.
DOUBTFUL_MARGIN: Final = 1.0


@dataclass(frozen=True, slots=True)
class Reading:
    """How one written chord is heard.

    `roman` is relative to `key`, with the chord's quality and `/` for an applied chord. `role` is
    one of `ROLES`. `resolves_to` is the chord that a dominant aims at, None for other chords and
    for a dominant that is left open. `runner_up` is the next best local key and `margin` its
    distance in the units of the optimisation (larger: surer).
    """

    key: Key
    roman: str
    role: str
    resolves_to: int | None = None
    runner_up: Key | None = None
    margin: float = 0.0

    @property
    def doubtful(self) -> bool:
        """Whether another key is nearly as likely."""
        return self.runner_up is not None and self.margin < DOUBTFUL_MARGIN


@dataclass(frozen=True, slots=True)
class Area:
    """A stretch of chords that work together, such as a ii–V–I.

    `kind` is one of `AREA_KINDS`. `chords` are in played order; `bars` the written bars of the
    first and the last of them (the last lies earlier where an area reaches round the loop to the
    top). `resolved` tells whether it reaches its goal, and `goal` is the chord that its last
    dominant resolves to, None where there is none. `sentence` says it in one plain sentence.
    """

    kind: str
    key: Key
    chords: tuple[int, ...]
    bars: tuple[int, int]
    resolved: bool
    sentence: str = ""
    goal: int | None = None


@dataclass(frozen=True, slots=True)
class Analysis:
    """The whole tune: `key`, one reading for each written chord (None for N.C.), the areas.

    `stated` is the key of the sheet's header, None where it states none; `key` may differ from it.
    """

    key: Key
    readings: tuple[Reading | None, ...]
    areas: tuple[Area, ...]
    stated: Key | None = None
    notes: tuple[str, ...] = ()
