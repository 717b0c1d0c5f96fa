"""The header of a sheet from a score: title, people, key, meter, tempo, feel."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from ..key import Key
from ..pitch import Interval
from ..sheet import TEMPOS, Bar, Header, Meter
from ..transpose import transpose_key
from .bars import part_shift
from .marks import Mark
from .numerals import Signature
from .score import Part, Score
from .spans import read_spans

_MODES: Final = ("major", "minor", "ionian", "aeolian")


def read_header(score: Score, part: Part, bars: Sequence[Bar]) -> tuple[Header, list[str]]:
    """The header, and warnings about what it could not keep."""
    warnings: list[str] = []
    meter = _first_meter(part)
    marks = [mark for measure in part.measures for mark in measure.marks]
    header = Header(
        title=score.title,
        by=score.by,
        key=_key(part, bars, warnings),
        meter=meter,
        tempo=_tempo(marks, meter, warnings),
        feel=next((mark.value for mark in marks if mark.kind == "feel"), ""),
        other=score.other,
    )
    return header, warnings


def _first_meter(part: Part) -> Meter:
    time = part.measures[0].time
    if time is not None and time.meter is not None:
        return time.meter
    return read_spans(part.measures[:1])[0].meter


def _key(part: Part, bars: Sequence[Bar], warnings: list[str]) -> Key | None:
    signature = part.measures[0].key
    if signature is None:
        return None
    key = signature.key
    if not signature.mode:
        key = _without_mode(signature, bars, part_shift(part))
        warnings.append(f"the key signature has no mode; it is read as {key}")
    elif signature.mode not in _MODES:
        warnings.append(f"the mode {signature.mode!r} is kept as {key}")
    shift = part_shift(part)
    if shift != Interval(0, 0):
        key = transpose_key(key, shift)
        warnings.append(f"the part is written for a transposing instrument; it sounds in {key}")
    return key


def _without_mode(signature: Signature, bars: Sequence[Bar], shift: Interval) -> Key:
    """The minor key when the tune ends on its tonic chord, else the major one."""
    minor = Signature(signature.fifths, "minor").key
    tonic = minor.tonic.up(shift)
    chords = [written.chord for bar in bars for written in bar.chords]
    last = next((chord for chord in reversed(chords) if chord is not None), None)
    if last is None or last.root.pitch_class != tonic.pitch_class:
        return signature.key
    third = tonic.up(Interval(2, 3)).pitch_class
    return minor if third in last.pitch_classes else signature.key


def _tempo(marks: Sequence[Mark], meter: Meter, warnings: list[str]) -> int | None:
    """Beats a minute, of the beat that a tempo counts in the meter."""
    said = [Fraction(mark.value) for mark in marks if mark.kind == "tempo"]
    if not said:
        return None
    if any(tempo != said[0] for tempo in said):
        warnings.append("later changes of tempo are left out")
    tempo = round(said[0] / meter.tempo_quarters)
    if not TEMPOS[0] <= tempo <= TEMPOS[1]:
        warnings.append(f"a tempo of {tempo} is left out")
        return None
    return tempo
