"""A chart in words, chord by chord: sentences for reading aloud, and text for pictures of chords.

`chart_sentences` gives a line for each chord: its bar and beat, its numeral, and its grip string by
string from the lowest. Silence has a line too, so that no information depends on the layout.

`chord_alternative` and `bar_alternative` give one line for readers who do not see the picture of a
chord or a bar, with names as they are said: `beats 1 to 4, C minor seven, the six minor seven,
frets 8 x 8 8 x x, fingers 2 3 3`. Frets are listed from the lowest string up, x for a silent
string; fingers in the order of the strings that they press.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from ...grammar.chord import Chord
from ...grammar.sheet import Bar, Section, SheetChord, second_of_two
from ..chart import CompingChart
from ..hand.grip import FINGER_NAMES, Grip, VoicedNote, grip_alternative, pitch_text
from ..harmony.analysis import Reading
from .areas import area_lines
from .facts import (
    bar_marks,
    beats_words,
    counted,
    heading_lines,
    meter_text,
    travel_lines,
)
from .remarks import remark_lines
from .spoken import spoken_chord, spoken_key, spoken_numeral


def chart_sentences(chart: CompingChart, analysis: bool = True) -> list[str]:
    """The whole chart in lines; without numerals and areas when not `analysis`."""
    lines = heading_lines(chart)
    sheet = chart.sheet
    for section in sheet.sections:
        lines += ["", *_section_lines(section)]
        for index in range(section.first, section.first + section.count):
            lines += _bar_lines(chart, index, sheet.first_chords[index], analysis)
    lines += area_lines(sheet, chart.analysis.passages) if analysis else []
    remarks = remark_lines(chart)
    return [*lines, *([""] if remarks else []), *remarks, "", *travel_lines(chart)]


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
    name = f"Bars {bar.number} to {bar.last_number}" if bar.rest_bars > 1 else name
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
    stroke += " optional" * written.optional
    numeral = "" if reading is None else f", {reading.sentence}"
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


def chord_alternative(
    chart: CompingChart, index: int, written: SheetChord, analysis: bool = True
) -> str:
    """The written chord with an index in words, without its numeral when not `analysis`."""
    grip = chart.plan.grips[index]
    reading = chart.analysis.readings[index] if analysis else None
    parts = (
        beats_text(written),
        "no chord" if written.chord is None else spoken_chord(written.chord),
        _numeral(reading, chart.analysis.names_key(index)),
        _resolution(chart, index) if analysis else "",
        "" if grip is None else grip_alternative(grip),
        "struck an eighth early" if written.push else "",
        "held" if written.hold else "",
        "optional" if written.optional else "",
    )
    return ", ".join(part for part in parts if part)


def _numeral(reading: Reading | None, names_key: bool) -> str:
    """The numeral, with its key if that is named."""
    if reading is None:
        return ""
    key = f" in {spoken_key(reading.key)}" if names_key else ""
    doubt = "perhaps " if reading.doubtful else ""
    return f"{doubt}the {spoken_numeral(reading.numeral)}{key}"


def _resolution(chart: CompingChart, index: int) -> str:
    """Where a dominant resolves that does not resolve in the next chord."""
    reading = chart.analysis.readings[index]
    target = None if reading is None else reading.resolves_to
    if target is None or target == index + 1:
        return ""
    return f"resolves in bar {chart.sheet.bar_number_of(target)}"


def beats_text(written: SheetChord) -> str:
    """The beats that a chord lasts: `beat 3`, `beats 1 to 4`, `from beat 4 1/2 for 1/2 beat`."""
    start, length = written.start, written.beats
    if start.denominator == length.denominator == 1:
        first = start.numerator + 1
        last = first + length.numerator - 1
        return f"beat {first}" if first == last else f"beats {first} to {last}"
    beats = f"beat{'s' * (length > 1)}"
    return f"from beat {_mixed(start + 1)} for {_mixed(length)} {beats}"


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
