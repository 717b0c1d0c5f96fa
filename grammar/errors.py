"""What is wrong with what was read: each problem with its place, and all of them at once."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Problem:
    """One mistake. `line` and `column` count from 1 (0: the file as a whole).

    `text` is the offending piece, `source` the line it stands in, `expected` what would be right there
    and `suggestion` the nearest right thing ("" where none is near).
    """

    line: int
    column: int
    message: str
    text: str = ""
    source: str = ""
    expected: str = ""
    suggestion: str = ""


class SheetError(ValueError):
    """What was read is not a sheet; `problems` lists every mistake that was found, in order."""

    def __init__(self, problems: tuple[Problem, ...], name: str = "") -> None:
        super().__init__(f"{len(problems)} problem(s) in {name or 'the sheet'}")
        self.problems = problems
        self.name = name
