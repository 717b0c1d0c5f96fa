"""One written bar as a `<measure>`, or as several where it is a multi-bar rest."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import dataclass, field, replace
from fractions import Fraction
from math import lcm
from typing import Final

from ...converter.chart import CompingChart
from ...converter.practice.choruses import usual_swing
from ...grammar.chord import NO_CHORD, Chord
from ...grammar.key import Key
from ...grammar.pitch import Interval
from ...grammar.sheet import Bar, Meter, Section, Sheet, SheetChord
from ...grammar.transpose import transpose_key
from .notes import (
    Stave,
    StrokeSlot,
    Writing,
    WrittenStroke,
    add,
    add_chord,
    add_frame,
    add_full_rest,
    add_stroke,
    stroke_slots,
)

# What stands at the start of a measure: divisions, key, time, clef, and its bar lines.

_STEPS: Final = ("C", "C", "D", "D", "E", "F", "F", "G", "G", "A", "A", "B")
_SHARP: Final = (1, 3, 6, 8, 10)


def add_key(attributes: ET.Element, key: Key) -> int:
    """A key signature, and its sharps; beyond seven the one with the other names is written."""
    fifths = transpose_key(key, Interval(0, 0)).fifths
    element = add(attributes, "key")
    add(element, "fifths", fifths)
    add(element, "mode", key.mode)
    return fifths


def add_time(attributes: ET.Element, meter: Meter) -> None:
    """A time signature, cut time with its sign."""
    element = add(attributes, "time", **({"symbol": "cut"} if meter.cut else {}))
    add(element, "beats", meter.beats)
    add(element, "beat-type", meter.unit)


def add_clef(attributes: ET.Element, tuning: tuple[int, ...], writing: Writing) -> None:
    """The treble clef of guitars, or that of tablature with a line and a tuning for each string."""
    clef = add(attributes, "clef")
    if writing != "tab":
        add(clef, "sign", "G")
        add(clef, "line", 2)
        add(clef, "clef-octave-change", -1)
        return
    add(clef, "sign", "TAB")
    add(clef, "line", 5)
    details = add(attributes, "staff-details")
    add(details, "staff-lines", len(tuning))
    for line, midi in enumerate(tuning, start=1):
        string = add(details, "staff-tuning", line=line)
        add(string, "tuning-step", _STEPS[midi % 12])
        if midi % 12 in _SHARP:
            add(string, "tuning-alter", 1)
        add(string, "tuning-octave", midi // 12 - 1)


def add_style(attributes: ET.Element, before: int, bar: Bar) -> None:
    """Multi-bar rests, and signs that repeat one or two bars, where they begin and end.

    `before` is the `simile` of the bar before.
    """
    if before and bar.simile != before:
        style = add(attributes, "measure-style")
        add(style, "measure-repeat", "", type="stop")
    if bar.simile and bar.simile != before:
        style = add(attributes, "measure-style")
        add(style, "measure-repeat", bar.simile, type="start", slashes=bar.simile)
    if bar.rest_bars:
        add(add(attributes, "measure-style"), "multiple-rest", bar.rest_bars)


def add_left_barline(measure: ET.Element, bar: Bar) -> None:
    """A repeat that opens, an ending that begins."""
    if not bar.repeat_open and not bar.endings:
        return
    barline = add(measure, "barline", location="left")
    if bar.repeat_open:
        add(barline, "bar-style", "heavy-light")
    if bar.endings:
        _add_ending(barline, bar.endings, "start")
    if bar.repeat_open:
        add(barline, "repeat", direction="forward")


def add_right_barline(measure: ET.Element, bar: Bar, ending: tuple[int, ...], last: bool) -> None:
    """A repeat or ending that closes (`ending`: its passes, empty for none open), a double bar."""
    closes = bool(bar.ending_close and ending)
    if not (bar.repeat_close or bar.double_bar or closes or last):
        return
    barline = add(measure, "barline", location="right")
    if bar.double_bar and not bar.repeat_close:
        add(barline, "bar-style", "light-light")
    elif bar.repeat_close or last:
        add(barline, "bar-style", "light-heavy")
    if closes:
        _add_ending(barline, ending, "stop" if bar.repeat_close else "discontinue")
    if bar.repeat_close:
        times = {"times": bar.repeat_close} if bar.repeat_close > 2 and not closes else {}
        add(barline, "repeat", direction="backward", **times)


def _add_ending(barline: ET.Element, passes: tuple[int, ...], type_: str) -> None:
    numbers = ", ".join(str(number) for number in passes)
    shown = f"{numbers}." if type_ == "start" else None
    add(barline, "ending", shown, number=numbers, type=type_)


# Directions: tempo and feel, rehearsal marks, words for the player, signs and jumps, numerals.
#
# Jumps carry the words of the page and the `sound` attributes that players of MusicXML go by. Words
# that say nothing about the form are marked by the direction's id (`text-…`, `roman-…`, `push-…`),
# so that a reader need not guess.

#: Swing is written as two whole numbers, the second no greater than this.
_FINEST: Final = 100


def _direction(parent: ET.Element, placement: str = "above", id_: str = "") -> ET.Element:
    attributes = {"placement": placement} | ({"id": id_} if id_ else {})
    return add(parent, "direction", **attributes)


def add_words(parent: ET.Element, text: str, id_: str, below: bool = False) -> None:
    """Words that say nothing about the form."""
    direction = _direction(parent, "below" if below else "above", id_)
    add(add(direction, "direction-type"), "words", text)


def add_rehearsal(parent: ET.Element, label: str) -> None:
    """A section's label."""
    add(add(_direction(parent), "direction-type"), "rehearsal", label)


def add_tempo(parent: ET.Element, sheet: Sheet, swing: Fraction) -> None:
    """The metronome mark and the feel of the header, where it has them; `swing` is the ratio of
    its eighths.
    """
    header, beat = sheet.header, sheet.tempo_quarters
    if header.tempo is not None:
        direction = _direction(parent)
        metronome = add(add(direction, "direction-type"), "metronome", parentheses="no")
        add(metronome, "beat-unit", "quarter")
        if beat != 1:
            add(metronome, "beat-unit-dot")
        add(metronome, "per-minute", header.tempo)
        add(direction, "sound", tempo=_decimal(header.tempo * beat))
    if header.feel:
        _add_feel(parent, header.feel, swing)


def _decimal(value: Fraction) -> str:
    return str(value) if value.denominator == 1 else str(float(value))


def _add_feel(parent: ET.Element, feel: str, ratio: Fraction) -> None:
    """The feel in words, and to players the ratio in small numbers, straight for one to one."""
    direction = _direction(parent)
    add(add(direction, "direction-type"), "words", feel)
    swing = add(add(direction, "sound"), "swing")
    near = ratio.limit_denominator(_FINEST)
    if near == 1:
        add(swing, "straight")
    else:
        add(swing, "first", near.numerator)
        add(swing, "second", near.denominator)
        add(swing, "swing-type", "eighth")
    add(swing, "swing-style", feel)


def add_opening_signs(parent: ET.Element, bar: Bar) -> None:
    """The signs at a bar's start: segno, Coda."""
    if bar.segno:
        direction = _direction(parent)
        add(add(direction, "direction-type"), "segno")
        add(direction, "sound", segno="segno")
    if bar.coda:
        direction = _direction(parent)
        add(add(direction, "direction-type"), "coda")
        add(direction, "sound", coda="coda")


def add_closing_signs(parent: ET.Element, bar: Bar) -> None:
    """The words at a bar's end: To Coda, Fine, D.C. and D.S."""
    if bar.to_coda:
        _add_said(parent, "To Coda", tocoda="coda")
    if bar.fine:
        _add_said(parent, "Fine", fine="yes")
    if bar.jump is not None:
        sound = {"dacapo": "yes"} if bar.jump.to == "capo" else {"dalsegno": "segno"}
        _add_said(parent, str(bar.jump), **sound)


def _add_said(parent: ET.Element, words: str, **sound: str) -> None:
    direction = _direction(parent)
    add(add(direction, "direction-type"), "words", words)
    add(direction, "sound", **sound)


# One written bar as a `<measure>`, or as several where it is a multi-bar rest.

#: Bars on a line of the page (common practice, no source).
BARS_A_LINE: Final = 4


@dataclass(frozen=True, slots=True)
class WrittenBar:
    """A bar in the order in which it is written out.

    `chords`: what sounds in it, its own or those of the bar that it repeats, the first of them
    `first_chord` of the sheet. `key`: the one that is stated for the bar, by its section or the
    header; `section`: the one that begins here, None where none does; `last`: no bar follows.
    """

    bar: Bar
    chords: tuple[SheetChord, ...]
    first_chord: int
    key: Key | None
    section: Section | None
    last: bool


@dataclass(slots=True)
class MeasureWriter:
    """Writes bars in order; remembers what holds from one to the next.

    A part of fret numbers has notes and bar lines alone: words and symbols stand above the other.
    """

    part: ET.Element
    chart: CompingChart
    writing: Writing = "slashes"
    divisions: int = 2
    _number: int = 0
    _line: int = 0
    _fifths: int = 0
    _simile: int = 0
    _key: Key | None = None
    _meter: Meter | None = None
    _ending: tuple[int, ...] = field(default=())

    def write(self, written: WrittenBar) -> None:
        """One bar."""
        bar, quarters = written.bar, written.bar.quarters
        measure = self._begin(written)
        self._fill(measure, written, quarters)
        for _ in range(max(bar.rest_bars, 1) - 1):
            measure = self._next()
            add_full_rest(measure, quarters, self._stave())
        if self.writing != "tab":
            add_closing_signs(measure, bar)
        self._ending = bar.endings or self._ending
        add_right_barline(measure, bar, self._ending, written.last)
        if bar.ending_close:
            self._ending = ()

    def _next(self, pickup: bool = False) -> ET.Element:
        self._number += not pickup
        implicit = {"implicit": "yes"} if pickup else {}
        return add(self.part, "measure", number=self._number, **implicit)

    def _begin(self, written: WrittenBar) -> ET.Element:
        bar, section = written.bar, written.section
        first = self._meter is None
        measure = self._next(bar.pickup)
        self._line = 0 if section is not None and section.label else self._line
        if self._line % BARS_A_LINE == 0 and self._number > 1:
            add(measure, "print", new_system="yes")
        self._line += not bar.pickup
        add_left_barline(measure, bar)
        self._attributes(measure, written)
        if self.writing != "tab":
            self._words(measure, written, first)
        return measure

    def _words(self, measure: ET.Element, written: WrittenBar, first: bool) -> None:
        if first:
            sheet = self.chart.sheet
            add_tempo(measure, sheet, usual_swing(sheet))
        if written.section is not None:
            self._section(measure, written.section, first and not written.bar.pickup)
        add_opening_signs(measure, written.bar)

    def _attributes(self, measure: ET.Element, written: WrittenBar) -> None:
        bar, first = written.bar, self._meter is None
        attributes = ET.Element("attributes")
        if first:
            add(attributes, "divisions", self.divisions)
        states = written.section is not None and written.section.key is not None
        if written.key is not None and (states or written.key != self._key):
            self._fifths = add_key(attributes, written.key)
        if bar.meter != self._meter:
            add_time(attributes, bar.meter)
        if first:
            add_clef(attributes, self.chart.player.neck.tuning, self.writing)
        add_style(attributes, self._simile, bar)
        self._key, self._meter, self._simile = written.key, bar.meter, bar.simile
        if len(attributes):
            measure.append(attributes)

    def _section(self, measure: ET.Element, section: Section, plain: bool) -> None:
        """The mark of a section; none where it is `plain` that one begins: in the first bar, but
        not in a pickup, which would be taken for a part of what follows.
        """
        if section.label:
            add_rehearsal(measure, section.label)
        elif not plain:
            add(measure, "bookmark", id=f"section-{self._number}", name="section")
        for index, text in enumerate(section.text, start=1):
            add_words(measure, text, f"text-{self._number}-{index}")

    def _fill(self, measure: ET.Element, written: WrittenBar, quarters: Fraction) -> None:
        if written.bar.rest_bars:
            add_full_rest(measure, quarters, self._stave())
            return
        for cell in stroke_slots(replace(written.bar, chords=written.chords)):
            if cell.chord is not None and cell.starts and self.writing != "tab":
                self._harmony(measure, written, cell.chord)
            add_stroke(measure, self._stroke(written, cell), self._stave())

    def _stave(self) -> Stave:
        return Stave(self.writing, self._fifths, self.divisions)

    def _stroke(self, written: WrittenBar, cell: StrokeSlot) -> WrittenStroke:
        if cell.chord is None:
            return WrittenStroke(cell, None, None, silent=True)
        said = written.chords[cell.chord]
        grip = self.chart.plan.grips[written.first_chord + cell.chord]
        hold = said.hold and not written.bar.simile
        return WrittenStroke(cell, said.chord, grip, hold, silent=said.chord is None)

    def _harmony(self, measure: ET.Element, written: WrittenBar, at: int) -> None:
        said, index = written.chords[at], written.first_chord + at
        if written.bar.simile:
            again = f"again-{self._number}-{index}"
            add_chord(add(measure, "harmony", id=again, **_printed(said.chord)), said.chord)
            return
        if said.push:
            add_words(measure, "push", f"push-words-{self._number}-{index}")
        push = {"id": f"push-{self._number}-{index}"} if said.push else {}
        harmony = add(measure, "harmony", **push, **_printed(said.chord))
        add_chord(harmony, said.chord)
        grip = self.chart.plan.grips[index]
        if grip is not None:
            add_frame(harmony, grip, "" if said.pin is None else f"pin-{self._number}-{index}")
        if said.chord is None:
            add_words(measure, NO_CHORD, f"silence-{self._number}-{index}")
        reading = self.chart.analysis.readings[index]
        if reading is not None and reading.roman:
            add_words(measure, reading.roman, f"roman-{self._number}-{index}", below=True)


def _printed(chord: Chord | None) -> dict[str, str]:
    """N.C. is printed as words: programs would print the root that the schema asks for."""
    return {"print_object": "no"} if chord is None else {"print_frame": "yes"}


def divisions_for(bars: tuple[Bar, ...]) -> int:
    """Divisions of a quarter that count every stroke whole."""
    lengths = [cell.quarters.denominator for bar in bars for cell in stroke_slots(bar)]
    return lcm(1, *lengths)
