"""Charts, areas and drills as plain text of 80 columns, and charts in sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate, zip_longest
from textwrap import wrap
from typing import Any, Final

from ..converter.chart import CompingChart
from ..converter.drill.drill import Drill, Exercise, Practice, Station
from ..converter.hand.grip import Grip, VoicedNote
from ..converter.harmony import Analysis, Area, summarise
from ..converter.harmony.analysis import Reading
from ..converter.prose.drill import bars_of, drill_facts, how_to, notes_of, pattern_of, rhythm_words
from ..converter.prose.facts import (
    area_lines,
    bar_words,
    heading_key,
    heading_lines,
    span_text,
    title_text,
    travel_lines,
)
from ..converter.prose.hand import HAND_CAUTION
from ..grammar.key import Key
from ..grammar.sheet import Bar, Section, Sheet, SheetChord
from .output import MARK
from .report import report, sounding_name

# The chart as plain text for a terminal of 80 columns.
#
# Takes a `CompingChart`, gives text that ends with a line end. Bars stand side by side with up to
# five rows: words (endings, jumps), chord symbols, numerals, grips as fret strings, their fingers.
# Frets and fingers run from the lowest string to string 1; `x` and `-` are strings not played.

WIDTH: Final = 80
BARS_A_LINE: Final = 4
_JOINT: Final = 4  # columns that a bar line and the room after it take
_INNER: Final = 15  # columns inside a bar: four of them with their bar lines fill the width


@dataclass(frozen=True, slots=True)
class _Cell:
    """One bar as text: its rows (words, symbols, numerals, frets, fingers) and its bar lines."""

    rows: tuple[str, ...]
    left: str
    right: str

    @property
    def width(self) -> int:
        # A space at least keeps frets off the bar line.
        return max(_INNER, *(len(row) + 1 for row in self.rows))


def text_chart(chart: CompingChart, analysis: bool = True) -> str:
    """The chart as text; without numerals and areas when not `analysis`."""
    cells = _cells(chart, analysis)
    lines = heading_lines(chart)
    for section in chart.sheet.sections:
        lines += ["", *_section(section, cells)]
    lines += ["", strings_line(chart)]
    if analysis:
        lines += area_lines(chart)
    lines += ["", *travel_lines(chart), "", f"Chart {MARK}"]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def strings_line(chart: CompingChart) -> str:
    """How the rows of frets and fingers are read."""
    lowest = len(chart.player.neck.tuning)
    return (
        f"Frets and fingers run from string {lowest} to string 1; x and - are strings not played."
    )


def lines_of_bars(chart: CompingChart, runs: Sequence[range]) -> list[list[str]]:
    """The lines of text for each run of written bars, given as indices, every run by itself."""
    cells = _cells(chart, True)
    found = []
    for run in runs:
        lines = [text for line in _wrapped(cells[run.start : run.stop]) for text in _line(line)]
        found.append([line.rstrip() for line in lines[:-1]])
    return found


def fret_string(grip: Grip | None) -> str:
    """A grip as one word: `3x33xx`, with dashes where a fret has two digits: `10-x-10-10-x-x`."""
    if grip is None:
        return ""
    signs = ["x" if fret is None else str(fret) for fret in grip.frets]
    return _joiner(signs).join(signs)


def finger_string(grip: Grip | None) -> str:
    """The fingers of a grip, each under its fret in the fret string: `2-33--`."""
    if grip is None:
        return ""
    frets = ["x" if fret is None else str(fret) for fret in grip.frets]
    fingers = ["-" if finger is None else str(finger) for finger in grip.fingers]
    aligned = [sign.ljust(len(fret)) for sign, fret in zip(fingers, frets, strict=True)]
    return (" " if _joiner(frets) else "").join(aligned)


def _joiner(frets: Sequence[str]) -> str:
    return "-" if any(len(fret) > 1 for fret in frets) else ""


def _cells(chart: CompingChart, analysis: bool) -> list[_Cell]:
    """One cell for each written bar."""
    bars = chart.sheet.bars
    firsts = [0, *accumulate(len(bar.chords) for bar in bars)]
    readings = chart.analysis.readings if analysis else (None,) * firsts[-1]
    columns = [
        _column(written, reading, grip)
        for written, reading, grip in zip(
            chart.sheet.chords, readings, chart.plan.grips, strict=True
        )
    ]
    return [
        _cell(bar, columns[first : first + len(bar.chords)])
        for bar, first in zip(bars, firsts, strict=False)
    ]


def _column(written: SheetChord, reading: Reading | None, grip: Grip | None) -> tuple[str, ...]:
    symbol = "'" * written.push + written.symbol + "~" * written.hold
    rows = (symbol, reading.roman if reading else "", fret_string(grip), finger_string(grip))
    width = max(len(row) for row in rows) + 1
    return tuple(row.ljust(width) for row in rows)


def _cell(bar: Bar, columns: Sequence[tuple[str, ...]]) -> _Cell:
    rows = tuple("".join(row).rstrip() for row in zip(*columns, strict=True))
    right = f":|{bar.repeat_close}x".removesuffix("2x") if bar.repeat_close else ""
    return _Cell(
        (bar_words(bar), *(rows or (_no_chords(bar), "", "", ""))),
        "|:" if bar.repeat_open else "",
        right or ("||" if bar.double_bar else ""),
    )


def _no_chords(bar: Bar) -> str:
    return f"rest: {bar.rest_bars} bars" if bar.rest_bars else "%" * bar.simile


def _section(section: Section, cells: Sequence[_Cell]) -> Iterator[str]:
    if section.label:
        again = "" if section.recalls is None else " as before"
        yield f"[{section.label}]{again}"
    yield from section.text
    for line in _wrapped(cells[section.first : section.first + section.count]):
        yield from _line(line)


def _wrapped(cells: Sequence[_Cell]) -> Iterator[list[_Cell]]:
    """The cells in lines of at most four bars that fit the width."""
    line: list[_Cell] = []
    for cell in cells:
        taken = sum(before.width + _JOINT for before in line)
        if line and (len(line) == BARS_A_LINE or taken + cell.width + 2 * _JOINT > WIDTH):
            yield line
            line = []
        line.append(cell)
    if line:
        yield line


def _line(cells: Sequence[_Cell]) -> Iterator[str]:
    for number, row in enumerate(zip(*(cell.rows for cell in cells), strict=True)):
        if not any(row):
            continue
        joints = _joints(cells) if number == 1 else [" " if number == 0 else "|"] * (len(row) + 1)
        padded = (
            joint.ljust(_JOINT) + text.ljust(cell.width)
            for joint, text, cell in zip(joints, row, cells, strict=False)
        )
        yield "".join(padded) + joints[-1]
    yield ""


def _joints(cells: Sequence[_Cell]) -> list[str]:
    """The bar lines of a line: before each cell, and after the last."""
    lefts = [cell.left for cell in cells] + [""]
    rights = [""] + [cell.right for cell in cells]
    return [
        (right.removesuffix("|") + left if left and right else right or left) or "|"
        for right, left in zip(rights, lefts, strict=True)
    ]


# The chart in sentences, for a screen reader or for reading aloud.
#
# Takes a `CompingChart`, gives text with a line for each chord: where it stands, how it is heard,
# and its grip string by string from the lowest. Silence is said too, so that nothing is told by
# layout.

FINGERS: Final = {1: "index", 2: "middle", 3: "ring", 4: "little"}


def chart_in_words(chart: CompingChart, analysis: bool = True) -> str:
    """The whole chart in lines of words; without numerals and areas when not `analysis`."""
    lines = heading_lines(chart)
    index = 0
    for section in chart.sheet.sections:
        lines += ["", *_section_sentences(section)]
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


def _section_sentences(section: Section) -> Iterator[str]:
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
        yield f"{name}: {_silence_sentence(bar)}."
    for index, written in enumerate(bar.chords, start=first):
        reading = chart.analysis.readings[index] if analysis else None
        yield f"{name}: {_chord(written, reading, chart.plan.grips[index])}."


def _silence_sentence(bar: Bar) -> str:
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


# The areas of a tune as a table of 80 columns, as a summary, and as data.
#
# Takes sheets and analyses, gives text whose lines end with a line end, or plain dictionaries. Bars
# are written bar numbers.

#: Raised when the meaning of a field changes.
SCHEMA: Final = 1
#: Columns of the table with their widths; with a space between them they fill the width.
_COLUMNS: Final = (("Bars", 7), ("Chords", 26), ("Kind", 22), ("Key", 10), ("Resolves to", 11))
_INDENT: Final = " " * 8


def area_text(sheet: Sheet, analysis: Analysis) -> str:
    """Title and key, then each area in a row, with its sentence below it."""
    lines = wrap(f"{title_text(sheet)}, {heading_key(analysis)}", WIDTH)
    lines += [line for note in analysis.notes for line in wrap(note, WIDTH)]
    if not analysis.areas:
        return "\n".join([*lines, "", "No areas found."]) + "\n"
    lines += ["", *_row([name for name, _ in _COLUMNS])]
    for area in analysis.areas:
        lines += _row(_area_cells(sheet, area))
        lines += wrap(area.sentence, WIDTH, initial_indent=_INDENT, subsequent_indent=_INDENT)
    return "\n".join(lines) + "\n"


def area_summary_text(analyses: Sequence[Analysis]) -> str:
    """The keys visited, the ii–V–I's to practise and the kinds of areas, most frequent first."""
    summary = summarise(analyses)
    whose = "this tune visits" if summary.tunes == 1 else f"these {summary.tunes} tunes visit"
    kinds = [f"{kind} {count}" for kind, count in summary.kinds]
    lines = [
        f"Keys {whose} (chords in each), most frequent first:",
        *_listed(_counted(summary.keys)),
        "ii–V–I's to practise, most frequent first:",
        *_listed(_counted(summary.two_five_ones)),
        "Areas by kind, most frequent first:",
        *_listed(kinds),
    ]
    return "\n".join(lines) + "\n"


def area_data(sheet: Sheet, analysis: Analysis) -> dict[str, Any]:
    """One tune as plain data: `schema`, `title`, `key`, `areas`, and the summary's counts."""
    summary = summarise([analysis])
    return {
        "schema": SCHEMA,
        "title": sheet.header.title,
        "key": str(analysis.key),
        "areas": [_area_data(sheet, area) for area in analysis.areas],
        "keys": {str(key): count for key, count in summary.keys},
        "two_five_ones": {str(key): count for key, count in summary.two_five_ones},
    }


def _area_data(sheet: Sheet, area: Area) -> dict[str, Any]:
    return {
        "kind": area.kind,
        "key": str(area.key),
        "bars": list(area.bars),
        "chords": [sheet.chords[index].symbol for index in area.chords],
        "resolved": area.resolved,
        "resolves_to": None if area.goal is None else sheet.chords[area.goal].symbol,
        "sentence": area.sentence,
    }


def _area_cells(sheet: Sheet, area: Area) -> list[str]:
    chords = " ".join(sheet.chords[index].symbol for index in area.chords)
    goal = "" if area.resolved else "left open"
    if area.goal is not None:
        goal = sheet.chords[area.goal].symbol
    return [span_text(area.bars), chords, area.kind, str(area.key), goal]


def _row(cells: Sequence[str]) -> Iterator[str]:
    """A row of the table, its cells wrapped in their columns."""
    widths = [width for _, width in _COLUMNS]
    columns = [wrap(cell, width) for cell, width in zip(cells, widths, strict=True)]
    for line in zip_longest(*columns, fillvalue=""):
        padded = (text.ljust(width) for text, width in zip(line, widths, strict=True))
        yield " ".join(padded).rstrip()


def _counted(counts: Sequence[tuple[Key, int]]) -> list[str]:
    return [f"{key} {count}" for key, count in counts]


def _listed(words: Sequence[str]) -> list[str]:
    return wrap(", ".join(words) or "none", WIDTH, initial_indent="  ", subsequent_indent="  ")


# A drill as plain text for a terminal of 80 columns, and as data for other programs.
#
# Takes a `Drill`, gives text that ends with a line end, or a dictionary that `json` can write: the
# exercises, each with its stations and the report of its chart, into whose chords the stations
# point.


def drill_text(drill: Drill) -> str:
    """The drill as text."""
    time, asked = drill_facts(drill)
    lines = [drill.title, ", ".join([*time, *asked]), ""]
    for said in (*drill.notes, *how_to(drill)):
        lines += wrap(said, WIDTH)
    lines += wrap(rhythm_words(pattern_of(drill.exercises[0], drill.practice)), WIDTH)
    if drill.practice.ladder:
        lines += wrap("Tempo  " + "  ".join(f"[ ] {each}" for each in drill.practice.ladder), WIDTH)
    lines += ["", *wrap(HAND_CAUTION, WIDTH)]
    several = len(drill.exercises) > 1
    for number, exercise in enumerate(drill.exercises, 1):
        name = f"{number}. {exercise.name}"
        lines += ["", *([name, "=" * len(name)] if several else []), *_exercise(exercise, drill)]
    lines += ["", strings_line(drill.exercises[0].chart), "", f"Drill {MARK}"]
    return "\n".join(lines) + "\n"


def _exercise(exercise: Exercise, drill: Drill) -> Iterator[str]:
    yield from wrap(exercise.why, WIDTH)
    rounds = exercise.stations[-1].round
    before = 0
    texts = lines_of_bars(exercise.chart, bars_of(exercise))
    for station, text in zip(exercise.stations, texts, strict=True):
        if rounds > 1 and station.round != before:
            yield from ("", f"Round {station.round} of {rounds}")
        before = station.round
        yield from _station(station, text, drill.practice)


def _station(station: Station, text: list[str], practice: Practice) -> Iterator[str]:
    boxes = "[ ] " * (1 if practice.ladder else min(practice.repetitions, 8))
    yield from ("", f"{boxes}{station.key}")
    for note in notes_of(station):
        yield from wrap(note, WIDTH - 4, initial_indent="    ", subsequent_indent="    ")
    yield from text


def drill_data(drill: Drill) -> dict[str, Any]:
    """The drill as data."""
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
        "says": station.says,
    }
