"""The chart as plain text for a terminal of 80 columns.

Takes a `CompingChart`, gives text that ends with a line end. Bars stand side by side with up to
five rows: words (endings, jumps), chord symbols, numerals, grips as fret strings, their fingers.
Frets and fingers run from the lowest string to string 1; `x` and `-` are strings not played.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import Final

from ..converter.chart import CompingChart
from ..converter.hand.grip import Grip
from ..converter.harmony.analysis import Reading
from ..grammar.sheet import Bar, Section, SheetChord
from .output import MARK
from .words import area_lines, bar_words, heading_lines, travel_lines

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
