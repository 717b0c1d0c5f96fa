"""The player file: a TOML text that describes a player.

Takes the text, gives a `Player`. Values that are not in the text come from its `preset` (default:
an adult). All mistakes are reported at once, in a `SheetError` with the line of each: a check
returns the value, or after a mistake that of the preset. The format is TOML 1.0, read with the
standard library:

    name = "Anna"                      # what outputs call the player; the file's name when left out
    preset = "small hand"
    hand = "left"
    window = [3, 10]
    tuning = ["E2", "A2", "D3", "G3", "B3", "E4"]   # from the lowest string up
    scale_mm = 628.65
    frets = 21
    highest_fret = 15
    string_gap_mm = 8.5

    [reach]
    size = 0.95                        # times the preset's reach, or:
    comfort_mm = [36, 32, 32, 64, 62, 80]
    limit_mm = [72, 50, 48, 100, 92, 125]

    [taste]                            # `Preferences`
    major_triads = "major seventh"

    [fingers]
    "0 x 0 0" = "2 x 3 4"

    [effort]
    stretch = 1.0
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import fields, replace
from difflib import get_close_matches
from pathlib import PurePath
from typing import Any, Final, get_args, get_type_hints

from ...grammar.checks import check_text, shown
from ...grammar.errors import SHOWN_PROBLEMS, SHOWN_TEXT, Problem, SheetError, SourcePosition
from ...grammar.toml_text import TomlError, load_toml
from .fingerings import refusal
from .player import (
    FINGER_PAIRS,
    FRETS,
    MOST_EFFORT,
    PRESETS,
    SCALES_MM,
    STRING_GAPS_MM,
    STRINGS,
    Effort,
    Neck,
    Player,
    Preferences,
    Reach,
    midi_number,
)
from .standard_fingerings import STANDARD_FINGERINGS

Table = Mapping[str, Any]

#: The most mistakes of a file that are noted.
MOST_NOTED: Final = SHOWN_PROBLEMS


class Report:
    """The mistakes of one text so far."""

    def __init__(self, text: str) -> None:
        self.lines = text.splitlines()
        self.problems: list[Problem] = []

    def add(self, table: str, key: str, message: str, expected: str, suggestion: str = "") -> None:
        """Note a mistake at a key of a table ("" for the top of the file), up to `MOST_NOTED`."""
        if len(self.problems) >= MOST_NOTED:
            return
        line, column = self._place(table, key)
        source = self.lines[line - 1] if line else ""
        position = SourcePosition(line, column)
        self.problems.append(Problem(position, message, key, source, expected, suggestion))

    def syntax(self, message: str) -> None:
        """Note that the text is not TOML; the position is read from the end of the message."""
        match = re.search(r"\(at line (\d+)(?:, column (\d+))?\)", message)
        line, column = (int(match[1]), int(match[2] or 1)) if match else (len(self.lines), 1)
        source = self.lines[line - 1] if 0 < line <= len(self.lines) else ""
        reason = message[: match.start()].strip() if match else message
        expected = "TOML: lines of name = value, texts in quotes"
        self.problems.append(Problem(SourcePosition(line, column), reason, "", source, expected))

    def known(self, table: str, data: Table, names: tuple[str, ...]) -> None:
        """Note every key that is not one of the names, with the nearest name."""
        for key in [key for key in data if key not in names][:MOST_NOTED]:
            near = get_close_matches(key[:SHOWN_TEXT], names, 1)
            message = f"there is no setting {shown(key)}" + (f" in [{table}]" if table else "")
            self.add(table, key, message, "one of " + ", ".join(names), "".join(near))

    def choice(self, table: str, data: Table, key: str, names: tuple[str, ...], base: Any) -> Any:
        """A value that must be one of the names."""
        value = data.get(key, base)
        if value in names:
            return value
        near = get_close_matches(shown(value).strip("'"), names, 1)
        self.add(table, key, f"{key} cannot be {shown(value)}", f"one of {', '.join(names)}", *near)
        return base

    def number(
        self, table: str, data: Table, key: str, span: tuple[float, float], base: float
    ) -> float:
        """A number within a span, ends included."""
        value = data.get(key, base)
        if type(value) in (int, float) and span[0] <= value <= span[1]:
            return float(value)
        expected = f"a number from {span[0]:g} to {span[1]:g}"
        self.add(table, key, f"{key} cannot be {shown(value)}", expected)
        return base

    def whole(self, table: str, data: Table, key: str, span: tuple[int, int], base: int) -> int:
        """A whole number within a span, ends included."""
        value = data.get(key, base)
        if type(value) is int and span[0] <= value <= span[1]:
            return value
        expected = f"a whole number from {span[0]} to {span[1]}"
        self.add(table, key, f"{key} cannot be {shown(value)}", expected)
        return base

    def _place(self, table: str, key: str) -> tuple[int, int]:
        """Line and column of a key of a table, (0, 0) where it cannot be found."""
        inside = ""
        written = re.compile(rf"\s*(\[?)(['\"]?){re.escape(key)}\2\s*[=\]]")
        for number, line in enumerate(self.lines, 1):
            head = re.match(r"\s*\[\s*([\w\"' -]+?)\s*\]", line)
            match = written.match(line)
            if match and (inside == table if not match[1] else not table):
                return number, match.start(2) + 1
            if head:
                inside = head[1]
        return 0, 0


_NECK_KEYS: Final = ("scale_mm", "frets", "highest_fret", "string_gap_mm")
#: The names at the top of a player file.
KEYS: Final = ("name", "preset", "hand", "window", "tuning", *_NECK_KEYS)
#: The tables.
TABLES: Final = ("reach", "taste", "fingers", "effort")
_REACH_KEYS: Final = ("size", "comfort_mm", "limit_mm")

#: The maximum number of characters of a player's name, which is printed in the head of a page.
_LONGEST_NAME: Final = 40
#: The maximum number of frets of a neck; each note up to it must be a MIDI number.
_MOST_FRETS: Final = FRETS[1]
_OPEN_STRINGS: Final = range(128 - _MOST_FRETS)


def read_player(text: str, name: str = "") -> Player:
    """The player that a TOML text describes.

    `name` is that of the file: it is used in messages, and as the player's name if the text has
    none.

    Raises SheetError with every mistake, each with its line.
    """
    check_text("a player file", text)
    report = Report(text)
    try:
        data = load_toml(text)
    except TomlError as error:
        report.syntax(str(error))
        raise SheetError(tuple(report.problems), name) from error
    player = _player(data, PurePath(name).stem, report)
    if report.problems:
        in_order = sorted(report.problems, key=lambda problem: problem.position)
        raise SheetError(tuple(in_order), name)
    return player


def _player(data: Table, stem: str, report: Report) -> Player:
    report.known("", data, (*KEYS, *TABLES))
    tables = {key: _table(data, key, report) for key in TABLES}
    preset = report.choice("", data, "preset", tuple(PRESETS), "adult")
    base = PRESETS[preset]
    hand = replace(
        base,
        neck=_neck(data, base.neck, report),
        reach=_reach(tables["reach"], base.reach, report),
    )
    return replace(
        hand,
        hand=report.choice("", data, "hand", ("right", "left"), base.hand),
        window=_window(data, base.window, report),
        preferences=_preferences(tables["taste"], base.preferences, report),
        effort=_effort(tables["effort"], base.effort, report),
        fingers=_fingers(tables["fingers"], hand, report),
        name=_name(data, stem or base.name, report),
    )


def _name(data: Table, base: str, report: Report) -> str:
    name = data.get("name", base)
    if isinstance(name, str) and name.isprintable() and len(name) <= _LONGEST_NAME:
        return " ".join(name.split())
    expected = f"a text of at most {_LONGEST_NAME} characters in quotes"
    report.add("", "name", f"name cannot be {shown(name)}", expected)
    return base


def _table(data: Table, key: str, report: Report) -> Table:
    value = data.get(key, {})
    if isinstance(value, Mapping):
        return value
    report.add("", key, f"{key} is a table", f"a line [{key}] and lines of its own under it")
    return {}


def _neck(data: Table, base: Neck, report: Report) -> Neck:
    scale = report.number("", data, "scale_mm", SCALES_MM, base.scale_mm)
    gap = report.number("", data, "string_gap_mm", STRING_GAPS_MM, base.string_gap_mm)
    frets = report.whole("", data, "frets", FRETS, base.frets)
    highest = base.highest_fret
    if "highest_fret" in data:
        highest = report.whole("", data, "highest_fret", FRETS, frets)
    return Neck(_tuning(data, base.tuning, report), scale, frets, gap, highest)


def _tuning(data: Table, base: tuple[int, ...], report: Report) -> tuple[int, ...]:
    names = data.get("tuning")
    if names is None:
        return base
    expected = 'note names from the lowest string up, such as ["E2", "A2", "D3", "G3"]'
    if not isinstance(names, list) or not STRINGS[0] <= len(names) <= STRINGS[1]:
        report.add("", "tuning", "a tuning is a list of 3 to 12 open strings", expected)
        return base
    pitches = []
    for pitch_name in names:
        try:
            number = midi_number(str(pitch_name)[:SHOWN_TEXT])
        except ValueError as error:
            report.add("", "tuning", str(error), expected)
            continue
        if number in _OPEN_STRINGS:
            pitches.append(number)
        else:
            report.add("", "tuning", f"{pitch_name!r} is no open string", "one from C-1 to G6")
    return tuple(pitches) if len(pitches) == len(names) else base


def _window(data: Table, base: tuple[int, int], report: Report) -> tuple[int, int]:
    value = data.get("window", list(base))
    whole = isinstance(value, list) and len(value) == 2 and all(type(one) is int for one in value)
    if not whole or not 0 <= value[0] <= value[1] <= _MOST_FRETS:
        report.add("", "window", "a window is its lowest and highest fret", "such as [3, 10]")
        return base
    return value[0], value[1]


def _reach(table: Table, base: Reach, report: Report) -> Reach:
    report.known("reach", table, _REACH_KEYS)
    base = base.scaled(report.number("reach", table, "size", (0.5, 1.5), 1.0))
    comfort = _lengths(table, "comfort_mm", base.comfort_mm, report)
    limit = _lengths(table, "limit_mm", base.limit_mm, report)
    if any(far < near for near, far in zip(comfort, limit, strict=True)):
        key = "limit_mm" if "limit_mm" in table else "comfort_mm"
        report.add("reach", key, "a limit lies below its comfort", "limits at or above comfort")
    return Reach(comfort, limit)


def _lengths(table: Table, key: str, base: tuple[float, ...], report: Report) -> tuple[float, ...]:
    value = table.get(key)
    if value is None:
        return base
    pairs = ", ".join(f"{low}-{high}" for low, high in FINGER_PAIRS)
    numbers = isinstance(value, list) and all(type(one) in (int, float) for one in value)
    if not numbers or len(value) != len(base) or not all(0 < one <= 300 for one in value):
        message = f"{key} is six lengths in mm"
        report.add("reach", key, message, f"one each for the fingers {pairs}")
        return base
    return tuple(float(one) for one in value)


def _preferences(table: Table, base: Preferences, report: Report) -> Preferences:
    hints = get_type_hints(Preferences)
    report.known("taste", table, tuple(hints))
    chosen = {
        key: report.choice("taste", table, key, get_args(hint), getattr(base, key))
        for key, hint in hints.items()
    }
    return replace(base, **chosen)


def _effort(table: Table, base: Effort, report: Report) -> Effort:
    names = tuple(field.name for field in fields(Effort))
    report.known("effort", table, names)
    chosen = {
        key: report.number("effort", table, key, (0.0, MOST_EFFORT), getattr(base, key))
        for key in names
    }
    return replace(base, **chosen)


def _fingers(table: Table, player: Player, report: Report) -> tuple[tuple[str, str], ...]:
    """The fingers of shapes, which bind at every fret within the player's reach."""
    fingerings = []
    shape, fingers = next((shape, rows[0]) for shape, rows in STANDARD_FINGERINGS.items())
    expected = f'shape and fingers in equal places, such as "{shape}" = "{fingers}"'
    for shape, fingers in table.items():
        reason = refusal(shape, fingers, player) if isinstance(fingers, str) else "no text"
        if reason:
            message = f"{shown(fingers)} cannot finger the shape {shown(shape)}: {reason}"
            report.add("fingers", shape, message, expected)
        else:
            fingerings.append((" ".join(shape.split()), " ".join(fingers.split())))
    return tuple(fingerings)
