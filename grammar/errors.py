"""The errors of Midneck, and the problems of what was read, each with its position."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from typing import Final

from .foreign_text import harmless, one_line
from .frozen import frozen

#: The most problems that are printed; the rest are counted. `SheetError.problems` has all of them.
SHOWN_PROBLEMS: Final = 50
#: Longer source lines are cut around the caret when they are printed.
SHOWN_COLUMNS: Final = 100
#: A longer offending text is cut in the message.
SHOWN_TEXT: Final = 40


class MidneckError(Exception):
    """The base class of every error that Midneck raises on purpose.

    Each error class derives from it and from the built-in class that it is a case of (ValueError
    for wrong input, OSError for files that cannot be used), so that callers can catch either.
    """


class InvalidValueError(MidneckError, ValueError):
    """A value cannot be made of what was given; the message names it and what is allowed."""


def nearest(word: str, known: Sequence[str], likeness: float = 0.6) -> str:
    """The known word that is most like a misspelt one, for a suggestion; "" when none is near.

    `likeness` is the least ratio that counts, from 0 to 1, as `difflib` defines it.
    """
    # Whatever is much longer or shorter is not near, and difflib takes time to import.
    size = len(word)
    known = [
        other for other in known if 2 * min(size, len(other)) >= likeness * (size + len(other))
    ]
    if not known:
        return ""
    from difflib import get_close_matches

    return next(iter(get_close_matches(word, known, 1, likeness)), "")


class TuneError(MidneckError, ValueError):
    """One tune cannot be made as it was asked for; others of the same folder may be."""


@frozen(order=True)
class SourcePosition:
    """A position in a source text: `line` and `column`, both from 1."""

    line: int
    column: int

    def __repr__(self) -> str:
        return f"SourcePosition({self.line}, {self.column})"


#: The position of a problem of the file as a whole.
WHOLE_FILE: Final = SourcePosition(0, 0)


@frozen
class Problem:
    """One mistake at `position` (`WHOLE_FILE` where no line is wrong).

    `text` is the offending text, `source` its line, `expected` what would be right there and
    `suggestion` the nearest right text ("" where none is near). `label` names the kind of mistake,
    the same in every version ("" for one that has no entry in the table of mistakes).
    """

    position: SourcePosition
    message: str
    text: str = ""
    source: str = ""
    expected: str = ""
    suggestion: str = ""
    label: str = ""

    @property
    def line(self) -> int:
        """The line from 1, 0 for the file as a whole."""
        return self.position.line

    @property
    def column(self) -> int:
        """The column from 1, 0 for the file as a whole."""
        return self.position.column


class SheetError(MidneckError, ValueError):
    """What was read is not a sheet; `problems` lists every mistake that was found, in order."""

    def __init__(self, problems: tuple[Problem, ...], name: str = "") -> None:
        super().__init__(f"{len(problems)} problem(s) in {name or 'the sheet'}")
        self.problems = problems
        self.name = name

    def __str__(self) -> str:
        shown = [problem_text(problem, self.name) for problem in self.problems[:SHOWN_PROBLEMS]]
        left = len(self.problems) - len(shown)
        if left > 0:
            shown.append(f"… and {left} more")
        return "\n".join(shown)


def problem_text(problem: Problem, name: str = "") -> str:
    """A problem as text: position and reason, then its line with carets under its text."""
    location = [one_line(name) or "sheet"]
    if problem.line:
        location += [str(problem.line), str(problem.column)]
    said = f"{':'.join(location)}: {problem.message}"
    if problem.text:
        said += f" '{cut(problem.text)}'"
    if problem.expected:
        said += f"; expected {problem.expected}"
    if problem.suggestion:
        said += f"; did you mean {problem.suggestion}?"
    if problem.source:
        said += "\n" + _pointed(problem)
    return harmless(said)


def _pointed(problem: Problem) -> str:
    """The source line with carets under the offending text, as wide as its characters."""
    at = problem.column - 1
    first = max(0, at - SHOWN_COLUMNS // 2) if len(problem.source) > SHOWN_COLUMNS else 0
    line = problem.source[first : first + SHOWN_COLUMNS]
    before, marked = line[: at - first], line[at - first : at - first + len(problem.text)]
    lead = "".join(char if char == "\t" else " " * _columns(char) for char in before)
    width = max(1, sum(_columns(char) for char in marked))
    return f"    {line}\n    {lead}{'^' * width}"


def _columns(char: str) -> int:
    """How many columns of a terminal a character takes (Unicode Standard Annex #11)."""
    if unicodedata.category(char) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(char) in "WF" else 1


def cut(text: str) -> str:
    """A text as messages show it: its beginning where it is long."""
    return text if len(text) <= SHOWN_TEXT else text[: SHOWN_TEXT - 1] + "…"
