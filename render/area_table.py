"""The areas of a tune as a table of 80 columns, as a summary, and as data.

Takes sheets and analyses, gives text whose lines end with a line end, or plain dictionaries. Bars
are written bar numbers.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import zip_longest
from textwrap import wrap
from typing import Any, Final

from ..converter.form_text import span_text
from ..converter.harmony import Analysis, Area, summarise
from ..grammar.key import Key
from ..grammar.sheet import Sheet

#: Raised when the meaning of a field changes.
SCHEMA: Final = 1
WIDTH: Final = 80
#: Columns of the table with their widths; with a space between them they fill the width.
_COLUMNS: Final = (("Bars", 7), ("Chords", 26), ("Kind", 22), ("Key", 10), ("Resolves to", 11))
_INDENT: Final = " " * 8


def tune_text(sheet: Sheet, analysis: Analysis) -> str:
    """Title and key, then each area in a row, with its sentence below it."""
    title = sheet.header.title or "Untitled"
    lines = wrap(f"{title}, {analysis.key}", WIDTH)
    lines += [line for note in analysis.notes for line in wrap(note, WIDTH)]
    if not analysis.areas:
        return "\n".join([*lines, "", "No areas found."]) + "\n"
    lines += ["", *_row([name for name, _ in _COLUMNS])]
    for area in analysis.areas:
        lines += _row(_cells(sheet, area))
        lines += wrap(area.sentence, WIDTH, initial_indent=_INDENT, subsequent_indent=_INDENT)
    return "\n".join(lines) + "\n"


def summary_text(analyses: Sequence[Analysis]) -> str:
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


def _cells(sheet: Sheet, area: Area) -> list[str]:
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
