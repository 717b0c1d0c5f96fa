"""A chart in sentences, for a screen reader or for reading aloud.

Takes a `CompingChart`, gives lines without line ends, one for each chord: its bar and beat, its
numeral, and its grip string by string from the lowest. Silence has a line too, so that no
information depends on the layout.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from ...grammar.chord import Chord
from ...grammar.sheet import Bar, Section, SheetChord
from ..chart import CompingChart
from ..hand.grip import Grip, VoicedNote, pitch_text
from ..harmony.analysis import Reading
from .areas import area_lines
from .facts import heading_lines, travel_lines
from .form import bar_marks, beats_words, counted, second_of_two
from .hand import FINGER_NAMES


def chart_sentences(chart: CompingChart, analysis: bool = True) -> list[str]:
    """The whole chart in lines; without numerals and areas when not `analysis`."""
    lines = heading_lines(chart)
    sheet = chart.sheet
    for section in sheet.sections:
        lines += ["", *_section_lines(section)]
        for index in range(section.first, section.first + section.count):
            lines += _bar_lines(chart, index, sheet.first_chords[index], analysis)
    lines += area_lines(sheet, chart.analysis.areas) if analysis else []
    return [*lines, "", *travel_lines(chart)]


def _section_lines(section: Section) -> Iterator[str]:
    again = "" if section.recalls is None else " again, as before"
    if section.label:
        yield f"Section {section.label}{again}"
    yield from section.text


def _bar_lines(chart: CompingChart, place: int, first: int, analysis: bool) -> Iterator[str]:
    """A line for each chord of the bar at an index; `first` is the index of its first chord.

    Two bars that repeat the two before have one line, and one for what the second is marked with.
    """
    bar = chart.sheet.bars[place]
    marks = [
        bar_marks(bar).replace("(pickup)", "pickup"),
        "repeat from here" if bar.repeat_open else "",
    ]
    if bar.repeat_close:
        marks.append(f"go back, {bar.repeat_close} times in all")
    listed = ", ".join(mark for mark in marks if mark)
    name = f"Bars {bar.number} and {bar.number + 1}" if bar.simile == 2 else f"Bar {bar.number}"
    name += f" ({listed})" if listed else ""
    if second_of_two(chart.sheet.bars, place):
        if listed:
            yield f"Bar {bar.number} ({listed}): the second of the two."
    elif not bar.chords:
        yield f"{name}: {_without_chords(bar)}."
    whole = None if bar.pickup else Fraction(bar.meter.beats)
    for index, written in enumerate(bar.chords, start=first):
        reading = chart.analysis.readings[index] if analysis else None
        grip = chart.plan.grips[index]
        yield f"{name}: {_chord(written, whole, reading, grip)}."


def _without_chords(bar: Bar) -> str:
    if bar.rest_bars:
        return f"rest for {counted(bar.rest_bars, 'bar')}"
    return "the bar before again" if bar.simile == 1 else "the two bars before again"


def _chord(
    written: SheetChord, whole: Fraction | None, reading: Reading | None, grip: Grip | None
) -> str:
    when = beats_words(written.start, written.beats, whole)
    if written.chord is None or grip is None:
        return f"silence {when}"
    stroke = (" struck an eighth early" * written.push) + (" held" * written.hold)
    numeral = "" if reading is None else f", {reading.roman} in {reading.key}"
    return f"{written.chord} {when}{stroke}{numeral}: {_grip(written.chord, grip)}"


def _grip(chord: Chord, grip: Grip) -> str:
    """`string 6 fret 3 middle finger, G2; string 4 fret 3 ring finger, F3; the rest silent`."""
    strings = len(grip.frets)
    notes = [
        f"{_stopped(note, grip.fingers[strings - note.string])}, {pitch_text(note, chord)}"
        for note in grip.voicing.notes
    ]
    return "; ".join([*notes, "the rest silent"])


def _stopped(note: VoicedNote, finger: int | None) -> str:
    if finger is None:
        return f"string {note.string} open"
    return f"string {note.string} fret {note.fret} {FINGER_NAMES[finger]} finger"
