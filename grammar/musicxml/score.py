"""A score from its XML: title, people, and the measures of its parts in order.

The stage between bytes and the sheet that `reader` makes. Takes XML in pieces of bytes; gives a
`Score`. Both layouts are read: parts that hold measures (`score-partwise`) and measures that hold
parts (`score-timewise`). Elements that have nothing to do with harmony, form or time (pitches,
lyrics, layout) are dropped while reading, so that memory does not grow with them. Raises ScoreError
for XML that is no score or exceeds the limits of `limits.py`.

Source: MusicXML 4.0, "score-partwise" and "score-timewise".
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import field
from typing import Final

from ..errors import SourcePosition
from ..foreign_text import harmless
from ..frozen import frozen, mutable
from ..limits import (
    MAX_DEPTH,
    MAX_ELEMENTS,
    MAX_MARKS,
    MAX_MEASURE_ELEMENTS,
    MAX_MEASURES,
    MAX_TEXT,
)
from .measure import Measure, MeasureReader
from .xml import Node, ScoreError, fault, feed, make_parser, position_of

_HEAD: Final = """work work-title movement-title identification creator miscellaneous
    miscellaneous-field credit credit-type credit-words part-list score-part part-name"""
_MEASURE: Final = """attributes divisions key fifths mode time beats beat-type senza-misura
transpose
    diatonic chromatic octave-change measure-style measure-repeat multiple-rest barline bar-style
    ending repeat fermata direction direction-type words rehearsal segno coda metronome beat-unit
    beat-unit-dot per-minute offset sound swing straight first second swing-type swing-style
    bookmark note chord grace cue rest duration backup forward notations"""
_HARMONY: Final = """harmony root root-step root-alter kind inversion bass bass-step bass-alter
    function numeral numeral-root numeral-alter numeral-key numeral-fifths numeral-mode degree
    degree-value degree-alter degree-type frame frame-strings frame-note string fret"""
KEPT: Final = frozenset((_HEAD + " " + _MEASURE + " " + _HARMONY).split())
_ROOTS: Final = ("score-partwise", "score-timewise")
_HEADS: Final = ("work", "movement-title", "identification", "credit", "part-list")


@mutable
class _Open:
    """An element that is not closed yet."""

    name: str
    attributes: dict[str, str]
    position: SourcePosition
    text: list[str] = field(default_factory=list)
    children: list[Node] = field(default_factory=list)


@frozen
class MeasureNode:
    """One measure of one part: `part` is the part's id, `attributes` the measure's own."""

    part: str
    attributes: dict[str, str]
    content: Node


class Scanner:
    """Builds nodes while the parser runs; each head and measure goes to its callback when it ends.

    A head is an element above the parts: the title, the people, the list of parts.
    """

    def __init__(
        self, on_head: Callable[[Node], None], on_measure: Callable[[MeasureNode], None]
    ) -> None:
        self._on_head = on_head
        self._on_measure = on_measure
        self._parser = make_parser()
        self._parser.StartElementHandler = self._start
        self._parser.EndElementHandler = self._end
        self._parser.CharacterDataHandler = self._data
        self._stack: list[_Open] = []
        self._skipping = 0
        self._elements = self._kept = self._measures = self._in_heads = 0

    def run(self, pieces: Iterable[bytes]) -> None:
        """Read the whole score. Raises ScoreError when it is no score."""
        feed(self._parser, pieces)

    def _fault(self, message: str, text: str = "") -> ScoreError:
        return fault(message, position_of(self._parser), text)

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        self._elements += 1
        if self._elements > MAX_ELEMENTS or len(self._stack) + self._skipping >= MAX_DEPTH:
            raise self._fault("the file is larger or nested deeper than any score")
        depth = len(self._stack)
        if depth == 0 and name not in _ROOTS:
            raise self._fault(
                "this XML is not a score: MusicXML begins with <score-partwise>", f"<{name}>"
            )
        if self._skipping or not self._wanted(name, depth):
            self._skipping += 1
            return
        self._kept += 1
        if self._kept > MAX_MEASURE_ELEMENTS:
            raise self._fault("one measure holds more than any measure of a score", name)
        self._stack.append(_Open(name, attributes, position_of(self._parser)))

    def _wanted(self, name: str, depth: int) -> bool:
        if depth == 0:
            return True
        outer, inner = ("part", "measure")
        if self._stack[0].name == "score-timewise":
            outer, inner = inner, outer
        if depth == 1:
            return name == outer or name in _HEADS
        if depth == 2 and self._stack[1].name == outer:
            return name == inner
        return name in KEPT

    def _data(self, text: str) -> None:
        if self._stack and not self._skipping and len(self._stack) > 1:
            held = self._stack[-1].text
            if text.isspace():
                if held[-1:] == [" "]:
                    return
                text = " "
            if sum(map(len, held)) + len(text) > MAX_TEXT:
                raise self._fault("a text in the file is longer than any text of a score")
            held.append(text)

    def _end(self, _name: str) -> None:
        if self._skipping:
            self._skipping -= 1
            return
        done = self._stack.pop()
        text = " ".join(harmless("".join(done.text)).split())
        node = Node(done.name, done.attributes, text, tuple(done.children), done.position)
        self._pass_on(node)

    def _pass_on(self, node: Node) -> None:
        depth = len(self._stack)
        if depth == 1 and node.name in _HEADS:
            self._in_heads += self._kept
            self._kept = 0
            if self._in_heads > MAX_MEASURE_ELEMENTS:
                raise self._fault("the file says more about itself than any score")
            self._on_head(node)
        elif depth == 2 and node.name in ("part", "measure"):
            self._kept = 0
            self._measures += 1
            if self._measures > MAX_MEASURES:
                raise self._fault("the file holds more measures than any score")
            self._on_measure(self._measure(node))
        elif depth > 1:
            self._stack[-1].children.append(node)

    def _measure(self, node: Node) -> MeasureNode:
        outer = self._stack[1]
        if node.name == "measure":
            return MeasureNode(outer.attributes.get("id", ""), node.attributes, node)
        return MeasureNode(node.attributes.get("id", ""), outer.attributes, node)


@frozen
class Part:
    """One part: its `id`, its `name` ("" when it has none), its measures."""

    id: str
    name: str
    measures: tuple[Measure, ...]

    @property
    def harmonies(self) -> int:
        """How many `<harmony>` it holds."""
        return sum(len(measure.harmonies) for measure in self.measures)


@frozen
class Score:
    """A whole score. `other` keeps its miscellaneous fields as (name, value)."""

    title: str
    by: str
    other: tuple[tuple[str, str], ...]
    parts: tuple[Part, ...]


@mutable
class _Collector:
    heads: list[Node] = field(default_factory=list)
    readers: dict[str, MeasureReader] = field(default_factory=dict)
    measures: dict[str, list[Measure]] = field(default_factory=dict)
    marks: int = 0

    def add(self, node: MeasureNode) -> None:
        reader = self.readers.setdefault(node.part, MeasureReader())
        measures = self.measures.setdefault(node.part, [])
        measure = reader.read(node.content, node.attributes)
        self.marks += len(measure.harmonies) + len(measure.marks) + len(measure.fermatas)
        if self.marks > MAX_MARKS:
            raise node.content.fault("the file holds more chord symbols and words than any score")
        measures.append(measure)


def read_score(pieces: Iterable[bytes]) -> Score:
    """The score in pieces of XML. Raises ScoreError when it cannot be read."""
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
    return ", ".join(dict.fromkeys(name for name in names if name))[:MAX_TEXT]


def _credit(heads: list[Node], type_: str) -> str:
    credits = (head for head in heads if head.name == "credit")
    return next(
        (c.text_of("credit-words") for c in credits if c.text_of("credit-type") == type_), ""
    )


def _other(heads: list[Node]) -> tuple[tuple[str, str], ...]:
    return tuple(
        (" ".join(harmless(node.attributes["name"]).split()), node.text)
        for head in heads
        for fields in head.all("miscellaneous")
        for node in fields.all("miscellaneous-field")
        if node.attributes.get("name")
    )
