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
from ...grammar.sheet import Bar, Meter, Section, SheetChord
from .attributes import (
    add_clef,
    add_key,
    add_left_barline,
    add_right_barline,
    add_style,
    add_time,
)
from .cells import Cell, bar_cells
from .directions import (
    add_closing_signs,
    add_opening_signs,
    add_rehearsal,
    add_tempo,
    add_words,
)
from .harmony import add_chord, add_frame
from .notes import Stave, Stroke, Writing, add_full_rest, add_stroke
from .xml import add

#: Bars on a line of the page (common practice, no source).
BARS_A_LINE: Final = 4


@dataclass(frozen=True, slots=True)
class Written:
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

    def write(self, written: Written) -> None:
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

    def _begin(self, written: Written) -> ET.Element:
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

    def _words(self, measure: ET.Element, written: Written, first: bool) -> None:
        if first:
            sheet = self.chart.sheet
            add_tempo(measure, sheet, usual_swing(sheet))
        if written.section is not None:
            self._section(measure, written.section, first and not written.bar.pickup)
        add_opening_signs(measure, written.bar)

    def _attributes(self, measure: ET.Element, written: Written) -> None:
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

    def _fill(self, measure: ET.Element, written: Written, quarters: Fraction) -> None:
        if written.bar.rest_bars:
            add_full_rest(measure, quarters, self._stave())
            return
        for cell in bar_cells(replace(written.bar, chords=written.chords)):
            if cell.chord is not None and cell.starts and self.writing != "tab":
                self._harmony(measure, written, cell.chord)
            add_stroke(measure, self._stroke(written, cell), self._stave())

    def _stave(self) -> Stave:
        return Stave(self.writing, self._fifths, self.divisions)

    def _stroke(self, written: Written, cell: Cell) -> Stroke:
        if cell.chord is None:
            return Stroke(cell, None, None, silent=True)
        said = written.chords[cell.chord]
        grip = self.chart.plan.grips[written.first_chord + cell.chord]
        hold = said.hold and not written.bar.simile
        return Stroke(cell, said.chord, grip, hold, silent=said.chord is None)

    def _harmony(self, measure: ET.Element, written: Written, at: int) -> None:
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
    lengths = [cell.quarters.denominator for bar in bars for cell in bar_cells(bar)]
    return lcm(1, *lengths)
