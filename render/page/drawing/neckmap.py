"""Draw where the hand goes along the neck over a stretch of time, at a given place.

Time runs to the right, frets run upwards: the path is the hand position, the player's window is
shaded, and a mark tells the string of the root (filled 6, open 5, half filled any other). The
picture is ours.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ....converter.hand.grip import Grip
from .fonts import CAP_HEIGHT, REGULAR, spans, text_width
from .items import DECORATION_GROUP, Circle, Item, Line, Path, Rect, Step, Text, grouped

SHADE = 0.91
#: The largest radius of a mark on the path, in points.
LARGEST_MARK = 3.4


@dataclass(frozen=True, slots=True)
class NeckScale:
    """Frets `low` to `high` over `height` points; the player's `window` is shaded."""

    low: int
    high: int
    height: float
    window: tuple[int, int]

    def y(self, fret: float) -> float:
        """How far below the top of the map a fret lies."""
        return self.height * (self.high - fret) / (self.high - self.low)


@dataclass(frozen=True, slots=True)
class Stop:
    """The hand stands at fret `position` from `x` on; `root` is the string of the root or None.

    A stop that is not `marked` is where the hand comes from.
    """

    x: float
    position: int
    root: int | None
    marked: bool = True


def neck_scale(positions: Sequence[int], window: tuple[int, int], height: float) -> NeckScale:
    """A scale that holds the window and all positions with a fret to spare on both sides."""
    low = min([window[0], *positions]) - 1
    high = max([window[1], *positions]) + 1
    return NeckScale(low, high, height, window)


def draw_neck_map(
    stops: Sequence[Stop], span: tuple[float, float], top: float, scale: NeckScale, number: float
) -> list[Item]:
    """The items of a map between two x, its top at `top`; `number` the size of its numbers."""
    left, right = span
    low, high = scale.window
    y_high, y_low = top + scale.y(high), top + scale.y(low)
    items: list[Item] = [Rect(left, y_high, right - left, y_low - y_high, SHADE)]
    items += _scale_numbers(left, top, scale, number)
    if not stops:
        return grouped(DECORATION_GROUP, items)
    items.append(Path(tuple(_path(stops, right, top, scale)), width=0.9))
    radius = min(0.09 * scale.height + 0.5, LARGEST_MARK)
    for stop in stops:
        if not stop.marked:
            continue
        items += _stop_mark(stop, top + scale.y(stop.position), radius)
    return grouped(DECORATION_GROUP, items)


def _scale_numbers(left: float, top: float, scale: NeckScale, size: float) -> list[Item]:
    """The window's frets written beside it."""
    items: list[Item] = []
    for fret in scale.window:
        text = str(fret)
        x = left - 2.5 - text_width(text, REGULAR, size)
        y = top + scale.y(fret) + 0.5 * CAP_HEIGHT * size
        items.append(Text(x, y, tuple(spans(text, REGULAR, size))))
        items.append(Line(left - 1.5, top + scale.y(fret), left, top + scale.y(fret), 0.5))
    return items


def _path(stops: Sequence[Stop], right: float, top: float, scale: NeckScale) -> list[Step]:
    """The hand's way as steps: level while it stays, upright where it shifts."""
    steps: list[Step] = [("M", stops[0].x, top + scale.y(stops[0].position))]
    here = stops[0].position
    for stop in stops[1:]:
        if stop.position != here:
            steps.append(("L", stop.x, top + scale.y(here)))
            steps.append(("L", stop.x, top + scale.y(stop.position)))
            here = stop.position
    steps.append(("L", right, top + scale.y(here)))
    return steps


def _stop_mark(stop: Stop, y: float, radius: float) -> list[Item]:
    if stop.root is None:
        return [Line(stop.x, y - radius, stop.x, y + radius, 0.8)]
    return root_mark(stop.root, (stop.x, y), radius, 0.9)


def root_mark(string: int, at: tuple[float, float], radius: float, line: float) -> list[Item]:
    """The mark of a root on a string, `line` the thickness of its ring: what the legend shows."""
    if string == 6:
        return [Circle(*at, radius, 0.0)]
    ring: list[Item] = [Circle(*at, radius * 0.9, 1.0, 0.0, line)]
    if string != 5:
        ring.append(Circle(*at, radius * 0.35, 0.0))
    return ring


def root_string(grip: Grip) -> int | None:
    """The string on which a grip sounds its root, None where it sounds none."""
    for note in grip.voicing.notes:
        if note.tone is not None and note.tone.degree == 1:
            return note.string
    return None
