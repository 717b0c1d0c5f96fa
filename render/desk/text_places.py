"""Places in the text of a tune: the bar that a cursor is in, where a bar is written, a chord's pin.

Lines and columns count from 1; a cursor in column 5 stands between the fourth character of its line
and the fifth. Bars are the written ones, by their index in `Sheet.bars`.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from itertools import accumulate
from typing import Final

from ...converter.hand.grip import Grip, frets_text
from ...grammar.errors import SourcePosition
from ...grammar.sheet import Bar, Sheet

#: The characters of bar lines and repeats.
_BAR_LINE: Final = "|:[]"
#: What may stand between a symbol and its pin: lengths and marks stay where they are.
_PIN: Final = re.compile(r"\s*<[^<>|\n]*>")


def bar_at(sheet: Sheet, text: str, cursor: SourcePosition) -> int | None:
    """The bar of a cursor: that whose bar lines it stands between, None for a sheet without bars.

    Before the first bar line of a line it is the line's first bar. A line without bars has that of
    the next line that has some, after the last of them the last bar; the name of a section that is
    not written again has the first bar of the one it repeats.
    """
    lines = text.split("\n")
    on_line = [at for at, bar in enumerate(sheet.bars) if bar.position.line == cursor.line]
    if on_line:
        reached = [at for at in on_line if _first_column(lines, sheet.bars[at]) <= cursor.column]
        return reached[-1] if reached else on_line[0]
    for section in sheet.sections:
        if section.position.line == cursor.line and section.recalls is not None:
            return sheet.sections[section.recalls].first
    below = (at for at, bar in enumerate(sheet.bars) if bar.position.line > cursor.line)
    return next(below, len(sheet.bars) - 1 if sheet.bars else None)


def place_of(sheet: Sheet, text: str, bar: int) -> SourcePosition:
    """Where the cursor stands at a bar: at its first chord, or behind the bar line before it."""
    found = sheet.bars[bar]
    if found.chords:
        return found.chords[0].position
    return SourcePosition(found.position.line, _first_column(text.split("\n"), found))


def bar_at_beat_share(sheet: Sheet, share: float) -> int:
    """The bar so far through the written beats of a tune, `share` from 0 to 1."""
    ends = list(accumulate(float(sum(each.beats for each in bar.chords)) for bar in sheet.bars))
    return min(bisect_right(ends, share * ends[-1]), len(ends) - 1)


def _first_column(lines: list[str], bar: Bar) -> int:
    """The first column of a bar behind its bar line."""
    line, column = bar.position.line, bar.position.column
    source = lines[line - 1] if line <= len(lines) else ""
    behind = source[column - 1 :]
    signs = len(behind) - len(behind.lstrip(_BAR_LINE))
    return column + signs if signs else len(source[: column - 1].rstrip()) + 1


def with_pin(text: str, position: SourcePosition, typed: str, grip: Grip | None) -> str:
    """The text with a grip fixed behind the chord at a place, None for no fixed grip.

    Gives the text unchanged where the chord does not stand there.
    """
    lines = text.split("\n")
    if not 1 <= position.line <= len(lines):
        return text
    line, start = lines[position.line - 1], position.column - 1
    if not line.startswith(typed, start):
        return text
    end = start + len(typed)
    found = _PIN.match(line, end)
    rest = line[end if found is None else found.end() :]
    pin = "" if grip is None else f"<{frets_text(grip.frets)}>"
    lines[position.line - 1] = line[:end] + pin + rest
    return "\n".join(lines)
