"""A comping chart written as MusicXML 4.0.

Takes a `CompingChart`, gives the bytes of a `.musicxml` file: one part for guitar with a slash a
beat, or with `tab` the voicings written out, and a second part that is their tablature. Chord
symbols carry kind, degrees, bass and the grip's frame; numerals stand below them as words.
Sections that are played again by name are written out again. Comments and positions in the source
file are left out; all else that a sheet holds comes back when the file is read. The same chart
gives the same bytes: there is no date in the file.

Source: MusicXML 4.0, W3C Music Notation Community Group Final Report, 2021.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from ...converter.chart import CompingChart
from ...grammar.form.repeats import form_steps
from ...grammar.form.unfold import sounding_bars
from ...grammar.sheet import Header, Sheet
from ..output import MARK
from .measure import MeasureWriter, ScoreBar, divisions_for
from .notes import Writing
from .xml import add, to_bytes

_VERSION: Final = "4.0"
#: General MIDI's jazz guitar, counted from 1 as MusicXML does.
_MIDI_PROGRAM: Final = 27


def write_musicxml(chart: CompingChart, tab: bool = False, stamp: str = "") -> bytes:
    """The chart as an uncompressed MusicXML file in UTF-8; with `tab` as notes and tablature.

    `stamp` tells what the file was made of, and stands in its description of the encoding.
    """
    score = ET.Element("score-partwise", {"version": _VERSION})
    _add_heading(score, chart.sheet.header, stamp)
    writings: tuple[Writing, ...] = ("notes", "tab") if tab else ("slashes",)
    _add_part_list(score, writings)
    divisions = divisions_for(chart.sheet.bars)
    for number, writing in enumerate(writings, start=1):
        part = add(score, "part", id=f"P{number}")
        writer = MeasureWriter(part, chart, writing, divisions)
        for bar in score_bars(chart.sheet):
            writer.write(bar)
    return to_bytes(score)


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
    """Every bar in the order of the page, sections that are only named written out."""
    steps, sounding, stated = form_steps(sheet.sections), sounding_bars(sheet), sheet.stated_keys
    for at, step in enumerate(steps):
        section = sheet.sections[step.section]
        bar, key = sheet.bars[step.bar], stated[step.bar]
        if step.recalled:
            bar, key = replace(bar, segno=False, coda=False), section.key or key
        source = sounding[step.bar]
        yield ScoreBar(
            bar, sheet.bars[source].chords, sheet.first_chords[source], key or sheet.header.key,
            section if step.starts else None, at == len(steps) - 1,
        )  # fmt: skip
