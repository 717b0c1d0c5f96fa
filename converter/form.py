"""The played order of a form: which written bars are played, in which order, and what follows what.

Takes a `Sheet`, gives a `Form`. Bars and chords are indices into `Sheet.bars` and `Sheet.chords`.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Form:
    """One chorus as it is played.

    `bars`: the written bars in played order (a multi-bar rest counts once). `sounding`: for each
    *written* bar the index of the bar whose chords sound in it (its own, or the one a `%` repeats).
    `chords`: the written chords in played order, N.C. included; a `%` bar plays its chord again.
    `transitions`: how often chord i is followed by chord j, as (i, j, count), sorted, the loop from the
    last back to the first included; a chord's following itself is kept too.
    """

    bars: tuple[int, ...]
    sounding: tuple[int, ...]
    chords: tuple[int, ...]
    transitions: tuple[tuple[int, int, int], ...]
