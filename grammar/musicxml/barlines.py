"""Bar lines: repeats, endings, double bars, and the signs that stand on them."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from ..passages import MAX_TIMES
from .marks import Mark
from .node import Node

#: The number of an ending, or its first and last.
_RANGE: Final = re.compile(r"(\d{1,2})(?:\s*[-–]\s*(\d{1,2}))?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Barlines:
    """The bar lines at both ends of a measure.

    `times`: how often the passage that closes here is played, 0 where none closes. `endings`: the
    numbers of the ending that begins here, (0,) where it has no number that can be read.
    `inside`: a repeat sign stands in the middle of the measure.
    """

    opens: bool = False
    times: int = 0
    endings: tuple[int, ...] = ()
    ending_stops: bool = False
    double: bool = False
    double_before: bool = False
    inside: bool = False

    def marks_at(self, node: Node, position: Fraction) -> list[Mark]:
        """The segno and coda signs on a bar line of this measure."""
        found: list[Mark] = []
        if node.find("segno") is not None or "segno" in node.attributes:
            found.append(Mark("segno", position, node.place))
        if node.find("coda") is not None or "coda" in node.attributes:
            found.append(Mark("sign", position, node.place))
        return found


def read_barline(node: Node, before: Barlines) -> Barlines:
    """What was known of the measure's bar lines, with this one added."""
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
