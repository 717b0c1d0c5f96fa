"""The playings of a chorus: which chord is struck when, and how long until the next.

Takes a sheet and its form, gives the playings in played order with their seconds. Silence is passed
over and gives its time to the playing before it; the last chord leads back to the first.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from ...grammar.sheet import Meter, Sheet, SheetChord
from ..form import Form

#: Quarter notes a minute where neither the sheet nor the wishes say it.
USUAL_TEMPO: Final = 120

#: No change is reckoned faster than this, however short its chord is written.
LEAST_SECONDS: Final = 0.05


@dataclass(frozen=True, slots=True)
class Playing:
    """One playing of a written chord: its index in `Sheet.chords`, the seconds to the next."""

    chord: int
    seconds: float


def playings(sheet: Sheet, form: Form, tempo: int | None = None) -> tuple[Playing, ...]:
    """Every playing of a chord in one chorus, in order, N.C. left out.

    `tempo` is in quarter notes a minute (dotted quarters in compound time), None for the sheet's.
    """
    beat = _beat_seconds(sheet, tempo or sheet.header.tempo or USUAL_TEMPO)
    written = sheet.chords
    found: list[Playing] = []
    silence = 0.0
    for index in form.chords:
        seconds = max(float(written[index].beats) * beat[index], LEAST_SECONDS)
        if sounds(written[index]):
            found.append(Playing(index, seconds))
        elif found:
            last = found[-1]
            found[-1] = Playing(last.chord, last.seconds + seconds)
        else:
            silence += seconds
    if found and silence:
        found[-1] = Playing(found[-1].chord, found[-1].seconds + silence)
    return tuple(found)


def sounds(written: SheetChord) -> bool:
    """Whether a written chord is a chord at all, not silence."""
    return written.chord is not None and written.chord.kind != "none"


def _beat_seconds(sheet: Sheet, tempo: int) -> list[float]:
    seconds = {
        meter: float(Fraction(60, tempo) * _tempo_beats(meter))
        for meter in {bar.meter for bar in sheet.bars}
    }
    return [seconds[bar.meter] for bar in sheet.bars for _ in bar.chords]


def _tempo_beats(meter: Meter) -> Fraction:
    """How many beats of the tempo one beat of the meter lasts: an eighth of 6/8 lasts a third."""
    return Fraction(4, meter.unit) / meter.tempo_quarters
