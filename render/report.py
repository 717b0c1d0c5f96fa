"""The machine-readable reports: one JSON object for a chart, the areas of a tune, or a drill.

Takes finished values, gives plain dictionaries that `json` can write. `schema` is raised when the
meaning of a field changes. Chords are in written order and every index (`played`, `resolves_to`,
`areas`, a drill's `stations`) points into those of its chart; an N.C. is a chord of kind `none`
without root or grip. Bars count from 1 (a pickup is bar 0), beats from 1. The JSON Schema of a
chart's report is `report.schema.json`.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from fractions import Fraction
from math import ceil
from pathlib import Path
from typing import Any, Final

from ..converter.chart import CompingChart
from ..converter.drill.drill import Drill, Exercise, Station
from ..converter.hand.clashes import Clash
from ..converter.hand.grip import Grip, pitch_text
from ..converter.hand.plan import Travel
from ..converter.harmony.analysis import Analysis, Area, Reading, summarise
from ..converter.prose.areas import area_sentence, key_sentence
from ..converter.prose.facts import played_spans
from ..grammar.chord import NO_CHORD, Chord
from ..grammar.errors import SheetError
from ..grammar.form.unfold import Form
from ..grammar.sheet import Bar, Sheet, SheetChord

SCHEMA: Final = 1


def report(chart: CompingChart, file: str | None = None) -> dict[str, Any]:
    """The report of a chart: its chords, their harmony and grips, the areas, the travel.

    `file` is the name of the sheet's file, None for a sheet that was read from no file.
    """
    header = chart.sheet.header
    return {
        "schema": SCHEMA,
        "file": file,
        "title": header.title,
        **_key(chart.analysis, chart.sheet),
        "time": str(header.meter),
        "tempo": header.tempo,
        "played": list(chart.form.chords),
        "rounds": _rounds(chart.sheet, chart.form),
        "chords": _chords(chart),
        "areas": [_area(chart.sheet, area) for area in chart.analysis.areas],
        "travel": _travel(chart.plan.travel),
    }


def _key(analysis: Analysis, sheet: Sheet) -> dict[str, Any]:
    """The key of the tune, its mode, what the chords speak for and how surely, and why."""
    heard, rival = analysis.heard, analysis.rival
    return {
        "key": str(analysis.key),
        "mode": analysis.key.mode,
        "heard": None if heard is None else str(heard),
        "confidence": round(analysis.confidence, 2),
        "rival": None if rival is None else str(rival),
        "why": key_sentence(analysis, sheet),
    }


def _rounds(sheet: Sheet, form: Form) -> dict[str, list[int]]:
    """The numbers of the bars that are played once, that go round, that end the last chorus."""
    parts = {"opening": form.opening, "chorus": form.chorus, "ending": form.ending}
    numbers = [range(bar.number, bar.last_number + 1) for bar in sheet.bars]
    return {name: [each for at in bars for each in numbers[at]] for name, bars in parts.items()}


def problems_report(error: SheetError) -> dict[str, Any]:
    """The mistakes of a sheet that could not be read, written instead of its report."""
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


def _chords(chart: CompingChart) -> list[dict[str, Any]]:
    chords = [(bar, written) for bar in chart.sheet.bars for written in bar.chords]
    rows = zip(chords, chart.analysis.readings, chart.plan.grips, strict=True)
    return [
        _time(bar, written)
        | _symbol(written)
        | _reading(reading)
        | _grip(written.chord, grip)
        | _clashes(written.chord, [one for one in chart.plan.clashes if one.chord == index])
        for index, ((bar, written), reading, grip) in enumerate(rows)
    ]


def _clashes(chord: Chord | None, clashes: Sequence[Clash]) -> dict[str, Any]:
    """The notes of a pinned grip that contradict the symbol; no field if none does."""
    if chord is None or not clashes:
        return {}
    return {
        "clashes": [
            {
                "string": clash.note.string,
                "note": str(chord.spelled(clash.tone)),
                "degree": str(clash.tone),
                "instead": None if clash.instead is None else str(clash.instead),
            }
            for clash in clashes
        ]
    }


def _time(bar: Bar, written: SheetChord) -> dict[str, Any]:
    return {
        "bar": bar.number,
        "beat": _json_number(written.start + 1),
        "beats": _json_number(written.beats),
        "optional": written.optional,
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
        return dict.fromkeys(("key", "roman", "doubtful", "role", "resolves_to"))
    return {
        "key": str(reading.key),
        "roman": reading.roman,
        "doubtful": reading.doubtful,
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
            "notes": [pitch_text(note, chord) for note in grip.voicing.notes],
            "position": grip.position,
        }
    }


def _area(sheet: Sheet, area: Area) -> dict[str, Any]:
    return {
        "kind": area.kind,
        "key": str(area.key),
        "spans": _spans(sheet, area),
        "chords": list(area.chords),
        "resolved": area.resolved,
        "level": area.level,
    }


def _spans(sheet: Sheet, area: Area) -> list[list[int]]:
    """First and last bar of each stretch of an area: two where it skips an ending."""
    return [list(span) for span in played_spans(sheet, area.bars)]


def _travel(travel: Travel) -> dict[str, Any]:
    """The travel; a plan that is not proved has its gap, rounded up, None with `smooth`.

    `smooth` minimises the hardest change, of which no gap is known.
    """
    gap_mm = None if travel.smooth else ceil(10 * travel.gap_mm) / 10
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
        **({} if travel.optimal else {"gap_mm": gap_mm}),
    }


def area_data(sheet: Sheet, analysis: Analysis, file: str | None = None) -> dict[str, Any]:
    """One tune as plain data: its file as in `report`, key, areas, and the summary's counts."""
    summary = summarise([analysis])
    return {
        "schema": SCHEMA,
        "file": file,
        "title": sheet.header.title,
        **_key(analysis, sheet),
        "areas": [_area_in_words(sheet, area) for area in analysis.areas],
        "keys": {str(key): count for key, count in summary.keys},
        "two_five_ones": {str(key): count for key, count in summary.two_five_ones},
    }


def _area_in_words(sheet: Sheet, area: Area) -> dict[str, Any]:
    return {
        "kind": area.kind,
        "key": str(area.key),
        "bars": list(area.bars),
        "spans": _spans(sheet, area),
        "chords": [sheet.chords[index].symbol for index in area.chords],
        "resolved": area.resolved,
        "resolves_to": None if area.goal is None else sheet.chords[area.goal].symbol,
        "level": area.level,
        "sentence": area_sentence(sheet, area),
    }


def drill_data(drill: Drill) -> dict[str, Any]:
    """A drill: how it is practised, and its exercises, each with its keys and its chart."""
    practice = drill.practice
    return {
        "title": drill.title,
        "notes": list(drill.notes),
        "practice": {
            "repetitions": practice.repetitions,
            "bars_per_chord": float(practice.bars_per_chord),
            "ladder": list(practice.ladder),
            "tempo": practice.tempo,
            "rhythm": practice.rhythm,
            "time": str(practice.meter),
        },
        "exercises": [_exercise_data(exercise) for exercise in drill.exercises],
    }


def _exercise_data(exercise: Exercise) -> dict[str, Any]:
    progression = exercise.progression
    return {
        "name": exercise.name,
        "why": exercise.why,
        "progression": None if progression is None else str(progression),
        "stations": [_station_data(station) for station in exercise.stations],
        "chart": report(exercise.chart),
    }


def _station_data(station: Station) -> dict[str, Any]:
    return {
        "key": str(station.key),
        "round": station.round,
        "chords": list(station.chords),
        "root_string": station.root_string,
        "pivot": station.pivot,
        "change": station.change,
        "says": station.remark,
    }


def _json_number(value: Fraction) -> int | float:
    return value.numerator if value.denominator == 1 else float(value)
