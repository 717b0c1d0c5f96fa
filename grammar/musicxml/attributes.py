"""What `<attributes>` say: key and time signature, transposition, repeated and silent measures."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Final

from ..header import MAX_METER_BEATS, METER_UNITS
from ..pitch import Interval, PitchName
from ..sheet import Meter
from .node import Node, number
from .numerals import MAX_FIFTHS, Signature
from .times import Time

#: The letter steps that a transposition of so many semitones usually has.
_USUAL_STEPS: Final = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)


def read_key(attributes: Iterable[Node]) -> Signature | None:
    """The last key signature among them; None for none, and for one that is no plain signature."""
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
    """How the part's written notes are to be moved to sound, octaves left out; None for unsaid.

    Letter steps that do not fit the semitones are replaced by those that usually go with them.
    """
    for node in [node for held in attributes for node in held.all("transpose")][::-1]:
        chromatic = node.number_of("chromatic")
        if chromatic.denominator != 1 or abs(chromatic) > 48:
            raise node.fault("a transposition should be a whole number of semitones")
        octaves, semitones = divmod(int(chromatic), 12)
        said = Interval(int(node.number_of("diatonic")) - 7 * octaves, semitones)
        if node.find("diatonic") is None or abs(PitchName("C").up(said).alteration) > 2:
            return Interval(_USUAL_STEPS[semitones], semitones)
        return said
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
    if count.denominator != 1 or not 1 <= count <= 999:
        raise node.fault(f"<{node.name}> should hold a number of measures")
    return int(count)
