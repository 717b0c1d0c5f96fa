"""The measures of a part: attributes, bar lines, harmonies and directions at exact positions.

Takes a `<measure>` as a `Node`; gives a `Measure`. Positions and lengths are in quarter notes from
the bar line. Notes count only as time that passes; the melody is not kept. Several `<harmony>` in a
row without an offset share the note that follows (MusicXML 4.0, `harmony`: a harmony is at the
position where it is written in the measure). Raises ScoreError for values out of range.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import field, replace
from fractions import Fraction
from functools import lru_cache
from typing import Final

from ..errors import SourcePosition
from ..frozen import frozen, mutable
from ..limits import MAX_METER_BEATS, MAX_REST_BARS, MAX_SCORE_QUARTERS, MAX_TIMES
from ..pitch import Interval, PitchName
from ..score.measure import Barlines, Mark, Time
from ..sheet import METER_UNITS, Meter
from .directions import direction_marks
from .numerals import MAX_FIFTHS, Signature
from .xml import Node, fault, number

#: The number of an ending, or its first and last.
_RANGE: Final = re.compile(r"(\d{1,3})(?:\s*[-–]\s*(\d{1,3}))?", re.ASCII)


def signs_of(barline: Node, onset: Fraction) -> list[Mark]:
    """The segno and coda signs on a bar line."""
    found: list[Mark] = []
    if barline.find("segno") is not None or "segno" in barline.attributes:
        found.append(Mark("segno", onset, barline.position))
    if barline.find("coda") is not None or "coda" in barline.attributes:
        found.append(Mark("sign", onset, barline.position))
    return found


def read_barline(node: Node, before: Barlines) -> Barlines:
    """The bar lines of a measure: those known `before` and this one."""
    left = node.attributes.get("location") == "left"
    result = before
    repeat = node.find("repeat")
    if repeat is not None:
        if repeat.attributes.get("direction") == "forward":
            result = replace(result, opens=True)
        else:
            result = replace(result, times=_times(repeat))
        if node.attributes.get("location") == "middle":
            result = replace(result, inside=True)
    ending = node.find("ending")
    if ending is not None:
        if ending.attributes.get("type") == "start":
            result = replace(result, endings=_numbers(ending))
        else:
            result = replace(result, ending_stops=True)
    if node.text_of("bar-style") == "light-light":
        result = replace(result, double_before=True) if left else replace(result, double=True)
    return result


def _times(repeat: Node) -> int:
    text = repeat.attributes.get("times", "")
    if not text:
        return 2
    if not re.fullmatch("[0-9]{1,3}", text) or int(text) > MAX_TIMES:
        raise repeat.fault(f"a repeat is played 1 to {MAX_TIMES} times, not {text[:20]!r}")
    return max(int(text), 1)


def _numbers(ending: Node) -> tuple[int, ...]:
    """The passes of an ending from its number (`1`, `1, 2`, `1-3`) or, failing that, its text."""
    for text in (ending.attributes.get("number", ""), ending.text):
        found: set[int] = set()
        for first, last in _RANGE.findall(text):
            found.update(range(int(first), int(last or first) + 1))
        found.discard(0)
        if found:
            return tuple(sorted(found))
    return (0,)


#: The letter steps of a transposition of 0 to 11 semitones (common practice, no source).
_USUAL_STEPS: Final = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)


def read_key(attributes: Iterable[Node]) -> Signature | None:
    """The last key signature among them; None for none, and for one without `<fifths>`."""
    for key in [key for node in attributes for key in node.all("key")][::-1]:
        if key.find("fifths") is not None:
            fifths = key.number_of("fifths")
            if fifths.denominator != 1 or abs(fifths) > MAX_FIFTHS:
                raise key.fault("no key has so many sharps or flats")
            return Signature(int(fifths), key.text_of("mode").lower().replace("none", ""))
    return None


def read_time(attributes: Iterable[Node]) -> Time | None:
    """The last time signature among them, None for none. Additive ones are added up."""
    for time in [time for node in attributes for time in node.all("time")][::-1]:
        if time.find("senza-misura") is not None:
            return Time(None)
        if time.find("beats") is not None:
            return Time(_meter(time))
    return None


def _meter(time: Node) -> Meter:
    tops = [sum(number(part, node) for part in node.text.split("+")) for node in time.all("beats")]
    units = [node.number() for node in time.all("beat-type")]
    if len(tops) != len(units) or any(unit not in METER_UNITS for unit in units):
        raise time.fault("a time signature counts whole, half, quarter, eighth … notes")
    unit = int(max(units))
    beats = sum((top * unit / own for top, own in zip(tops, units, strict=True)), Fraction(0))
    if beats.denominator != 1 or not 1 <= beats <= MAX_METER_BEATS:
        raise time.fault(f"a time signature has 1 to {MAX_METER_BEATS} beats")
    cut = time.attributes.get("symbol") == "cut" and beats == 2 and unit == 2
    return Meter(int(beats), unit, cut)


def read_transposition(attributes: Iterable[Node]) -> Interval | None:
    """The interval from written to sounding notes, without octaves; None where none is stated.

    Letter steps that do not fit the semitones are replaced by `_USUAL_STEPS`.
    """
    for node in [node for held in attributes for node in held.all("transpose")][::-1]:
        chromatic = node.number_of("chromatic")
        if chromatic.denominator != 1 or abs(chromatic) > 48:
            raise node.fault("a transposition should be a whole number of semitones")
        octaves, semitones = divmod(int(chromatic), 12)
        stated = Interval(int(node.number_of("diatonic")) - 7 * octaves, semitones)
        if node.find("diatonic") is None or abs(PitchName("C").up(stated).alteration) > 2:
            return Interval(_USUAL_STEPS[semitones], semitones)
        return stated
    return None


def read_style(attributes: Iterable[Node]) -> tuple[int | None, int]:
    """Measures that are repeated from here on (0: no longer), and the bars of a multi-bar rest."""
    repeat_of: int | None = None
    rest_bars = 0
    for style in (style for node in attributes for style in node.all("measure-style")):
        again, rest = style.find("measure-repeat"), style.find("multiple-rest")
        if again is not None:
            stop = again.attributes.get("type") == "stop"
            repeat_of = 0 if stop else _count(again)
        if rest is not None:
            rest_bars = _count(rest)
    return repeat_of, rest_bars


def _count(node: Node) -> int:
    count = node.number() if node.text else Fraction(1)
    if count.denominator != 1 or not 1 <= count <= MAX_REST_BARS:
        raise node.fault(f"<{node.name}> should hold a number of measures")
    return int(count)


@frozen
class Placed:
    """A `<harmony>` at its position. `push`: it is written to sound an eighth before its beat."""

    onset: Fraction
    node: Node
    push: bool = False


@frozen
class Measure:
    """What one measure of one part says; None and empty where it says nothing.

    `length`: how far its notes and rests reach. `repeat_of`: how many measures before it are
    played again here (`<measure-repeat>`), None where the measure does not change that.
    `rest_bars`: measures of a multi-bar rest that begins here.
    """

    position: SourcePosition
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

    @property
    def states_key(self) -> bool:
        """Whether a key signature stands in it."""
        return self.key is not None

    @property
    def has_chords(self) -> bool:
        """Whether a chord symbol stands in it."""
        return bool(self.harmonies)


@mutable
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
                self._marks += signs_of(node, self._cursor)
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
            self._marks.append(Mark("bookmark", self._cursor, node.position, name))

    def _divide(self, node: Node) -> None:
        if node.find("divisions") is not None:
            divisions = node.number_of("divisions")
            if divisions <= 0:
                raise node.fault("<divisions> should be a number above 0")
            self.divisions = divisions

    def _duration(self, node: Node) -> Fraction:
        duration = _shared(node.number_of("duration"), self.divisions)
        if not 0 <= duration <= MAX_SCORE_QUARTERS and (duration < 0 or node.name != "backup"):
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
        if self._cursor > MAX_SCORE_QUARTERS:
            raise fault("a measure is longer than any measure of a score")

    def _harmony(self, order: int, node: Node) -> None:
        """A symbol; one whose id begins with `again-` only says what its repeat sign says."""
        offset = node.number_of("offset") / self.divisions
        id_ = node.attributes.get("id", "")
        if id_.startswith("again-"):
            return
        push = id_.startswith("push-") or offset == Fraction(-1, 2)
        if offset and not push:
            onset = max(self._cursor + offset, Fraction(0))
            self._harmonies.append((onset, order, node, False))
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
            position=content.position,
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
