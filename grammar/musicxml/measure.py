"""From one cell of a score to a measure: its harmonies, marks and signs at exact positions.

Positions and lengths are in quarter notes from the bar line. Notes count only as time that passes:
melody is not kept. Several `<harmony>` in a row without an offset share the note that follows
(MusicXML 4.0, `harmony`: a harmony stands at the place where it is written in the measure).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from typing import Final

from ..header import MAX_METER_BEATS
from ..pitch import Interval
from ..sheet import Place
from .attributes import read_key, read_style, read_time, read_transposition
from .barlines import Barlines, read_barline
from .faults import fault
from .marks import Mark, direction_marks
from .node import Node
from .numerals import Signature
from .times import Time

#: The longest measure that is read, in quarters: one of as many whole notes as a meter can have.
MAX_QUARTERS: Final = 4 * MAX_METER_BEATS


@dataclass(frozen=True, slots=True)
class Placed:
    """A `<harmony>` at its position. `push`: it is written to sound an eighth before its beat."""

    position: Fraction
    node: Node
    push: bool = False


@dataclass(frozen=True, slots=True)
class Measure:
    """What one measure of one part says; None and empty where it says nothing.

    `length`: how far its notes and rests reach. `repeat_of`: how many measures before it are
    played again here (`<measure-repeat>`), None where the measure does not change that.
    `rest_bars`: measures of a multi-bar rest that begins here.
    """

    place: Place
    implicit: bool
    length: Fraction
    sounding: bool
    time: Time | None
    key: Signature | None
    transposition: Interval | None
    harmonies: tuple[Placed, ...]
    marks: tuple[Mark, ...]
    fermatas: tuple[Fraction, ...]
    barlines: Barlines
    repeat_of: int | None = None
    rest_bars: int = 0


@dataclass(slots=True)
class MeasureReader:
    """Reads the measures of one part in order; remembers the divisions from one to the next."""

    divisions: Fraction = Fraction(1)
    _cursor: Fraction = Fraction(0)
    _reach: Fraction = Fraction(0)
    _skipped: Fraction = Fraction(0)
    _onset: Fraction = Fraction(0)
    _sounding: bool = False
    _waiting: list[tuple[int, Node]] = field(default_factory=list)
    _harmonies: list[tuple[Fraction, int, Node, bool]] = field(default_factory=list)
    _marks: list[Mark] = field(default_factory=list)
    _fermatas: list[Fraction] = field(default_factory=list)
    _attributes: list[Node] = field(default_factory=list)

    def read(self, content: Node, attributes: dict[str, str]) -> Measure:
        """One measure; raises ScoreError when its numbers make no sense."""
        self._reset()
        barlines = Barlines()
        for order, node in enumerate(content.children):
            if node.name == "barline":
                barlines = read_barline(node, barlines)
                self._marks += barlines.marks_at(node, self._cursor)
            else:
                self._step(order, node)
        self._settle(Fraction(0))
        return self._finished(content, attributes, barlines)

    def _reset(self) -> None:
        self._cursor = self._reach = self._skipped = self._onset = Fraction(0)
        self._sounding = False
        self._waiting, self._harmonies, self._marks = [], [], []
        self._fermatas, self._attributes = [], []

    def _step(self, order: int, node: Node) -> None:
        if node.name == "note":
            self._note(node)
        elif node.name in ("forward", "backup"):
            sign = 1 if node.name == "forward" else -1
            self._move(sign * self._duration(node))
            self._skipped = max(self._skipped, self._cursor)
        elif node.name == "attributes":
            self._attributes.append(node)
            self._divide(node)
        elif node.name == "harmony":
            self._harmony(order, node)
        elif node.name in ("direction", "sound"):
            offset = node.number_of("offset") / self.divisions
            self._marks += direction_marks(node, max(self._cursor + offset, Fraction(0)))
        elif node.name == "bookmark" and node.attributes.get("name"):
            name = node.attributes["name"]
            self._marks.append(Mark("bookmark", self._cursor, node.place, name))

    def _divide(self, node: Node) -> None:
        if node.find("divisions") is not None:
            divisions = node.number_of("divisions")
            if divisions <= 0:
                raise node.fault("<divisions> should be a number above 0")
            self.divisions = divisions

    def _duration(self, node: Node) -> Fraction:
        duration = _shared(node.number_of("duration"), self.divisions)
        if not 0 <= duration <= MAX_QUARTERS and (duration < 0 or node.name != "backup"):
            raise node.fault("a duration is negative or longer than any measure")
        return duration

    def _note(self, node: Node) -> None:
        if node.find("grace") is not None or node.find("cue") is not None:
            return
        self._sounding = self._sounding or node.find("rest") is None
        if node.find("chord") is None:
            self._onset = self._cursor
            self._move(self._duration(node))
            self._reach = max(self._reach, self._cursor)
        notations = node.find("notations")
        if notations is not None and notations.find("fermata") is not None:
            self._fermatas.append(self._onset)

    def _move(self, quarters: Fraction) -> None:
        self._settle(quarters)
        self._cursor = max(self._cursor + quarters, Fraction(0))
        if self._cursor > MAX_QUARTERS:
            raise fault("a measure is longer than any measure of a score")

    def _harmony(self, order: int, node: Node) -> None:
        """A symbol; one whose id begins with `again-` only says what its repeat sign says."""
        offset = node.number_of("offset") / self.divisions
        id_ = node.attributes.get("id", "")
        if id_.startswith("again-"):
            return
        push = id_.startswith("push-") or offset == Fraction(-1, 2)
        if offset and not push:
            position = max(self._cursor + offset, Fraction(0))
            self._harmonies.append((position, order, node, False))
        elif push:
            self._harmonies.append((self._cursor, order, node, True))
        else:
            self._waiting.append((order, node))

    def _settle(self, quarters: Fraction) -> None:
        """Gives the harmonies that wait at the cursor their share of the time that passes now."""
        share = max(quarters, Fraction(0)) / max(len(self._waiting), 1)
        for index, (order, node) in enumerate(self._waiting):
            self._harmonies.append((self._cursor + index * share, order, node, False))
        self._waiting = []

    def _finished(self, content: Node, said: dict[str, str], barlines: Barlines) -> Measure:
        harmonies = sorted(self._harmonies, key=lambda harmony: harmony[:2])
        repeat_of, rest_bars = read_style(self._attributes)
        return Measure(
            place=content.place,
            implicit=said.get("implicit") == "yes",
            length=self._reach or self._skipped,
            sounding=self._sounding,
            time=read_time(self._attributes),
            key=read_key(self._attributes),
            transposition=read_transposition(self._attributes),
            harmonies=tuple(Placed(at, node, push) for at, _, node, push in harmonies),
            marks=tuple(self._marks),
            fermatas=tuple(self._fermatas),
            barlines=barlines,
            repeat_of=repeat_of,
            rest_bars=rest_bars,
        )


@lru_cache(maxsize=1024)
def _shared(duration: Fraction, divisions: Fraction) -> Fraction:
    """A duration in quarters; most measures hold the same few."""
    return duration / divisions
