"""Brackets under ii–Vs and arrows from dominants to where they resolve, line by line.

All marks of a line lie in one lane below the numerals. An arrow leaves a numeral in a curve, runs
level and rises to its goal, a dot; a bracket has two feet. That of a substitute is broken. A mark
that goes over the end of a line is drawn in parts: the first runs open to the line's end, the next
begins open where the next line does. The drawing is ours. Lengths are points.
"""

from __future__ import annotations

from bisect import bisect_left
from typing import Final, Literal

from ...grammar.frozen import frozen
from .context import LayoutContext, Link
from .drawing.items import Circle, Item, Path, Step


@frozen
class Mark:
    """A bracket or arrow from `x1` to `x2`; cut ends reach the line's end; `broken` is dashed."""

    kind: Literal["bracket", "arrow"]
    x1: float
    x2: float
    cut_left: bool = False
    cut_right: bool = False
    broken: bool = False

    def moved(self, dx: float) -> Mark:
        """The same mark, `dx` to the right."""
        x1, x2 = self.x1 + dx, self.x2 + dx
        return Mark(self.kind, x1, x2, self.cut_left, self.cut_right, self.broken)

    @property
    def names(self) -> tuple[str, ...]:
        """What the legend explains of it."""
        return (self.kind, "broken") if self.broken else (self.kind,)


#: Where under a numeral an arrow arrives, a bracket ends and an arrow leaves, in ems of small text.
IN, BRACKET, OUT = 0.3, 0.9, 1.45
#: Parts of a lane: the height of a mark's level run, and the goal's middle and radius.
FLOOR, GOAL, RADIUS = 0.74, 0.32, 0.25
#: Thickness of a mark, and the strokes and gaps of a broken one.
THICKNESS: Final = 0.8
DASH: Final = (2.4, 1.6)
#: The greatest radius of a corner.
CORNER: Final = 5.0

#: Where a chord's numeral begins: its line and x.
Spots = dict[int, tuple[int, float]]


def find_marks(context: LayoutContext, spots: Spots, ends: list[float]) -> list[list[Mark]]:
    """The marks of each line, left to right; `ends` are the right ends of lines, the left is 0."""
    marks: list[list[Mark]] = [[] for _ in ends]
    if context.style.numerals:
        for link in context.links.drawn:
            _add(marks, link, spots, (ends, context.sizes.small))
    return marks


def has_marks(context: LayoutContext, chords: range) -> bool:
    """Whether a bracket or an arrow stands under chords that follow each other on a line, or goes
    through a line that has none between them."""
    drawn = context.links.drawn
    # Links do not cross: sorted from left to right they are sorted by their ends too.
    at = bisect_left(drawn, chords.start, key=lambda link: link.last)
    return context.style.numerals and at < len(drawn) and drawn[at].first < chords.stop


def _add(
    marks: list[list[Mark]], link: Link, spots: Spots, page: tuple[list[float], float]
) -> None:
    """Add the mark of a link to the lines it goes through."""
    ends, unit = page
    (line1, x1), (line2, x2) = spots[link.first], spots[link.last]
    leave, arrive = (BRACKET, BRACKET) if link.kind == "bracket" else (OUT, IN)
    start, end = x1 + leave * unit, x2 + arrive * unit
    for line in range(line1, line2 + 1):
        if not ends[line]:
            continue
        mark = Mark(
            link.kind,
            start if line == line1 else 0.0,
            end if line == line2 else ends[line],
            line != line1,
            line != line2,
            link.broken,
        )
        marks[line].append(mark)


def draw_mark(mark: Mark, x0: float, top: float, lane: float) -> list[Item]:
    """A mark in a line that begins at `x0`, its lane at `top` and `lane` points high."""
    mark = mark.moved(x0)
    dash = DASH if mark.broken else ()
    if mark.kind == "bracket":
        return [Path(tuple(_bracket(mark, top, lane)), width=THICKNESS, dash=dash)]
    items: list[Item] = [Path(tuple(_arrow(mark, top, lane)), width=THICKNESS, dash=dash)]
    if not mark.cut_right:
        items.append(Circle(mark.x2, top + GOAL * lane, RADIUS * lane))
    return items


def _bracket(mark: Mark, top: float, lane: float) -> list[Step]:
    floor = top + FLOOR * lane
    steps: list[Step] = [("M", mark.x1, floor)]
    if not mark.cut_left:
        steps = [("M", mark.x1, top), ("L", mark.x1, floor)]
    steps.append(("L", mark.x2, floor))
    if not mark.cut_right:
        steps.append(("L", mark.x2, top))
    return steps


def _arrow(mark: Mark, top: float, lane: float) -> list[Step]:
    """The shaft of an arrow, round at its corners; it ends in the middle of its goal."""
    floor = top + FLOOR * lane
    turn = min(0.45 * (mark.x2 - mark.x1), CORNER, 0.9 * lane)
    x1, x2 = mark.x1, mark.x2
    steps: list[Step] = [("M", x1, floor)]
    if not mark.cut_left:
        steps = [("M", x1, top), ("C", x1, floor, x1, floor, x1 + turn, floor)]
    if mark.cut_right:
        return [*steps, ("L", x2, floor)]
    goal = top + GOAL * lane
    return [*steps, ("L", x2 - turn, floor), ("C", x2, floor, x2, floor, x2, goal)]
