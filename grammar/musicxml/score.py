"""From a file to a score: its title and people, and the measures of its parts in order."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Final

from .measure import Measure, MeasureReader
from .node import Node
from .scan import Cell, Scanner

#: The most harmonies, words and signs that a score may hold.
MAX_SAID: Final = 50_000


@dataclass(frozen=True, slots=True)
class Part:
    """One part: its `id`, its `name` ("" when it has none), its measures."""

    id: str
    name: str
    measures: tuple[Measure, ...]

    @property
    def harmonies(self) -> int:
        """How many `<harmony>` it holds."""
        return sum(len(measure.harmonies) for measure in self.measures)


@dataclass(frozen=True, slots=True)
class Score:
    """A whole score. `other` keeps its miscellaneous fields as (name, value)."""

    title: str
    by: str
    other: tuple[tuple[str, str], ...]
    parts: tuple[Part, ...]


@dataclass(slots=True)
class _Collector:
    heads: list[Node] = field(default_factory=list)
    readers: dict[str, MeasureReader] = field(default_factory=dict)
    measures: dict[str, list[Measure]] = field(default_factory=dict)
    said: int = 0

    def add(self, cell: Cell) -> None:
        reader = self.readers.setdefault(cell.part, MeasureReader())
        measures = self.measures.setdefault(cell.part, [])
        measure = reader.read(cell.content, cell.attributes)
        self.said += len(measure.harmonies) + len(measure.marks) + len(measure.fermatas)
        if self.said > MAX_SAID:
            raise cell.content.fault("the file holds more chord symbols and words than any score")
        measures.append(measure)


def read_score(pieces: Iterable[bytes]) -> Score:
    """The score in pieces of XML; raises ScoreError when it cannot be read."""
    collected = _Collector()
    Scanner(collected.heads.append, collected.add).run(pieces)
    names = _part_names(collected.heads)
    parts = tuple(
        Part(part, names.get(part, ""), tuple(measures))
        for part, measures in collected.measures.items()
    )
    return Score(_title(collected.heads), _by(collected.heads), _other(collected.heads), parts)


def _part_names(heads: list[Node]) -> dict[str, str]:
    return {
        part.attributes.get("id", ""): part.text_of("part-name")
        for head in heads
        for part in head.all("score-part")
    }


def _title(heads: list[Node]) -> str:
    """The movement's title, else the work's, else the one printed on the page."""
    for head in heads:
        if head.name == "movement-title" and head.text:
            return head.text
    works = [head.text_of("work-title") for head in heads if head.name == "work"]
    return next((work for work in works if work), _credit(heads, "title"))


def _by(heads: list[Node]) -> str:
    """The composers, else whoever else is named as a creator, else the name on the page."""
    creators = [
        (node.attributes.get("type", ""), node.text)
        for head in heads
        for node in head.all("creator")
        if node.text
    ]
    composers = [name for type_, name in creators if type_ == "composer"]
    names = composers or [name for _, name in creators] or [_credit(heads, "composer")]
    return ", ".join(dict.fromkeys(name for name in names if name))


def _credit(heads: list[Node], type_: str) -> str:
    credits = (head for head in heads if head.name == "credit")
    return next(
        (c.text_of("credit-words") for c in credits if c.text_of("credit-type") == type_), ""
    )


def _other(heads: list[Node]) -> tuple[tuple[str, str], ...]:
    return tuple(
        (node.attributes["name"], node.text)
        for head in heads
        for fields in head.all("miscellaneous")
        for node in fields.all("miscellaneous-field")
        if node.attributes.get("name")
    )
