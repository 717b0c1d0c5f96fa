"""A comping chart written as MusicXML 4.0.

Takes a `CompingChart`, gives the bytes of a `.musicxml` file: one part for guitar with a slash a
beat, or with `tab` the voicings written out, and a second part that is their tablature. Chord
symbols have kind, degrees, bass and the grip's frame; numerals are words below them. Sections that
are played again by name are written out again. Reading the file gives the same sheet, without its
comments and source positions. The same chart gives the same bytes: there is no date in the file.

A harmony that is struck an eighth before its beat has an id that begins with `push` instead of an
`<offset>`, which makes some programs lose the symbol if it crosses the bar line.

Source: MusicXML 4.0, W3C Music Notation Community Group Final Report, 2021.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator, Sequence
from dataclasses import field, replace
from itertools import groupby
from math import lcm
from typing import Final

from ...converter.chart import CompingChart
from ...converter.practice.choruses import usual_swing
from ...grammar.chord import NO_CHORD, Chord
from ...grammar.errors import TuneError
from ...grammar.form.repeats import FormStep, form_steps, section_bars
from ...grammar.form.unfold import sounding_bars
from ...grammar.frozen import frozen, mutable
from ...grammar.key import Key
from ...grammar.limits import MAX_SCORE_BEATS
from ...grammar.sheet import Bar, Header, Meter, Section, Sheet, SheetChord
from ..stamps import MARK
from .directions import (
    add_clef,
    add_closing_signs,
    add_key,
    add_left_barline,
    add_opening_signs,
    add_rehearsal,
    add_right_barline,
    add_style,
    add_tempo,
    add_time,
    add_words,
)
from .notes import (
    ScoreStroke,
    Stave,
    StrokeSlot,
    Writing,
    add_chord,
    add_frame,
    add_full_rest,
    add_stroke,
    stroke_slots,
)
from .xml import add, to_bytes

_VERSION: Final = "4.0"
#: General MIDI's jazz guitar, counted from 1 as MusicXML does.
_MIDI_PROGRAM: Final = 27
#: Bars on a line of the page (common practice, no source).
BARS_A_LINE: Final = 4


def write_musicxml(chart: CompingChart, tab: bool = False, stamp: str = "") -> bytes:
    """The chart as an uncompressed MusicXML file in UTF-8; with `tab` as notes and tablature.

    `stamp` identifies the input of the file; it is written in the description of the encoding.
    Raises TuneError for a tune of more beats than `MAX_SCORE_BEATS`.
    """
    bars = tuple(score_bars(chart.sheet))
    _check_size(bars, parts=2 if tab else 1)
    score = ET.Element("score-partwise", {"version": _VERSION})
    _add_heading(score, chart.sheet.header, stamp)
    writings: tuple[Writing, ...] = ("notes", "tab") if tab else ("slashes",)
    _add_part_list(score, writings)
    divisions = divisions_for(chart.sheet.bars)
    for number, writing in enumerate(writings, start=1):
        part = add(score, "part", id=f"P{number}")
        writer = MeasureWriter(part, chart, writing, divisions)
        for bar in bars:
            writer.write(bar)
    return to_bytes(score)


def _check_size(bars: Sequence[ScoreBar], parts: int) -> None:
    """Raise TuneError when a score would have too many beats; a multi-bar rest has none."""
    meters = (bar.written.meter for bar in bars if not bar.written.rest_bars)
    beats = parts * sum(meter.beats // (3 if meter.compound else 1) for meter in meters)
    if beats > MAX_SCORE_BEATS:
        raise TuneError(
            f"that is too long for MusicXML: its parts would have {beats:,} beats, at most "
            f"{MAX_SCORE_BEATS:,} are written"
        )


def _add_heading(score: ET.Element, header: Header, stamp: str) -> None:
    if header.title:
        add(add(score, "work"), "work-title", header.title)
    identification = add(score, "identification")
    if header.by:
        add(identification, "creator", header.by, type="composer")
    encoding = add(identification, "encoding")
    add(encoding, "software", MARK)
    if stamp:
        add(encoding, "encoding-description", stamp)
    if header.other:
        fields = add(identification, "miscellaneous")
        for name, value in header.other:
            add(fields, "miscellaneous-field", value, name=name)


def _add_part_list(score: ET.Element, writings: tuple[Writing, ...]) -> None:
    listed = add(score, "part-list")
    for number, writing in enumerate(writings, start=1):
        part = add(listed, "score-part", id=f"P{number}")
        add(part, "part-name", "Tablature" if writing == "tab" else "Guitar")
        instrument = add(part, "score-instrument", id=f"P{number}-I1")
        add(instrument, "instrument-name", "Guitar")
        sound = add(part, "midi-instrument", id=f"P{number}-I1")
        add(sound, "midi-channel", number)
        add(sound, "midi-program", _MIDI_PROGRAM)


def score_bars(sheet: Sheet) -> Iterator[ScoreBar]:
    """Every bar in the order of the page, with sections that are played again written out."""
    steps, sounding, stated = form_steps(sheet.sections), sounding_bars(sheet), sheet.stated_keys
    unrepeated = _unrepeated(sheet, steps, sounding)
    for at, step in enumerate(steps):
        section = sheet.sections[step.section]
        bar, key = sheet.bars[step.bar], stated[step.bar]
        if step.recalled:
            bar, key = replace(bar, segno=False, coda=False), section.key or key
        source = sounding[step.bar]
        if at in unrepeated:
            heard = sheet.bars[source]
            bar = replace(bar, simile=0, chords=heard.chords, rest_bars=min(heard.rest_bars, 1))
        yield ScoreBar(
            bar, sheet.bars[source].chords, sheet.first_chords[source], key or sheet.header.key,
            section if step.starts else None, at == len(steps) - 1,
        )  # fmt: skip


def _unrepeated(sheet: Sheet, steps: Sequence[FormStep], sounding: Sequence[int]) -> set[int]:
    """The steps whose `%` is written out as what it repeats.

    These are the signs at the start of a section that is played again, where other bars stand
    before it than the first time, and those that repeat a rest, of which a score has no sign.
    """
    found: set[int] = set()
    at = 0
    for (simile, _), run in groupby(
        steps, key=lambda step: (sheet.bars[step.bar].simile, step.section)
    ):
        steps_of_run = list(run)
        first = steps_of_run[0]
        within = first.bar - section_bars(sheet.sections, first.section).start
        rests = any(sheet.bars[sounding[step.bar]].rest_bars for step in steps_of_run)
        if simile and (rests or (first.recalled and within < simile)):
            found.update(range(at, at + len(steps_of_run)))
        at += len(steps_of_run)
    return found


@frozen
class ScoreBar:
    """A bar of the score, whose sections are all written out.

    `written`: the bar of the sheet. `chords`: its own chords, or those of the bar that it repeats;
    the first of them is chord `first_chord` of the sheet. `key`: the key that the section or the
    header states for the bar. `section`: the section that begins here, or None. `last`: no bar
    follows.
    """

    written: Bar
    chords: tuple[SheetChord, ...]
    first_chord: int
    key: Key | None
    section: Section | None
    last: bool


@mutable
class MeasureWriter:
    """Adds bars to a `part` in order, with the state that carries over from bar to bar.

    A tablature part has only notes and bar lines; words and symbols are in the other part.
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
    _heard: Key | None = None
    _meter: Meter | None = None
    _ending: tuple[int, ...] = field(default=())

    def write(self, bar: ScoreBar) -> None:
        """Add one bar, or as many measures as it has bars of rest."""
        written = bar.written
        measure = self._begin(bar)
        self._fill(measure, bar)
        for _ in range(written.bar_count - 1):
            measure = self._next()
            add_full_rest(measure, written.quarters, self._stave())
        if self.writing != "tab":
            add_closing_signs(measure, written)
        self._ending = written.endings or self._ending
        add_right_barline(measure, written, self._ending, bar.last)
        if written.ending_close:
            self._ending = ()

    def _next(self, pickup: bool = False) -> ET.Element:
        self._number += not pickup
        implicit = {"implicit": "yes"} if pickup else {}
        return add(self.part, "measure", number=self._number, **implicit)

    def _begin(self, bar: ScoreBar) -> ET.Element:
        first = self._meter is None
        measure = self._next(bar.written.pickup)
        self._line = 0 if bar.section is not None and bar.section.label else self._line
        if self._line % BARS_A_LINE == 0 and self._number > 1:
            add(measure, "print", new_system="yes")
        self._line += not bar.written.pickup
        add_left_barline(measure, bar.written)
        self._add_attributes(measure, bar)
        if self.writing != "tab":
            self._add_opening(measure, bar, first)
        return measure

    def _add_opening(self, measure: ET.Element, bar: ScoreBar, first: bool) -> None:
        if first:
            sheet = self.chart.sheet
            add_tempo(measure, sheet, usual_swing(sheet))
        if bar.section is not None:
            self._add_section(measure, bar.section, first and not bar.written.pickup)
        add_opening_signs(measure, bar.written)

    def _add_attributes(self, measure: ET.Element, bar: ScoreBar) -> None:
        written, first = bar.written, self._meter is None
        attributes = ET.Element("attributes")
        if first:
            add(attributes, "divisions", self.divisions)
        stated = bar.section is not None and bar.section.key is not None
        if bar.key is not None and (stated or bar.key != self._key):
            self._fifths = add_key(attributes, bar.key)
        if written.meter != self._meter:
            add_time(attributes, written.meter)
        if first:
            add_clef(attributes, self.chart.player.neck.tuning, self.writing)
        add_style(attributes, self._simile, written)
        self._key, self._meter, self._simile = bar.key, written.meter, written.simile
        if len(attributes):
            measure.append(attributes)

    def _add_section(self, measure: ET.Element, section: Section, opens: bool) -> None:
        """The label of a section, or a bookmark where it has none; its texts.

        A section with which the tune `opens` needs no bookmark. If a pickup comes first, the
        section after it does, because the pickup would be read as a part of it.
        """
        if section.label:
            add_rehearsal(measure, section.label)
        elif not opens:
            add(measure, "bookmark", id=f"section-{self._number}", name="section")
        for index, text in enumerate(section.text, start=1):
            add_words(measure, text, f"text-{self._number}-{index}")

    def _fill(self, measure: ET.Element, bar: ScoreBar) -> None:
        if bar.written.rest_bars:
            add_full_rest(measure, bar.written.quarters, self._stave())
            return
        for slot in stroke_slots(replace(bar.written, chords=bar.chords)):
            if slot.chord is not None and slot.starts and self.writing != "tab":
                self._add_harmony(measure, bar, slot.chord)
            add_stroke(measure, self._stroke(bar, slot), self._stave())

    def _stave(self) -> Stave:
        return Stave(self.writing, self._fifths, self.divisions)

    def _stroke(self, bar: ScoreBar, slot: StrokeSlot) -> ScoreStroke:
        if slot.chord is None:
            return ScoreStroke(slot, None, None, silent=True)
        struck = bar.chords[slot.chord]
        grip = self.chart.plan.grips[bar.first_chord + slot.chord]
        hold = struck.hold and not bar.written.simile
        return ScoreStroke(slot, struck.chord, grip, hold, silent=struck.chord is None)

    def _add_harmony(self, measure: ET.Element, bar: ScoreBar, at: int) -> None:
        """Add symbol, frame and numeral of a chord of the bar; in a repeat bar only the symbol."""
        written, index = bar.chords[at], bar.first_chord + at
        place = f"{self._number}-{index}"
        if bar.written.simile:
            again = add(measure, "harmony", id=f"again-{place}", **_printed(written.chord))
            add_chord(again, written)
            return
        if written.push:
            add_words(measure, "push", f"push-words-{place}")
        push = {"id": f"push-{place}"} if written.push else {}
        harmony = add(measure, "harmony", **push, **_printed(written.chord))
        add_chord(harmony, written)
        grip, reading = self.chart.plan.grips[index], self.chart.analysis.readings[index]
        if grip is not None:
            add_frame(harmony, grip, "" if written.pin is None else f"pin-{place}")
        if written.chord is None:
            add_words(measure, NO_CHORD, f"silence-{place}")
        if reading is not None:
            label = reading.label(reading.key != self._heard)
            add_words(measure, label, f"roman-{place}", below=True)
            self._heard = reading.key


def _printed(chord: Chord | None) -> dict[str, str]:
    """Attributes that hide N.C., printed as words, because the schema requires a root for it."""
    return {"print_object": "no"} if chord is None else {"print_frame": "yes"}


def divisions_for(bars: tuple[Bar, ...]) -> int:
    """Divisions of a quarter that count every stroke whole."""
    lengths = [slot.quarters.denominator for bar in bars for slot in stroke_slots(bar)]
    return lcm(1, *lengths)
