"""The chart in sentences, for a screen reader or for reading aloud.

Takes a `CompingChart`, gives text with a line for each chord: where it stands, how it is heard, and
its grip string by string from the lowest. Silence is said too, so that nothing is told by layout.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ..converter.chart import CompingChart
from ..converter.hand.grip import Grip, VoicedNote
from ..converter.harmony.analysis import Reading
from ..grammar.sheet import Bar, Section, SheetChord
from .output import MARK
from .report import sounding_name
from .words import area_lines, bar_words, heading_lines, travel_lines

FINGERS: Final = {1: "index", 2: "middle", 3: "ring", 4: "little"}


def chart_in_words(chart: CompingChart, analysis: bool = True) -> str:
    """The whole chart in lines of words; without numerals and areas when not `analysis`."""
    lines = heading_lines(chart)
    index = 0
    for section in chart.sheet.sections:
        lines += ["", *_section(section)]
        for bar in chart.sheet.bars[section.first : section.first + section.count]:
            lines += _bar(chart, bar, index, analysis)
            index += len(bar.chords)
    lines += area_lines(chart) if analysis else []
    return "\n".join([*lines, "", *travel_lines(chart), "", f"Chart {MARK}"]) + "\n"


def grip_in_words(grip: Grip, written: SheetChord) -> str:
    """`string 6 fret 3 middle finger, G2; string 4 fret 3 ring finger, F3; the rest silent`."""
    if written.chord is None:
        raise ValueError("silence has no grip")
    strings = len(grip.frets)
    held = [
        f"{_held(note, grip.fingers[strings - note.string])}, {sounding_name(note, written.chord)}"
        for note in grip.voicing.notes
    ]
    return "; ".join([*held, "the rest silent"])


def _held(note: VoicedNote, finger: int | None) -> str:
    if finger is None:
        return f"string {note.string} open"
    return f"string {note.string} fret {note.fret} {FINGERS[finger]} finger"


def _section(section: Section) -> Iterator[str]:
    again = "" if section.recalls is None else " again, as before"
    if section.label:
        yield f"Section {section.label}{again}"
    yield from section.text


def _bar(chart: CompingChart, bar: Bar, first: int, analysis: bool) -> Iterator[str]:
    marks = [bar_words(bar), "repeat from here" if bar.repeat_open else ""]
    if bar.repeat_close:
        marks.append(f"go back, {bar.repeat_close} times in all")
    told = ", ".join(mark for mark in marks if mark)
    name = f"Bar {bar.number}" + (f" ({told})" if told else "")
    if not bar.chords:
        yield f"{name}: {_no_chords(bar)}."
    for index, written in enumerate(bar.chords, start=first):
        reading = chart.analysis.readings[index] if analysis else None
        yield f"{name}: {_chord(written, reading, chart.plan.grips[index])}."


def _no_chords(bar: Bar) -> str:
    if bar.rest_bars:
        return f"rest for {bar.rest_bars} bars"
    return "the bar before again" if bar.simile == 1 else "the two bars before again"


def _chord(written: SheetChord, reading: Reading | None, grip: Grip | None) -> str:
    length = "1 beat" if written.beats == 1 else f"{written.beats} beats"
    if written.chord is None or grip is None:
        return f"silence for {length}"
    signs = (" struck an eighth early" * written.push) + (" held" * written.hold)
    heard = "" if reading is None else f", {reading.roman} in {reading.key}"
    return f"{written.chord} for {length}{signs}{heard}: {grip_in_words(grip, written)}"
