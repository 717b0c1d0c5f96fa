"""What the editor marks in the text of a sheet: kinds of words, and mistakes with their fixes.

Takes the text and its problems, gives ranges as string offsets from 0. The words are those that the
reader of sheets finds, so that a marked chord is a chord that is read.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate
from typing import Final, Literal

from ...grammar.errors import Problem, SheetError
from ...grammar.text.reader import read_sheet
from ...grammar.text.source import SourceLine, read_lines, source_lines
from ...grammar.text.tokens import BarLine, ChordTokens, Token, line_tokens

MarkKind = Literal["comment", "words", "name", "label", "bar-line", "chord", "pin", "sign", "stray"]
#: The kinds of tokens in a bar that are not marked as `sign`.
_KINDS: Final[dict[str, MarkKind]] = {
    "chord": "chord",
    "numeral": "chord",
    "pin": "pin",
    "open_pin": "pin",
    "stray": "stray",
    "unknown": "stray",
}


@dataclass(frozen=True, slots=True, order=True)
class Mark:
    """A range of the text, `start` to before `end`, and what it is."""

    start: int
    end: int
    kind: MarkKind


def marks(text: str) -> tuple[Mark, ...]:
    """The marked ranges of a sheet's text, in order."""
    sources = source_lines(text)
    starts = line_starts(text)
    found = []
    for line in read_lines(sources):
        start = starts[line.number - 1]
        for column, end, kind in _line_marks(line, sources[line.number - 1]):
            found.append(Mark(start + column - 1, start + end - 1, kind))
    return tuple(mark for mark in found if mark.end > mark.start)


def line_starts(text: str) -> tuple[int, ...]:
    """The offset of each line of a text whose lines end with a newline."""
    return tuple(accumulate((len(line) + 1 for line in text.split("\n")), initial=0))


def mistake_range(text: str, problem: Problem) -> tuple[int, int]:
    """The range to underline: the offending text, at least a character where there is one."""
    if not problem.line:
        return 0, min(1, len(text))
    starts = line_starts(text)
    start = min(starts[problem.line - 1] + max(0, problem.column - 1), len(text))
    end = min(start + max(1, len(problem.text)), starts[problem.line] - 1)
    return (start, end) if end > start else (max(0, start - 1), start)


def fixes(problem: Problem) -> tuple[str, ...]:
    """The right texts that a problem suggests, the best first."""
    return tuple(filter(None, problem.suggestion.split(" or "))) if problem.line else ()


def fix_range(text: str, problem: Problem, fix: str) -> tuple[int, int]:
    """The range that a fix replaces: that after which the fewest mistakes are left.

    A fix stands for the offending text, the words that it is part of, its bar, or its whole line.
    """
    start, end = mistake_range(text, problem)
    words = [mark for mark in marks(text) if mark.start < end and mark.end > start]
    wide = min((start, *(w.start for w in words))), max((end, *(w.end for w in words)))
    first = text.rfind("\n", 0, start) + 1
    last = text.find("\n", first)
    line = first, len(text) if last < 0 else last
    bar = text.rfind("|", 0, start) + 1, _before(text, "|\n", start)
    inside = bar[0] + (text[bar[0] : bar[0] + 1] == " "), bar[1] - (text[bar[1] - 1] == " ")
    blank = max(text.rfind(sign, 0, start) for sign in " |\n") + 1, _before(text, " |\n", start)
    before = max(text.rfind(sign, 0, max(0, blank[0] - 1)) for sign in " |\n") + 1
    two = before, blank[1]
    ranges = (wide, (start, start + len(problem.text)), blank, two, line, inside)
    return min(ranges, key=lambda at: _mistakes(text[: at[0]] + fix + text[at[1] :]))


def _before(text: str, signs: str, start: int) -> int:
    """The first place from `start` on where one of the signs stands, or the end."""
    found = [place for sign in signs if (place := text.find(sign, start)) >= 0]
    return min(found, default=len(text))


def _mistakes(text: str) -> int:
    try:
        read_sheet(text)
    except SheetError as error:
        return len(error.problems)
    return 0


def mended(text: str, problem: Problem, fix: str) -> str:
    """The text with a fix in place."""
    start, end = fix_range(text, problem, fix)
    return text[:start] + fix + text[end:]


def _line_marks(line: SourceLine, source: str) -> tuple[tuple[int, int, MarkKind], ...]:
    """The marked columns of a line, from 1, each to before its end."""
    end = len(source.rstrip()) + 1
    if line.kind in ("comment", "text"):
        return ((line.column, end, "comment" if line.kind == "comment" else "words"),)
    named: MarkKind = "name" if line.kind == "field" else "label"
    name = ((line.name_column, line.name_column + len(line.name), named),) if line.name else ()
    if line.kind == "music":
        return (*name, *_music_marks(line.value))
    return (*name, (line.column, end, "words"))


@lru_cache(maxsize=4096)
def _music_marks(value: str) -> tuple[tuple[int, int, MarkKind], ...]:
    return tuple(
        (column, column + len(text), kind) for column, text, kind in _words(value) if text.strip()
    )


def _words(value: str) -> Iterator[tuple[int, str, MarkKind]]:
    for item in line_tokens(value):
        if isinstance(item, BarLine):
            yield item.column, item.text, "bar-line"
            continue
        for part in item.items:
            if isinstance(part, Token):
                yield _word(part)
            elif isinstance(part, ChordTokens):
                for token in (part.symbol, *part.extensions):
                    if token is not None:
                        yield _word(token)


def _word(token: Token) -> tuple[int, str, MarkKind]:
    return token.column, token.text, _KINDS.get(token.kind, "sign")
