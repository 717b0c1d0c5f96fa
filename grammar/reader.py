"""Reading a sheet: text or a file in, a `Sheet` out, or every mistake at once.

Takes what a musician typed, in the form that `sheet_format.SHEET_FORMAT` tells; byte order marks,
Windows and old line ends, tabs, full-width and curly signs are forgiven. Gives a `Sheet`, or raises
`SheetError` with all problems in order. Reading is linear in the length of the text, within the
limits stated here and in `text_file`, `mistakes`, `passages`, `bar_words` and `course`.

The way through: `lines` tells the kind of each line; `header` and `body` read them; `words` (with
`sheet.lark`) splits music into words; `bar_words`, `beats` and `bars` make bars of them;
`passages`, `endings`, `course`, `similes` and `structure` check the form; `mistakes` holds what is
said.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Final

from .body import Body
from .errors import Problem, SheetError
from .header import read_header
from .lines import Line, is_music, known_name, read_lines, source_lines
from .mistakes import MAX_MISTAKES, mistake
from .passages import check_counts, find_passages, settled_bars
from .sheet import WHOLE_FILE, Comment, Sheet
from .structure import check_structure
from .text_file import MAX_BYTES, read_text

MAX_LINES: Final = 20_000
MAX_BARS: Final = 20_000


def read_file(path: Path | str) -> Sheet:
    """The sheet in a text file. Raises SheetError, or OSError when the file cannot be opened."""
    path = Path(path)
    return read_sheet(read_text(path), path.name)


def read_sheet(text: str, name: str = "") -> Sheet:
    """The sheet that a text holds; `name` stands in messages. Raises SheetError."""
    problems: list[Problem] = []
    sources = source_lines(text)
    sheet = None
    if len(text) > MAX_BYTES:
        problems.append(mistake("too-large", WHOLE_FILE, most=MAX_BYTES))
    elif len(sources) > MAX_LINES:
        problems.append(mistake("too-many-lines", WHOLE_FILE, most=MAX_LINES))
    else:
        sheet = _sheet(read_lines(sources), problems)
    if problems or sheet is None:
        raise SheetError(_in_order(problems, sources), name)
    return sheet


def _sheet(lines: list[Line], problems: list[Problem]) -> Sheet | None:
    if not lines:
        problems.append(mistake("empty-file", WHOLE_FILE))
        return None
    warnings: list[str] = []
    top = _header_length(lines)
    header = read_header([line for line in lines[:top] if _is_field(line)], problems, warnings)
    body = Body(header.meter, problems)
    body.comments += [Comment(line.value) for line in lines[:top] if line.kind == "comment"]
    above = [line for line in lines[:top] if line.kind != "comment" and not _is_field(line)]
    for line in above + lines[top:]:
        body.add(line)
        if len(body.bars) > MAX_BARS:
            problems.append(mistake("too-many-bars", line.place, most=MAX_BARS))
            return None
        if len(problems) > MAX_MISTAKES:
            end = mistake("too-many-mistakes", WHOLE_FILE, most=MAX_MISTAKES, line=line.number)
            problems.append(end)
            return None
    body.finish()
    bars, sections = tuple(body.bars), tuple(body.sections)
    if not bars:
        if not problems:
            problems.append(mistake("no-bars", WHOLE_FILE))
        return None
    if all(section.recalls != -1 for section in sections):
        problems += check_structure(bars, sections)
    steps, passages, _ = find_passages(bars, sections) if not problems else ((), (), ())
    problems += check_counts(bars, steps, passages, body.reader.typed_counts)
    settled = settled_bars(bars, steps, passages)
    return Sheet(header, sections, settled, tuple(body.comments), tuple(warnings))


def _header_length(lines: list[Line]) -> int:
    """How many lines stand above the music: up to the last header line before label or bars."""
    top = 0
    for at, line in enumerate(lines):
        if _is_field(line):
            top = at + 1
        elif line.kind in ("label", "again") or (line.kind == "music" and is_music(line.value)):
            break
    return top


def _is_field(line: Line) -> bool:
    return line.kind == "field" or (line.kind == "label" and bool(known_name(line.name)))


def _in_order(problems: list[Problem], sources: list[str]) -> tuple[Problem, ...]:
    """The problems by place, each once, each with the line that it stands in."""
    seen = dict.fromkeys(_located(problem, sources) for problem in problems)
    return tuple(sorted(seen, key=lambda problem: (problem.line, problem.column)))


def _located(problem: Problem, sources: list[str]) -> Problem:
    """The problem with its line; a bar's problem moves to the words of the bar that it is about."""
    if not problem.line:
        return problem
    source = sources[problem.line - 1]
    at = source.find(problem.text, problem.column - 1)
    column = at + 1 if at >= 0 else problem.column
    return replace(problem, source=source, column=column)
