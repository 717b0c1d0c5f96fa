"""Charts, areas and drills as plain text for a terminal of 80 columns.

Takes the finished values, gives text that ends with a line end. In a chart bars stand side by side
with up to six rows: what stands over the bar, chord symbols, the beats of a bar that is not split
evenly, numerals, grips as fret strings, and their fingers. Frets and fingers run from the lowest
string to string 1; `x` and `-` are strings that are not played.
"""

from __future__ import annotations

import shutil
import sys
from collections.abc import Iterator, Sequence
from itertools import zip_longest
from textwrap import wrap
from typing import Final

from ..converter.chart import CompingChart
from ..converter.drill.drill import Drill, Exercise, Practice, Station
from ..converter.hand.grip import Grip
from ..converter.harmony.analysis import Analysis, Area, summarise
from ..converter.practice.written import tune_pattern
from ..converter.prose.areas import (
    area_lines,
    area_sentence,
    details_of,
    grouped,
    key_sentence,
)
from ..converter.prose.chart import chart_sentences
from ..converter.prose.drill import (
    bars_of,
    drill_facts,
    how_to,
    notes_of,
    pattern_of,
    round_name,
)
from ..converter.prose.facts import (
    HAND_CAUTION,
    bar_marks,
    counted,
    heading_key,
    heading_lines,
    played_text,
    rhythm_sentence,
    title_text,
    travel_lines,
)
from ..converter.prose.remarks import remark_lines
from ..grammar.foreign_text import harmless
from ..grammar.frozen import frozen
from ..grammar.key import Key
from ..grammar.sheet import Bar, Section, Sheet, SheetChord, second_of_two
from .page.beats import Tick, shows_beats, ticks_of
from .stamps import MARK

#: Columns of a line.
WIDTH: Final = 80
#: The fewest columns that a terminal is taken to have.
LEAST_WIDTH: Final = 40
#: The most bars in a line of 80 columns.
BARS_A_LINE: Final = 4
#: The row of a cell that holds the beats, and the line that explains it.
_STROKES: Final = 2
_STROKES_LINE: Final = (
    "X is a beat with a chord, / one without, x a chord that starts behind a beat."
)
#: The line that explains a doubtful numeral or key.
_DOUBT_LINE: Final = "? behind a key or a numeral: not sure, another key is nearly as likely."
#: The fewest columns of a bar line and the space after it.
_JOINT: Final = 4
#: The columns inside a bar that needs no more: four of them with their bar lines fill the width. A
#: bar gives some of them to others of its line that need more, but not all.
_INNER: Final = 15
_LEAST_INNER: Final = 8
#: Columns of the table of areas with their widths; with a space between them they fill the width.
_COLUMNS: Final = (("Bars", 7), ("Chords", 26), ("Kind", 22), ("Key", 10), ("Resolves to", 11))
_INDENT: Final = " " * 8
_DETAIL_INDENT: Final = "  "


@frozen
class _Cell:
    """One bar: its rows (marks, symbols, beats, numerals, frets, fingers) and its bar lines."""

    rows: tuple[str, ...]
    left: str
    right: str

    @property
    def needed(self) -> int:
        # At least one space separates the frets from the bar line.
        return max(len(row) + 1 for row in self.rows)


def text_chart(
    chart: CompingChart, analysis: bool = True, width: int = WIDTH, rhythm: str | None = None
) -> str:
    """The chart as text of so many columns; without numerals and areas when not `analysis`.

    `rhythm` is the name of a pattern that the heading tells. Raises RhythmError when it does not
    fit the meter.
    """
    cells = _cells(chart, analysis)
    lines = _narrowed([*heading_lines(chart), *_rhythm_line(chart, rhythm)], width)
    bars = chart.sheet.bars
    for section in chart.sheet.sections:
        pickup = section.count > 0 and bars[section.first].pickup
        lines += ["", *_section_lines(section, cells, width, pickup)]
    rest = ["", strings_line(chart)]
    if any(cell.rows[_STROKES] for cell in cells):
        rest.append(_STROKES_LINE)
    if any(reading is not None and reading.doubtful for reading in chart.analysis.readings):
        rest += [_DOUBT_LINE] * analysis
    if analysis:
        rest += area_lines(chart.sheet, chart.analysis.passages)
    remarks = [part for line in remark_lines(chart) for part in wrap(line, max(width, WIDTH))]
    rest += ["", *remarks] if remarks else []
    rest += ["", *travel_lines(chart), "", f"Chart {MARK}"]
    lines += _narrowed(rest, width)
    return harmless("\n".join(line.rstrip() for line in lines) + "\n")


def chart_in_words(chart: CompingChart, analysis: bool = True, rhythm: str | None = None) -> str:
    """The chart in sentences; without numerals and areas when not `analysis`.

    `rhythm` as in `text_chart`.
    """
    heading = len(heading_lines(chart))
    sentences = chart_sentences(chart, analysis)
    lines = [*sentences[:heading], *_rhythm_line(chart, rhythm), *sentences[heading:]]
    return harmless("\n".join([*lines, "", f"Chart {MARK}"]) + "\n")


def _rhythm_line(chart: CompingChart, rhythm: str | None) -> list[str]:
    """The sentence about a rhythm. Raises RhythmError when it does not fit the meter."""
    return [] if rhythm is None else [rhythm_sentence(tune_pattern(chart.sheet, rhythm))]


def terminal_width() -> int:
    """The columns of the terminal that is written to, at least 40; 80 where it is none."""
    # What a sheet prints is gathered first, in a stream in place of `sys.stdout`.
    stream = sys.__stdout__
    if stream is None or stream.closed or not stream.isatty():
        return WIDTH
    return max(LEAST_WIDTH, shutil.get_terminal_size((WIDTH, 24)).columns)


def _narrowed(lines: Sequence[str], width: int) -> list[str]:
    """Lines as they are, those longer than a narrow terminal in several."""
    if width >= WIDTH:
        return list(lines)
    return [part for line in lines for part in wrap(line, width, subsequent_indent="  ") or [""]]


def strings_line(chart: CompingChart) -> str:
    """The line that explains the rows of frets and fingers."""
    lowest = len(chart.player.neck.tuning)
    return (
        f"Frets and fingers run from string {lowest} to string 1; x and - are strings not played."
    )


def lines_of_bars(
    chart: CompingChart, runs: Sequence[range], width: int = WIDTH
) -> list[list[str]]:
    """The lines of text of each run of written bars, of so many columns; runs are ranges of bar
    indices."""
    cells = _cells(chart, True)
    rows = []
    for run in runs:
        lines = [
            text
            for line in _in_lines(cells[run.start : run.stop], width)
            for text in _line_rows(line, width)
        ]
        rows.append([line.rstrip() for line in lines[:-1]])
    return rows


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
    sheet = chart.sheet
    readings = chart.analysis.readings if analysis else (None,) * len(sheet.chords)
    uneven = [shows_beats(bar.chords, bar.pickup) for bar in sheet.bars for _ in bar.chords]
    numerals = ["" if one is None else _numeral(chart, at) for at, one in enumerate(readings)]
    columns = [
        _column(_symbol(sheet, index), *column)
        for index, column in enumerate(
            zip(sheet.chords, uneven, numerals, chart.plan.grips, strict=True)
        )
    ]
    return [
        _cell(sheet.bars, index, [columns[chord] for chord in sheet.chords_of(index)])
        for index in range(len(sheet.bars))
    ]


def _symbol(sheet: Sheet, index: int) -> str:
    """The symbol of a chord as it is printed, with a bracket where optional chords begin or end."""
    written, (opens, closes) = sheet.chords[index], sheet.brackets(index)
    symbol = "'" * written.push + written.symbol + "~" * written.hold
    return "(" * opens + symbol + ")" * closes


def _numeral(chart: CompingChart, index: int) -> str:
    """The numeral of a chord as on the page: led by the key where that changes, `?` for doubt."""
    reading = chart.analysis.readings[index]
    return "" if reading is None else reading.label(chart.analysis.names_key(index))


def _column(
    symbol: str, written: SheetChord, uneven: bool, numeral: str, grip: Grip | None
) -> tuple[str, ...]:
    strokes = " ".join(map(_stroke, ticks_of([written]))) if uneven else ""
    rows = (
        symbol,
        strokes,
        numeral,
        fret_string(grip),
        finger_string(grip),
    )
    width = max(len(row) for row in rows) + 1
    return tuple(row.ljust(width) for row in rows)


def _stroke(tick: Tick) -> str:
    """A beat with a chord, a chord between beats with its part of the beat, or a beat without."""
    if tick.chord is None:
        return "/"
    return f"x{tick.label}" if tick.part else "X"


def _cell(bars: Sequence[Bar], index: int, columns: Sequence[tuple[str, ...]]) -> _Cell:
    bar = bars[index]
    rows = tuple("".join(row).rstrip() for row in zip(*columns, strict=True))
    empty = "" if second_of_two(bars, index) else _no_chords(bar)
    right = f":|{bar.repeat_close}x".removesuffix("2x") if bar.repeat_close else ""
    return _Cell(
        (bar_marks(bar), *(rows or (empty, "", "", "", ""))),
        "|:" if bar.repeat_open else "",
        right or ("||" if bar.double_bar else ""),
    )


def _no_chords(bar: Bar) -> str:
    return f"rest: {counted(bar.rest_bars, 'bar')}" if bar.rest_bars else "%" * bar.simile


def _section_lines(
    section: Section, cells: Sequence[_Cell], width: int, pickup: bool
) -> Iterator[str]:
    if section.label:
        again = "" if section.recalls is None else " as before"
        yield f"[{section.label}]{again}"
    yield from section.text
    own = cells[section.first : section.first + section.count]
    for line in _in_lines(own, width, pickup):
        yield from _line_rows(line, width)


def _in_lines(cells: Sequence[_Cell], width: int, pickup: bool = False) -> Iterator[list[_Cell]]:
    """The cells in lines that fit the width: of four bars, two on narrow, eight on wide terminals.

    Bars that are too wide for that stand in lines of half as many, and so on down to one bar, which
    may be wider than the terminal. `pickup`: the first cell comes before the first of these bars.
    """
    most = BARS_A_LINE * (width // WIDTH) if width >= WIDTH else BARS_A_LINE // 2
    sizes = [most, *(size for size in (64, 32, 16, 8, 4, 2, 1) if size < most)]
    lead, at = int(pickup), 0
    while at < len(cells):
        place = max(at - lead, 0)
        ends = [lead + place + size for size in sizes if place % size == 0]
        end = next((end for end in ends if _inner(cells[at:end], width)), at + 1)
        yield list(cells[at:end])
        at = end


def _inner(cells: Sequence[_Cell], width: int) -> int:
    """The most columns that bars take which need fewer, in a line of that width; 0: too wide."""
    room = width - sum(_joint_widths(cells))
    for inner in range(_INNER, _LEAST_INNER - 1, -1):
        if sum(max(cell.needed, inner) for cell in cells) <= room:
            return inner
    return 0


def _line_rows(cells: Sequence[_Cell], width: int) -> Iterator[str]:
    inner, joint_widths = _inner(cells, width), _joint_widths(cells)
    for number, row in enumerate(zip(*(cell.rows for cell in cells), strict=True)):
        if not any(row):
            continue
        joints = _joints(cells) if number == 1 else [" " if number == 0 else "|"] * (len(row) + 1)
        padded = (
            joint.ljust(columns) + text.ljust(max(cell.needed, inner))
            for joint, columns, text, cell in zip(joints, joint_widths, row, cells, strict=False)
        )
        yield "".join(padded) + joints[-1]
    yield ""


def _joint_widths(cells: Sequence[_Cell]) -> list[int]:
    """The columns of the bar lines of a line, with the space behind each."""
    return [max(_JOINT, len(joint) + 1) for joint in _joints(cells)]


def _joints(cells: Sequence[_Cell]) -> list[str]:
    """The bar lines of a line: before each cell, and after the last."""
    lefts = [cell.left for cell in cells] + [""]
    rights = [""] + [cell.right for cell in cells]
    return [
        (right.removesuffix("|") + left if left and right else right or left) or "|"
        for right, left in zip(rights, lefts, strict=True)
    ]


def area_text(sheet: Sheet, analysis: Analysis, *, details: bool = False) -> str:
    """Title and key, then each passage in a row, with its sentence below it.

    Passages with the same sentence share a row. With `details` each passage has its own, and the
    areas inside it stand below, indented.
    """
    lines = wrap(f"{title_text(sheet)}, {heading_key(analysis)}", WIDTH)
    for remark in (key_sentence(analysis, sheet), *analysis.notes):
        lines += wrap(remark, WIDTH) if remark else []
    if not analysis.areas:
        return "\n".join([*lines, "", "No areas found."]) + "\n"
    lines += ["", *_row([name for name, _ in _COLUMNS])]
    if details:
        for passage, inside in details_of(analysis.areas):
            lines += _area_rows(sheet, played_text(sheet, passage.bars), passage)
            for area in inside:
                lines += _area_rows(sheet, played_text(sheet, area.bars), area, _DETAIL_INDENT)
    else:
        for spans, area in grouped(sheet, analysis.passages):
            lines += _area_rows(sheet, spans, area)
    return "\n".join(lines) + "\n"


def _area_rows(sheet: Sheet, spans: str, area: Area, indent: str = "") -> list[str]:
    """The row of an area and its sentence."""
    rows = list(_row(_area_cells(sheet, spans, area), indent))
    return rows + _indented(area_sentence(sheet, area), indent + _INDENT)


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


def _area_cells(sheet: Sheet, spans: str, area: Area) -> list[str]:
    chords = " ".join(sheet.chords[index].symbol for index in area.chords)
    goal = "" if area.resolved else "left open"
    if area.goal is not None:
        goal = sheet.chords[area.goal].symbol
    return [spans, chords, area.kind, str(area.key), goal]


def _row(cells: Sequence[str], indent: str = "") -> Iterator[str]:
    """A row of the table, its cells wrapped in their columns; the chords give way to an indent."""
    widths = [width - len(indent) * (name == "Chords") for name, width in _COLUMNS]
    columns = [wrap(cell, width) for cell, width in zip(cells, widths, strict=True)]
    for line in zip_longest(*columns, fillvalue=""):
        padded = (text.ljust(width) for text, width in zip(line, widths, strict=True))
        yield (indent + " ".join(padded)).rstrip()


def _counted(counts: Sequence[tuple[Key, int]]) -> list[str]:
    return [f"{key} {count}" for key, count in counts]


def _listed(items: Sequence[str]) -> list[str]:
    return _indented(", ".join(items) or "none", "  ")


def _indented(text: str, indent: str, width: int = WIDTH) -> list[str]:
    return wrap(text, width, initial_indent=indent, subsequent_indent=indent)


def drill_text(drill: Drill, width: int = WIDTH) -> str:
    """The drill as text of so many columns: how to practise, then each exercise key by key.

    Sentences take no more than 80 columns.
    """
    time, counts = drill_facts(drill)
    rhythm = rhythm_sentence(pattern_of(drill.exercises[0], drill.practice))
    lines = _narrowed([drill.title, ", ".join([*time, *counts])], width)
    lines.append("")
    for sentence in (*drill.notes, *how_to(drill), rhythm):
        lines += _sentence(sentence, width)
    if drill.practice.ladder:
        tempos = "  ".join(f"[ ] {each}" for each in drill.practice.ladder)
        lines += _sentence(f"Tempo  {tempos}", width)
    lines += ["", *_sentence(HAND_CAUTION, width)]
    several = len(drill.exercises) > 1
    for number, exercise in enumerate(drill.exercises, 1):
        name = f"{number}. {exercise.name}"
        head = [name, "=" * min(len(name), width)] if several else []
        lines += ["", *_narrowed(head, width), *_exercise_lines(exercise, drill.practice, width)]
    rest = ["", strings_line(drill.exercises[0].chart), "", f"Drill {MARK}"]
    return harmless("\n".join([*lines, *_narrowed(rest, width)]) + "\n")


def _sentence(text: str, width: int) -> list[str]:
    """A sentence in lines of so many columns, at most 80."""
    return wrap(text, min(width, WIDTH))


def _exercise_lines(exercise: Exercise, practice: Practice, width: int) -> Iterator[str]:
    yield from _sentence(exercise.why, width)
    rounds = exercise.stations[-1].round
    before = 0
    texts = lines_of_bars(exercise.chart, bars_of(exercise), width)
    for station, text in zip(exercise.stations, texts, strict=True):
        if rounds > 1 and station.round != before:
            yield from ("", round_name(station.round, rounds))
        before = station.round
        yield from _station_lines(station, practice, width)
        yield from text


def _station_lines(station: Station, practice: Practice, width: int) -> Iterator[str]:
    """The boxes and the name of a key, and the notes about it."""
    boxes = "[ ] " * (1 if practice.ladder else min(practice.repetitions, 8))
    yield from ("", *_narrowed([f"{boxes}{station.key}"], width))
    for note in notes_of(station):
        yield from _indented(note, "    ", min(width, WIDTH) - 4)
