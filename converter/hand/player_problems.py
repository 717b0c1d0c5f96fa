"""Mistakes in a player file, each with the line it stands in.

Takes the text and what TOML made of it, collects `Problem`s. Checks give back the value, or the one
given for want of it after a mistake was noted, so that all mistakes of a file are found in one
pass.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from difflib import get_close_matches
from typing import Any

from ...grammar.errors import Problem

Table = Mapping[str, Any]


class Report:
    """The mistakes of one text so far."""

    def __init__(self, text: str) -> None:
        self.lines = text.splitlines()
        self.problems: list[Problem] = []

    def add(self, table: str, key: str, message: str, expected: str, suggestion: str = "") -> None:
        """Note a mistake at a key of a table ("" for the top of the file)."""
        line, column = self._place(table, key)
        source = self.lines[line - 1] if line else ""
        self.problems.append(Problem(line, column, message, key, source, expected, suggestion))

    def syntax(self, message: str) -> None:
        """Note that the text is not TOML; the place is the one that the message ends with."""
        match = re.search(r"\(at line (\d+), column (\d+)\)", message)
        line, column = (int(match[1]), int(match[2])) if match else (len(self.lines), 1)
        source = self.lines[line - 1] if 0 < line <= len(self.lines) else ""
        told = message[: match.start()].strip() if match else message
        expected = "TOML: lines of name = value, texts in quotes"
        self.problems.append(Problem(line, column, told, "", source, expected))

    def known(self, table: str, data: Table, names: tuple[str, ...]) -> None:
        """Note every key that is none of the names, with the nearest one."""
        for key in data:
            if key not in names:
                near = get_close_matches(key, names, 1)
                message = f"there is no setting {key!r}" + (f" in [{table}]" if table else "")
                self.add(table, key, message, "one of " + ", ".join(names), "".join(near))

    def choice(self, table: str, data: Table, key: str, names: tuple[str, ...], base: Any) -> Any:
        """A value that must be one of some words."""
        value = data.get(key, base)
        if value in names:
            return value
        near = get_close_matches(str(value), names, 1)
        self.add(table, key, f"{key} cannot be {value!r}", f"one of {', '.join(names)}", *near)
        return base

    def number(
        self, table: str, data: Table, key: str, span: tuple[float, float], base: float
    ) -> float:
        """A number within a span, ends included."""
        value = data.get(key, base)
        if type(value) in (int, float) and span[0] <= value <= span[1]:
            return float(value)
        expected = f"a number from {span[0]:g} to {span[1]:g}"
        self.add(table, key, f"{key} cannot be {value!r}", expected)
        return base

    def whole(self, table: str, data: Table, key: str, span: tuple[int, int], base: int) -> int:
        """A whole number within a span, ends included."""
        value = data.get(key, base)
        if type(value) is int and span[0] <= value <= span[1]:
            return value
        expected = f"a whole number from {span[0]} to {span[1]}"
        self.add(table, key, f"{key} cannot be {value!r}", expected)
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
