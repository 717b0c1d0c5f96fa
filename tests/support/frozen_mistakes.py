"""What the reader is told of each example in the table of mistakes, whole."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final, Literal

from midneck.grammar.abc.reader import read_abc
from midneck.grammar.errors import SheetError
from midneck.grammar.mistakes import MISTAKES
from midneck.grammar.text.progression import read_progression
from midneck.grammar.text.reader import read_sheet

Table = Literal["examples", "progressions", "tunes"]
READERS: Final[dict[Table, Callable[[str], object]]] = {
    "examples": read_sheet,
    "progressions": read_progression,
    "tunes": read_abc,
}


#: Sheets with mistakes beside those of the table: what comes before and after each matters.
MORE: Final = (
    "| /F C |", "| C /F |", "| C / F / G |", "| %% | C |", "Time: 3/4\n| C |\nTime: 4/4\n| % |",
    "|: C |1. :|2. |: F |", "|1. |: C :|", "|: C | To | F |", "| C al |", "| C | Dm7 – |",
    "| C / Fyes G |", "| C / Fyes |\n| C / |",
    "| C Fyes G |", "| Fyes |", "| C7( F |", "Key: Q\nTime: 4\nTempo: 5\nForm: AZ\n\nA:\n| C |",
    "| C=9 |", "| C=1/7 F |", "| C6 | (Dm7 |", "| (C7 (F7)) |", "| C :| x1 |", "| C || x2 |",
)  # fmt: skip


def more_mistakes() -> str:
    """What is told of sheets with several mistakes, or of none."""
    return "".join(f"{text!r}\n{_indented(READERS['examples'], text)}" for text in MORE)


def _indented(read: Callable[[str], object], text: str) -> str:
    return "".join(f"  {line}\n" for line in _told(read, text).splitlines())


def mistakes_of(table: Table) -> str:
    """Each label of the table of mistakes with what each of its examples is told."""
    return "".join(f"{line}\n" for line in _lines(table))


def _lines(table: Table) -> Iterator[str]:
    for label, kind in MISTAKES.items():
        for text in getattr(kind, table):
            yield f"{label}: {_shortened(repr(text))}"
            yield from (f"  {line}" for line in _told(READERS[table], text).splitlines())


def _told(read: Callable[[str], object], text: str) -> str:
    try:
        read(text)
    except SheetError as error:
        return _shortened(str(error))
    return "nothing"


def _shortened(text: str, most: int = 1000) -> str:
    """A text without its middle where it is very long."""
    return text if len(text) <= most else f"{text[: most // 2]} … {text[-most // 2 :]}"
