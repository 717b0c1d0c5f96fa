"""The one way out of reading: a fault with its place, turned into a `SheetError` at the door."""

from __future__ import annotations

from ..errors import Problem


class ScoreError(Exception):
    """Reading cannot go on; `problem` says where and why. Never leaves this package."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.message)
        self.problem = problem


def fault(message: str, line: int = 0, column: int = 0, text: str = "") -> ScoreError:
    """A fault at `line` and `column` (0: the file as a whole) about the offending `text`."""
    return ScoreError(Problem(line, column, message, text=text[:80]))
