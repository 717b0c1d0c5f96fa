"""Brackets under ii–Vs and arrows from dominants to where they resolve, line by line.

A mark that goes over the end of a line is drawn in two parts, each open where it was cut. Marks
lie in lanes below the numerals, short ones above long ones, so that they do not cut each other.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from ...converter.harmony.analysis import Area
from .context import LayoutContext
from .drawing import (
    Item,
    Path,
    Step,
)


@dataclass(frozen=True, slots=True)
class Mark:
    """A bracket or arrow from `x1` to `x2`; cut ends reach the line's end; `broken` is dashed."""

    kind: Literal["bracket", "arrow"]
    x1: float
    x2: float
    cut_left: bool = False
    cut_right: bool = False
    broken: bool = False
    lane: int = 0


#: Where under a numeral an arrow arrives, a bracket ends and an arrow leaves, in ems of small text.
IN, BRACKET, OUT = 0.25, 0.85, 1.5
#: The kinds of areas whose ii–V gets a bracket.
BRACKETED = ("ii-V", "ii-V-I")

#: Where a chord's numeral begins: its line and x.
Spots = dict[int, tuple[int, float]]


def find_marks(context: LayoutContext, spots: Spots, ends: list[float]) -> list[list[Mark]]:
    """The marks of each line; `ends` are the right ends of the lines, their left is 0."""
    marks: list[list[Mark]] = [[] for _ in ends]
    if not context.style.analysis:
        return marks
    unit = context.sizes.small
    for first, last in _brackets(context):
        span = (spots[first], spots[last])
        _add(marks, Mark("bracket", BRACKET * unit, BRACKET * unit), span, ends)
    for chord, reading in enumerate(context.chart.analysis.readings):
        if reading is None or reading.resolves_to is None:
            continue
        mark = Mark("arrow", OUT * unit, IN * unit, broken=reading.numeral.substitute)
        _add(marks, mark, (spots[chord], spots[reading.resolves_to]), ends)
    return [_in_lanes(line) for line in marks]


def _add(
    marks: list[list[Mark]],
    mark: Mark,
    span: tuple[tuple[int, float], tuple[int, float]],
    ends: list[float],
) -> None:
    """Add a mark between two spots, in two parts where it goes over the end of a line."""
    (line1, x1), (line2, x2) = span
    start, end = x1 + mark.x1, x2 + mark.x2
    if line1 == line2 and end > start:
        marks[line1].append(replace(mark, x1=start, x2=end))
        return
    marks[line1].append(replace(mark, x1=start, x2=ends[line1], cut_right=True))
    if line2 > line1:
        marks[line2].append(replace(mark, x1=0.0, x2=end, cut_left=True))


def _brackets(context: LayoutContext) -> list[tuple[int, int]]:
    """First and last chord of each ii–V, once each."""
    found = set()
    for area in context.chart.analysis.areas:
        pair = _two_five(context, area)
        if pair is not None:
            found.add(pair)
    return sorted(found)


def _two_five(context: LayoutContext, area: Area) -> tuple[int, int] | None:
    """The chords of a ii–V from its first to its last dominant, None for other areas."""
    if area.kind not in BRACKETED:
        return None
    readings = context.chart.analysis.readings
    kept = []
    for place, chord in enumerate(area.chords):
        reading = readings[chord]
        if reading is not None and reading.role == "dominant":
            kept.append(place)
    if not kept or kept[-1] == 0:
        return None
    first, last = area.chords[0], area.chords[kept[-1]]
    return (first, last) if first < last else None


def _in_lanes(marks: Iterable[Mark]) -> list[Mark]:
    """The marks with lanes such that no two in a lane overlap; short ones come first."""
    lanes: list[list[Mark]] = []
    for mark in sorted(marks, key=lambda m: (m.x2 - m.x1, m.x1, m.kind)):
        for number, lane in enumerate(lanes):
            if all(mark.x2 < other.x1 or mark.x1 > other.x2 for other in lane):
                lane.append(replace(mark, lane=number))
                break
        else:
            lanes.append([replace(mark, lane=len(lanes))])
    return sorted((m for lane in lanes for m in lane), key=lambda m: (m.x1, m.lane))


def draw_mark(mark: Mark, x0: float, top: float, lane: float) -> list[Item]:
    """A mark in a line that begins at `x0`, its lanes at `top` and `lane` points high."""
    mark = replace(mark, x1=mark.x1 + x0, x2=mark.x2 + x0)
    floor = top + lane * (mark.lane + 0.62)
    dash = (2.2, 1.6) if mark.broken else ()
    if mark.kind == "bracket":
        steps = _bracket(mark, top, floor)
        return [Path(tuple(steps), width=0.7, dash=dash)]
    steps, head = _arrow(mark, top, floor, 0.5 * lane)
    return [Path(tuple(steps), width=0.7, dash=dash), Path(head, 0.0, None)]


def _bracket(mark: Mark, top: float, floor: float) -> list[Step]:
    steps: list[Step] = [("M", mark.x1, floor)] if mark.cut_left else [
        ("M", mark.x1, top), ("L", mark.x1, floor)
    ]  # fmt: skip
    steps.append(("L", mark.x2, floor))
    if not mark.cut_right:
        steps.append(("L", mark.x2, top))
    return steps


def _arrow(
    mark: Mark, top: float, floor: float, head: float
) -> tuple[list[Step], tuple[Step, ...]]:
    """The shaft of an arrow with round corners, and its head."""
    turn = min(0.45 * (mark.x2 - mark.x1), 7.0)
    x1, x2 = mark.x1, mark.x2
    steps: list[Step] = [("M", x1, floor)]
    if not mark.cut_left:
        steps = [("M", x1, top), ("C", x1, floor, x1, floor, x1 + turn, floor)]
    if mark.cut_right:
        steps.append(("L", x2 - head, floor))
        tip: tuple[Step, ...] = (
            ("M", x2, floor), ("L", x2 - 1.3 * head, floor - 0.5 * head),
            ("L", x2 - 1.3 * head, floor + 0.5 * head), ("Z",),
        )  # fmt: skip
        return steps, tip
    steps += [("L", x2 - turn, floor), ("C", x2, floor, x2, floor, x2, top + head)]
    tip = (
        ("M", x2, top - 0.1 * head), ("L", x2 - 0.5 * head, top + 1.2 * head),
        ("L", x2 + 0.5 * head, top + 1.2 * head), ("Z",),
    )  # fmt: skip
    return steps, tip
