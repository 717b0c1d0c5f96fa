"""The machine-readable report: one JSON object for each sheet.

Takes a `CompingChart`, gives plain dictionaries that `json` can write. `schema` is raised when the
meaning of a field changes. Written chords are in written order and every index (`played`,
`resolves_to`, `areas`) points into them; an N.C. is a chord of kind `none` without root or grip.
Bars count from 1 (a pickup is bar 0), beats from 1. Its JSON Schema is `report.schema.json`.
"""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from typing import Any, Final

from ..converter.chart import CompingChart
from ..converter.hand.grip import Grip, VoicedNote
from ..converter.hand.plan import Travel
from ..converter.harmony.analysis import Area, Reading
from ..grammar.chord import NO_CHORD, Chord
from ..grammar.errors import SheetError
from ..grammar.sheet import Bar, SheetChord

SCHEMA: Final = 1


def report(chart: CompingChart) -> dict[str, Any]:
    """What is known about one sheet: its chords, their harmony and grips, the areas, the travel."""
    header = chart.sheet.header
    return {
        "schema": SCHEMA,
        "title": header.title,
        "key": str(chart.analysis.key),
        "time": str(header.meter),
        "tempo": header.tempo,
        "played": list(chart.form.chords),
        "chords": _chords(chart),
        "areas": [_area(area) for area in chart.analysis.areas],
        "travel": _travel(chart.plan.travel),
    }


def problems_report(error: SheetError) -> dict[str, Any]:
    """The mistakes of a sheet that could not be read, in the place of its report."""
    fields = ("line", "column", "message", "text", "expected", "suggestion")
    return {
        "schema": SCHEMA,
        "file": error.name,
        "problems": [
            {field: getattr(problem, field) for field in fields} for problem in error.problems
        ],
    }


def load_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of one line of the report."""
    text = Path(__file__).with_name("report.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def sounding_name(note: VoicedNote, chord: Chord) -> str:
    """A voiced note with its octave, spelled as its chord spells it: `Bb3` (C4 is MIDI 60)."""
    name = chord.bass if note.tone is None else chord.spelled(note.tone)
    if name is None:
        raise ValueError("a note outside its chord's tones must be the written bass")
    return f"{name}{(note.midi - name.alteration) // 12 - 1}"


def _chords(chart: CompingChart) -> list[dict[str, Any]]:
    places = [(bar, written) for bar in chart.sheet.bars for written in bar.chords]
    rows = zip(places, chart.analysis.readings, chart.plan.grips, strict=True)
    return [
        _place(bar, written) | _symbol(written) | _reading(reading) | _grip(written.chord, grip)
        for (bar, written), reading, grip in rows
    ]


def _place(bar: Bar, written: SheetChord) -> dict[str, Any]:
    return {
        "bar": bar.number,
        "beat": _number(written.start + 1),
        "beats": _number(written.beats),
    }


def _symbol(written: SheetChord) -> dict[str, Any]:
    chord = written.chord
    if chord is None:
        return {"symbol": NO_CHORD, "root": None, "kind": "none", "bass": None, "pitch_classes": []}
    return {
        "symbol": str(chord),
        "root": str(chord.root),
        "kind": chord.kind,
        "bass": None if chord.bass is None else str(chord.bass),
        "pitch_classes": list(chord.pitch_classes),
    }


def _reading(reading: Reading | None) -> dict[str, Any]:
    if reading is None:
        return dict.fromkeys(("key", "roman", "role", "resolves_to"))
    return {
        "key": str(reading.key),
        "roman": reading.roman,
        "role": reading.role,
        "resolves_to": reading.resolves_to,
    }


def _grip(chord: Chord | None, grip: Grip | None) -> dict[str, Any]:
    if chord is None or grip is None:
        return {"grip": None}
    return {
        "grip": {
            "frets": list(grip.frets),
            "fingers": list(grip.fingers),
            "notes": [sounding_name(note, chord) for note in grip.voicing.notes],
            "position": grip.position,
        }
    }


def _area(area: Area) -> dict[str, Any]:
    return {
        "kind": area.kind,
        "key": str(area.key),
        "chords": list(area.chords),
        "resolved": area.resolved,
    }


def _travel(travel: Travel) -> dict[str, Any]:
    return {
        "shift_frets": travel.shift_frets,
        "shifts": travel.shifts,
        "changes": travel.changes,
        "travel_mm": round(travel.travel_mm, 1),
        "outside_window": travel.outside_window,
        "lowest_fret": travel.lowest_fret,
        "highest_fret": travel.highest_fret,
        "widest_reach_mm": round(travel.widest_reach_mm, 1),
        "optimal": travel.optimal,
    }


def _number(value: Fraction) -> int | float:
    return value.numerator if value.denominator == 1 else float(value)
