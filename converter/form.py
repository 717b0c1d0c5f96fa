"""The played order of a form: which written bars are played, in which order, what follows what.

Takes a `Sheet`, gives a `Form`. Bars and chords are indices into `Sheet.bars` and `Sheet.chords`.
The conventions for repeats, endings and jumps stand in `midneck.grammar.course`.

Silence: N.C. and rests are passed over in `transitions`, because the hand moves on while nothing
sounds; an index of N.C. is in `chords` but never in `transitions`. A sheet of silence alone has no
transitions.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import accumulate

from ..grammar.sheet import Sheet
from ..grammar.similes import check_similes
from ..grammar.structure import played_bars


@dataclass(frozen=True, slots=True)
class Form:
    """One chorus as it is played.

    `bars`: the written bars in played order (a multi-bar rest counts once). `sounding`: for each
    *written* bar the index of the bar whose chords sound in it (its own, or the one a `%`
    repeats). `chords`: the written chords in played order, N.C. included; a `%` bar plays its
    chord again. `transitions`: how often chord i is followed by chord j, as (i, j, count),
    sorted, the loop from the last back to the first included; a chord's following itself is kept
    too.
    """

    bars: tuple[int, ...]
    sounding: tuple[int, ...]
    chords: tuple[int, ...]
    transitions: tuple[tuple[int, int, int], ...]


def unfold(sheet: Sheet) -> Form:
    """The form of a sheet, played once through. Raises SheetError when its bars make no form."""
    bars = played_bars(sheet.bars, sheet.sections)
    sounding, _ = check_similes(sheet.bars, sheet.sections)
    first = [0, *accumulate(len(bar.chords) for bar in sheet.bars)]
    chords = tuple(
        chord for bar in bars for chord in range(first[sounding[bar]], first[sounding[bar] + 1])
    )
    return Form(bars, sounding, chords, _transitions(sheet, chords))


def _transitions(sheet: Sheet, chords: tuple[int, ...]) -> tuple[tuple[int, int, int], ...]:
    """What follows what among the chords that sound, the last one going on to the first."""
    written = sheet.chords
    sounding = [index for index in chords if written[index].chord is not None]
    pairs = Counter(zip(sounding, sounding[1:] + sounding[:1], strict=True))
    return tuple(sorted((here, there, count) for (here, there), count in pairs.items()))
