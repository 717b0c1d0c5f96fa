"""What the reader is told of each example in the table of mistakes, whole."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final, Literal

from midneck.grammar import limits
from midneck.grammar.abc.reader import read_abc
from midneck.grammar.errors import SheetError
from midneck.grammar.mistakes import MISTAKES
from midneck.grammar.text.progression import read_progression
from midneck.grammar.text.reader import read_sheet
from midneck.render.desk.highlight import fixes, mended, mistake_range

Table = Literal["examples", "progressions", "tunes"]
READERS: Final[dict[Table, Callable[[str], object]]] = {
    "examples": read_sheet,
    "progressions": read_progression,
    "tunes": read_abc,
}


#: Sheets with mistakes beside those of the table: what comes before and after each matters.
MORE: Final = (
    "| /F C |",
    "| C /F |",
    "| C / F / G |",
    "| %% | C |",
    "Time: 3/4\n| C |\nTime: 4/4\n| % |",
    "|: C |1. :|2. |: F |",
    "|1. |: C :|",
    "|: C | To | F |",
    "| C al |",
    "| C | Dm7 – |",
    "| C / Fyes G |",
    "| C / Fyes |\n| C / |",
    "| C Fyes G |",
    "| Fyes |",
    "| C7( F |",
    "Key: Q\nTime: 4\nTempo: 5\nForm: AZ\n\nA:\n| C |",
    "A:\n| C | F |\nCoda\nA: again\n",
    "A:\n| C To Coda | F |\nB:\n| F |\nCoda\nA: again\n| G |",
    "Form: AAB\nA:\n| C |\n",
    "Form: AB\nA:\n| C |\nB:\n| F |\nC:\n| G |\n",
    "| C | Coda F | Coda G |",
    "| Coda C | F To Coda |",
    "| C To Coda | F To Coda | Coda G |",
    "| Segno C | Segno F D.S. |",
    "| C D.S. | Segno F |",
    "| Fine | C Fine | F Fine | D.C. al Fine |",
    "| C | F D.C. al Coda | G |",
    "| C To Coda | F D.S. al Coda | Coda G |",
    "| C D.C. | F D.C. |",
    "|: C | |: F :| G :|",
    "|: C To Coda :| F | Coda G |",
    "| C |1. F :|3. G |",
    "|: C |1,3. F :|2. G |",
    "| C=9 |",
    "| C=1/7 F |",
    "| C6 | (Dm7 |",
    "| (C7 (F7)) |",
    "| C :| x1 |",
    "| C || x2 |",
)


def more_mistakes() -> str:
    """What is told of sheets with several mistakes, or of none."""
    return "".join(f"{text!r}\n{_indented(READERS['examples'], text)}" for text in MORE)


def limits_text() -> str:
    """What the readers take at most."""
    names = [name for name in dir(limits) if name.isupper()]
    return "".join(f"{name} {getattr(limits, name)!r}\n" for name in names)


def fixes_text() -> str:
    """Each mistake with the range that is marked in an editor, and the text after each fix."""
    return "".join(f"{line}\n" for text in _broken_sheets() for line in _fixed(text))


def _broken_sheets() -> list[str]:
    texts = [text for kind in MISTAKES.values() for text in kind.examples]
    return [text for text in [*texts, *MORE] if len(text) < 500]


def _fixed(text: str) -> Iterator[str]:
    try:
        read_sheet(text)
    except SheetError as error:
        for problem in error.problems:
            yield f"{text!r}: {problem.label} {mistake_range(text, problem)}"
            for fix in fixes(problem):
                yield f"  {fix!r}: {mended(text, problem, fix)!r}"


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
