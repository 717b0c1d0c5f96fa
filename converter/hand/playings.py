"""The playings of a chorus: which chord is struck when, and how long until the next.

Takes a sheet and its form, gives the playings in played order with their seconds. Silence is passed
over and gives its time to the playing before it; the last chord leads back to the first.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate
from typing import Final

from ...grammar.sheet import USUAL_TEMPO, Sheet
from ..form import Form

#: No change is reckoned faster than this, however short its chord is written.
LEAST_SECONDS: Final = 0.05


@dataclass(frozen=True, slots=True)
class Playing:
    """One playing of a written chord: its index in `Sheet.chords`, the seconds to the next."""

    chord: int
    seconds: float


def playings(sheet: Sheet, form: Form, tempo: int | None = None) -> tuple[Playing, ...]:
    """Every playing of a chord in one chorus, in order, N.C. left out.

    `tempo` counts the beats of `Sheet.tempo_quarters` a minute, None for the sheet's own.
    """
    found: list[Playing] = []
    silence = 0.0
    for index, seconds in _timed(sheet, form, tempo or sheet.header.tempo or USUAL_TEMPO):
        if index is not None:
            found.append(Playing(index, seconds))
        elif found:
            found[-1] = Playing(found[-1].chord, found[-1].seconds + seconds)
        else:
            silence += seconds
    if found and silence:
        found[-1] = Playing(found[-1].chord, found[-1].seconds + silence)
    return tuple(found)


def _timed(sheet: Sheet, form: Form, tempo: int) -> Iterator[tuple[int | None, float]]:
    """The chords in played order with their seconds; None for silence, rests of many bars too."""
    first = [0, *accumulate(len(bar.chords) for bar in sheet.bars)]
    quarter = Fraction(60, tempo) / sheet.tempo_quarters
    beat = {bar.meter: float(quarter * 4 / bar.meter.unit) for bar in sheet.bars}
    for played in form.bars:
        sounding = form.sounding[played]
        bar = sheet.bars[sounding]
        for index, written in enumerate(bar.chords, first[sounding]):
            seconds = max(float(written.beats) * beat[bar.meter], LEAST_SECONDS)
            yield (None if written.chord is None else index), seconds
        if not bar.chords:
            beats = max(sheet.bars[played].rest_bars, 1) * bar.meter.beats
            yield None, beats * beat[bar.meter]
