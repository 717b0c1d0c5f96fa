"""The lines of an ABC file: its fields, its music, and where the first tune begins and ends.

Takes the text of a file; gives the first tune as a header of fields and a body of lines. Section
numbers are those of ABC 2.1.
"""

from __future__ import annotations

import re
from typing import Final

from ..errors import SourcePosition
from ..frozen import frozen

_FIELD: Final = re.compile(r"([A-Za-z+]):")
_TUNE: Final = re.compile(r"^X:", re.MULTILINE)
_KEY: Final = re.compile(r"^K:", re.MULTILINE)
_HEADER: Final = re.compile(r"^(?:M:[ \t]*\S|L:[ \t]*1/)", re.MULTILINE)
_COMMENT: Final = re.compile(r"(?<!\\)%.*")


def looks_like_abc(text: str) -> bool:
    """Whether a text is an ABC tune: it has `K:` and, above it, `X:`, `M:` or `L:`, or is marked.

    A file marks itself with `%abc` at its start (2.1).
    """
    head = text[:200_000].removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    if head.startswith("%abc"):
        return True
    key = _KEY.search(head)
    if key is None:
        return False
    above = head[: key.start()]
    return bool(_TUNE.search(above) or _HEADER.search(above))


@frozen
class Line:
    """A field (`name` is its letter) or, without a name, a line of music; `column` of its value."""

    number: int
    name: str
    value: str
    column: int = 1

    @property
    def position(self) -> SourcePosition:
        """Where its value begins."""
        return SourcePosition(self.number, self.column)


@frozen
class TuneLines:
    """The lines of the first tune of a file: above and with `K:`, and after it.

    `more`: how many tunes follow it in the file.
    """

    header: tuple[Line, ...]
    body: tuple[Line, ...]
    more: int


def tune_lines(sources: list[str]) -> TuneLines:
    """The first tune (2.2.1), from `X:` to an empty line or the next `X:`.

    Its header has the fields of the file header too.
    """
    starts = [at for at, text in enumerate(sources) if text.startswith("X:")]
    first = starts[0] if starts else 0
    header = _file_header(sources[:first])
    body: list[Line] = []
    in_body = False
    for number, text in enumerate(sources[first:], start=first + 1):
        if (not text.strip() and (in_body or header)) or (in_body and text.startswith("X:")):
            break
        line = _line(number, text)
        if line is None:
            continue
        if in_body:
            body.append(line)
        elif line.name:
            header.append(line)
            in_body = line.name == "K"
    return TuneLines(_joined(header), _joined(body), max(len(starts) - 1, 0))


def _file_header(sources: list[str]) -> list[Line]:
    """The fields at the top of the file (2.2.2), which hold for all its tunes."""
    fields: list[Line] = []
    for number, text in enumerate(sources, start=1):
        if text.startswith("%"):
            continue
        line = _line(number, text)
        if line is None or not line.name:
            break
        fields.append(line)
    return fields


def _line(number: int, text: str) -> Line | None:
    """A line without its comment; None for one that says nothing."""
    if text.startswith("%"):
        return None
    text = _COMMENT.sub("", text).rstrip()
    if not text.strip():
        return None
    found = _FIELD.match(text)
    if found is None:
        return Line(number, "", text)
    value = text[2:]
    return Line(number, found[1], value.strip(), 3 + len(value) - len(value.lstrip()))


def _joined(lines: list[Line]) -> tuple[Line, ...]:
    """The lines with each continued field (`+:`, 3.3) as one."""
    joined: list[Line] = []
    for line in lines:
        if line.name == "+":
            if joined and joined[-1].name:
                last = joined[-1]
                text = f"{last.value} {line.value}"
                joined[-1] = Line(last.number, last.name, text, last.column)
        else:
            joined.append(line)
    return tuple(joined)
