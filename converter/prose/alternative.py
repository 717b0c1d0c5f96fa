"""The text alternative of a chord or a bar of a chart, for readers who do not see its picture.

Takes a `CompingChart` and an index, gives one line of text: `Cm7, vi7, frets 8 x 8 8 x x, fingers
2 3 3, beats 1 to 4`. Frets are listed from the lowest string up, x for a silent string; fingers in
the order of the strings that they press.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from ...grammar.sheet import Bar, SheetChord
from ..chart import CompingChart
from ..hand.grip import grip_alternative
from ..harmony.analysis import Reading
from .facts import meter_text
from .form import bar_marks, counted


def chord_alternative(
    chart: CompingChart,
    index: int,
    written: SheetChord,
    analysis: bool = True,
    signed: Callable[[str], str] = str,
) -> str:
    """The written chord with an index in words, without its numeral when not `analysis`.

    `signed` replaces ASCII accidentals in its symbol and its numeral by flat and sharp signs.
    """
    grip = chart.plan.grips[index]
    reading = chart.analysis.readings[index] if analysis else None
    before = chart.analysis.readings[index - 1] if index else None
    parts = (
        "no chord" if written.chord is None else signed(written.symbol),
        signed(_numeral(reading, before)),
        _resolution(chart, index) if analysis else "",
        "" if grip is None else grip_alternative(grip),
        "struck an eighth early" if written.push else "",
        "held" if written.hold else "",
        beats_text(written),
    )
    return ", ".join(part for part in parts if part)


def _numeral(reading: Reading | None, before: Reading | None) -> str:
    """The numeral, with its key if that differs from the key of the chord before."""
    if reading is None:
        return ""
    key = "" if before is not None and before.key == reading.key else f" in {reading.key}"
    return f"{'perhaps ' if reading.doubtful else ''}{reading.roman}{key}"


def _resolution(chart: CompingChart, index: int) -> str:
    """Where a dominant resolves that does not resolve in the next chord."""
    reading = chart.analysis.readings[index]
    target = None if reading is None else reading.resolves_to
    if target is None or target == index + 1:
        return ""
    return f"resolves in bar {chart.sheet.bar_numbers[target]}"


def beats_text(written: SheetChord) -> str:
    """The beats that a chord lasts: `beat 3`, `beats 1 to 4`, `from beat 4 1/2 for 1/2 beat`."""
    first, length = written.start + 1, written.beats
    if first.denominator == length.denominator == 1:
        return f"beat {first}" if length == 1 else f"beats {first} to {first + length - 1}"
    beats = f"beat{'s' * (length > 1)}"
    return f"from beat {_mixed(first)} for {_mixed(length)} {beats}"


def _mixed(number: Fraction) -> str:
    """A mixed number: `3 1/2`."""
    whole, part = divmod(number, 1)
    return " ".join(str(each) for each in (whole, part) if each) or "0"


def bar_alternative(bar: Bar, meter_changes: bool = False) -> str:
    """The repeats, endings and jumps of a bar in words: `repeat from here`; "" if it has none."""
    parts = (
        meter_text(bar.meter) if meter_changes else "",
        bar_marks(bar),
        "repeat from here" if bar.repeat_open else "",
        f"go back, {bar.repeat_close} times in all" if bar.repeat_close else "",
        f"rest for {counted(bar.rest_bars, 'bar')}" if bar.rest_bars else "",
        {1: "the bar before again", 2: "the two bars before again"}.get(bar.simile or 0, ""),
    )
    return ", ".join(part for part in parts if part)
