"""Draw where the hand goes along the neck over a stretch of time, at a given place.

Time runs to the right, frets run upwards. The ground is a neck: hairlines at the frets that carry
dots on the instrument, the dots at the left end, their numbers beside it, the player's window
shaded. The path is the hand position; each shift tells its frets with a sign. A mark tells the
string of the root (a filled square for 6, an open one for 5, one with a dot for any other). The
picture is ours. Lengths are points.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import groupby, pairwise
from math import inf
from typing import Final

from ....converter.hand.grip import Grip
from ....grammar.frozen import frozen
from .fonts import BOLD, CAP_HEIGHT, REGULAR, spans, text_width
from .items import (
    DECORATION_GROUP,
    Box,
    Circle,
    Item,
    Line,
    Path,
    Rect,
    Shown,
    Span,
    Step,
    Text,
    grouped,
)
from .style import LEAST_FRET

SHADE: Final = 0.91
#: The frets whose dots guide a player's eye, with those of the octave above (common practice, no
#: source), and those that carry two dots.
LANDMARKS: Final = (3, 5, 7, 10, 12, 15, 17, 19, 22, 24)
DOUBLE: Final = (12, 24)
#: The fewest frets in view: half of them hold a number above or below any mark.
FEWEST: Final = 8
#: The room that the dots take at the left end, and thickness and grey of the hairlines.
NECK_INSET: Final = 6.0
HAIR, HAIR_GREY = 0.4, 0.62
#: Thickness of the path.
PATH: Final = 1.3
#: Half the side of a mark on the path: in frets, the least and the largest.
MARK, LEAST_MARK, LARGEST_MARK = 0.85, 2.0, 4.0
#: Half the side of the mark and the thickness of the path in a small map.
SMALL_MARK, SMALL_PATH = 1.8, 0.9
#: The width of the strips of a small map in which stops that lie together are thinned out: half the
#: path's thickness, so that nobody sees it.
STRIP: Final = 0.5 * SMALL_PATH
#: White round the number of a shift.
CLEAR: Final = 0.7
#: An area that counts as none, in square points.
BARELY: Final = 0.001
#: The least white between two numbers of frets.
APART: Final = 1.2


@frozen
class NeckScale:
    """The neck from `low` to `high` in frets, `fret` points each; the player's `window` is shaded.

    Half a fret is to spare at both ends.
    """

    low: float
    high: float
    fret: float
    window: tuple[int, int]

    @property
    def height(self) -> float:
        """The height of a map."""
        return self.fret * (self.high - self.low)

    def y(self, fret: float) -> float:
        """How far below the top of the map a fret lies."""
        return self.fret * (self.high - fret)

    def filling(self, height: float) -> NeckScale:
        """The same view over so many points, a fret no lower than the least."""
        return replace(self, fret=max(height / (self.high - self.low), LEAST_FRET))

    @property
    def mark(self) -> float:
        """Half the side of a mark on the path."""
        return min(max(MARK * self.fret, LEAST_MARK), LARGEST_MARK)

    @property
    def landmarks(self) -> tuple[int, ...]:
        """The frets in view that carry dots."""
        return tuple(fret for fret in LANDMARKS if self.low < fret < self.high)


@frozen
class Stop:
    """The hand stands at fret `position` from `x` on; `root` is the string of the root or None.

    A stop that is not `marked` is where the hand comes from.
    """

    x: float
    position: int
    root: int | None
    marked: bool = True


@lru_cache(maxsize=64)
def neck_scale(positions: tuple[int, ...], window: tuple[int, int], fret: float) -> NeckScale:
    """A scale that holds the window and all positions, `fret` points a fret."""
    low, high = min([window[0], *positions]), max([window[1], *positions])
    high = max(high, low + FEWEST - 1)
    return NeckScale(low - 0.5, high + 0.5, max(fret, LEAST_FRET), window)


def draw_neck_map(
    stops: Sequence[Stop], edges: Sequence[float], top: float, scale: NeckScale, number: float
) -> list[Item]:
    """The items of a map whose top is at `top`; `number` is the size of its numbers.

    `edges` are the x of its left end, of the bar lines in it and of its right end.
    """
    return list(_neck_map(tuple(stops), tuple(edges), top, scale, number))


@lru_cache(maxsize=512)
def _neck_map(
    stops: tuple[Stop, ...], edges: tuple[float, ...], top: float, scale: NeckScale, number: float
) -> tuple[Item, ...]:
    """The last maps are kept, as an edited chart keeps most of its lines."""
    left, span, reach = edges[0], (edges[0], edges[-1]), scale.mark
    ways = _ways(stops, span, top, scale)
    shifts = list(_shifts(stops, edges, ways, (top, scale), number))
    boxes = sorted(box for box, _ in shifts)
    items: list[Item] = [_window(span, top, scale), Shown("window")]
    for fret in scale.landmarks:
        items += _hairline(span, top + scale.y(fret), boxes)
        items += _dots(fret, left, top + scale.y(fret), scale)
    items += [Line(x, top, x, top + scale.height, HAIR, HAIR_GREY) for x in edges[1:-1]]
    items += _fret_numbers(left, top, scale, number)
    if not stops:
        return tuple(grouped(DECORATION_GROUP, items))
    items += [Path(tuple(_path(ways)), width=PATH), Shown("way")]
    if shifts:
        items.append(Shown("shift"))
    for stop in stops:
        if stop.marked:
            items += _stop_mark(stop, top + scale.y(stop.position), reach)
    return tuple(grouped(DECORATION_GROUP, items + [text for _, text in shifts]))


def _window(span: tuple[float, float], top: float, scale: NeckScale) -> Rect:
    """The ground of the player's window, half a fret to spare at both ends."""
    low, high = scale.window
    y_high, y_low = scale.y(high + 0.5), scale.y(low - 0.5)
    return Rect(span[0], top + y_high, span[1] - span[0], y_low - y_high, SHADE)


def _hairline(span: tuple[float, float], y: float, texts: Sequence[Box]) -> list[Item]:
    """A fret's line across the map, interrupted where a number stands in its way; `texts` are the
    boxes of numbers from left to right."""
    lines: list[Item] = []
    x = span[0]
    for box in texts:
        if box[1] - CLEAR < y < box[3] + CLEAR:
            lines.append(Line(x, y, box[0] - CLEAR, y, HAIR, HAIR_GREY))
            x = box[2] + CLEAR
    return [*lines, Line(x, y, span[1], y, HAIR, HAIR_GREY)]


def _dots(fret: int, left: float, y: float, scale: NeckScale) -> list[Item]:
    """The dots of a fret at the left end: two at the octave."""
    radius = min(0.4 * scale.fret, 0.2 * NECK_INSET)
    places = (0.26, 0.72) if fret in DOUBLE else (0.49,)
    return [Circle(left + place * NECK_INSET, y, radius) for place in places]


def _fret_numbers(left: float, top: float, scale: NeckScale, size: float) -> list[Item]:
    """The numbers of the frets with dots, as many as stand clear of each other."""
    drop = 0.5 * CAP_HEIGHT * size
    return [
        Text(left - 2.5 - width, top + y + drop, number)
        for y, number, width in _numbered_frets(scale, size)
    ]


@lru_cache(maxsize=64)
def _numbered_frets(
    scale: NeckScale, size: float
) -> tuple[tuple[float, tuple[Span, ...], float], ...]:
    """How far below the top of a map the frets with numbers lie, with the numbers' spans and
    widths."""
    height, taken = CAP_HEIGHT * size, list[float]()
    found = []
    frets = scale.landmarks
    for fret in (*frets[:1], *frets[-1:], *sorted(frets, key=lambda fret: (fret % 12 != 7, fret))):
        y = scale.y(fret)
        if all(abs(y - other) >= height + APART for other in taken):
            taken.append(y)
            text = str(fret)
            found.append((y, spans(text, REGULAR, size), text_width(text, REGULAR, size)))
    return tuple(found)


#: A piece of the path from one place to another, level or upright.
Way = tuple[float, float, float, float]


def _ways(
    stops: Sequence[Stop], span: tuple[float, float], top: float, scale: NeckScale
) -> list[Way]:
    """The hand's way: level while it stays, upright where it shifts; it keeps off the dots."""
    ways: list[Way] = []
    for place, stop in enumerate(stops):
        start = stop.x if stop.marked else span[0] + NECK_INSET
        end = stops[place + 1].x if place + 1 < len(stops) else span[1]
        y = top + scale.y(stop.position)
        if ways and ways[-1][3] != y:
            ways.append((stop.x, ways[-1][3], stop.x, y))
        ways.append((min(start, end), y, end, y))
    return ways


def _path(ways: Sequence[Way]) -> Iterator[Step]:
    """The way as one outline: its corners."""
    yield ("M", *ways[0][:2])
    for here, after in pairwise(ways):
        if (here[1] == here[3]) != (after[1] == after[3]):
            yield ("L", *here[2:])
    yield ("L", *ways[-1][2:])


def _shifts(
    stops: Sequence[Stop],
    edges: Sequence[float],
    ways: Sequence[Way],
    place: tuple[float, NeckScale],
    size: float,
) -> Iterator[tuple[Box, Text]]:
    """For each shift its frets with a sign, and the box of that number, clear of all else."""
    top, scale = place
    if all(stop.position == stops[0].position for stop in stops):
        return
    mark = scale.mark
    taken = [_grown(way, 0.5 * PATH + CLEAR) for way in ways]
    for stop in stops:
        y, reach = top + scale.y(stop.position), (mark if stop.marked else 0.0)
        taken.append(_grown((stop.x, y, stop.x, y), reach + CLEAR))
    taken += [_grown((x, top, x, top + scale.height), CLEAR) for x in edges[1:-1]]
    room = (edges[0] + NECK_INSET, top, edges[-1], top + scale.height)
    for before, stop in pairwise(stops):
        if stop.position == before.position:
            continue
        text = shift_text(stop.position - before.position)
        extent = text_width(text, BOLD, size), CAP_HEIGHT * size
        ys = top + scale.y(before.position), top + scale.y(stop.position)
        candidates = _candidates(stop.x, ys, extent, mark + 1.5 * CLEAR)
        box = _free(candidates, taken, room)
        taken.append(_grown(box, CLEAR))
        yield box, Text(box[0], box[3], spans(text, BOLD, size))


def shift_text(frets: int) -> str:
    """A shift in frets with its sign."""
    return f"+{frets}" if frets > 0 else f"−{-frets}"


def _grown(box: Box, by: float) -> Box:
    """A box, its corners in order, with so much round it."""
    x1, y1, x2, y2 = box
    return min(x1, x2) - by, min(y1, y2) - by, max(x1, x2) + by, max(y1, y2) + by


def _candidates(
    x: float, ys: tuple[float, float], extent: tuple[float, float], off: float
) -> Iterator[Box]:
    """Where the number of a shift may stand, the best place first: right of it over where the hand
    arrives, under that, left of it, or over or under all of it."""
    (width, height), (old, new) = extent, ys
    upper, lower = min(ys), max(ys)
    right, left, middle = x + off, x - off - width, x - 0.5 * width
    for start, bottom in (
        (right, new - off), (right, new + off + height), (left, new - off),
        (left, new + off + height), (right, old - off), (right, old + off + height),
        (left, old - off), (left, old + off + height),
        (middle, upper - off), (middle, lower + off + height),
    ):  # fmt: skip
        yield start, bottom - height, start + width, bottom


def _free(candidates: Iterator[Box], taken: Sequence[Box], room: Box) -> Box:
    """The first box that is free; of boxes that are not, the one with the least in its way."""
    least, best = inf, (0.0, 0.0, 0.0, 0.0)
    for box in candidates:
        left, top, right, bottom = box
        outside = (right - left) * (bottom - top) - _shared(box, room)
        beside = [each for each in taken if each[0] < right and each[2] > left]
        hit = [each for each in beside if each[1] < bottom and each[3] > top]
        blocked = outside + 10 * sum(_shared(box, each) for each in hit)
        if blocked < least - BARELY:
            least, best = blocked, box
        if least < BARELY:
            break
    return best


def _shared(one: Box, other: Box) -> float:
    """The area that two boxes share."""
    wide = min(one[2], other[2]) - max(one[0], other[0])
    high = min(one[3], other[3]) - max(one[1], other[1])
    return wide * high if wide > 0 and high > 0 else 0.0


def _stop_mark(stop: Stop, y: float, reach: float) -> list[Item]:
    if stop.root is None:
        return [Line(stop.x, y - reach, stop.x, y + reach, 0.8)]
    return [*root_mark(stop.root, (stop.x, y), reach, 0.9), Shown(root_name(stop.root))]


def root_mark(string: int, at: tuple[float, float], reach: float, line: float) -> list[Item]:
    """The mark of a root on a string: a square with half a side of `reach`, drawn `line` thick."""
    x, y = at
    if string == 6:
        return [Rect(x - reach, y - reach, 2 * reach, 2 * reach)]
    inner = reach - 0.5 * line
    square = Rect(x - inner, y - inner, 2 * inner, 2 * inner, 1.0, 0.0, line)
    return [square] if string == 5 else [square, Circle(x, y, 0.34 * reach)]


def draw_small_map(
    stays: Sequence[tuple[float, Grip | None]], window: tuple[int, int], box: Box
) -> list[Item]:
    """The hand's way through a whole tune as written, on the ground of its neck, within a box.

    `stays` are the beats and the grip of each written chord, None for silence; the `window` in
    frets is shaded. The mark of the first root begins the way. A tune without grips shows the
    ground.
    """
    left, top, right, bottom = box
    positions = [grip.position for _, grip in stays if grip is not None]
    scale = neck_scale(tuple(positions), window, LEAST_FRET)
    scale = replace(scale, fret=(bottom - top) / (scale.high - scale.low))
    ground = Rect(left, top, right - left, bottom - top, SHADE)
    stops = _whole_way(stays, (left + SMALL_MARK + 1.0, right))
    if not stops:
        return grouped(DECORATION_GROUP, [ground])
    ways = _ways(stops, (left, right), top, scale)
    # The mark stays within the box, even at the highest fret.
    y = min(max(top + scale.y(stops[0].position), top + SMALL_MARK), bottom - SMALL_MARK)
    at = stops[0].x, y
    mark = root_mark(stops[0].root or 6, at, SMALL_MARK, 0.7)
    way = Path(tuple(_path(ways)), width=SMALL_PATH)
    return grouped(DECORATION_GROUP, [ground, way, *mark, Shown("way")])


def _whole_way(stays: Sequence[tuple[float, Grip | None]], span: tuple[float, float]) -> list[Stop]:
    """Where the hand stands at each written chord of a tune, its beats spread over a span of x."""
    unit = (span[1] - span[0]) / (sum(beats for beats, _ in stays) or 1)
    stops, x = list[Stop](), span[0]
    for beats, grip in stays:
        if grip is not None:
            stops.append(Stop(x, grip.position, root_string(grip)))
        x += unit * beats
    return [stop for strip in _strips(stops, span[0]) for stop in _outermost(strip)]


def _strips(stops: Sequence[Stop], left: float) -> Iterator[list[Stop]]:
    """The stops by the strip of the map in which they lie."""
    for _, strip in groupby(stops, key=lambda stop: (stop.x - left) // STRIP):
        yield list(strip)


def _outermost(strip: list[Stop]) -> list[Stop]:
    """The first and the last stop of a strip, its lowest and its highest, in order."""
    if len(strip) <= 4:
        return strip
    places = range(len(strip))
    low = min(places, key=lambda place: strip[place].position)
    high = max(places, key=lambda place: strip[place].position)
    return [strip[place] for place in sorted({0, low, high, len(strip) - 1})]


def root_name(string: int) -> str:
    """The name of the mark of a root on a string, as the legend explains it."""
    return f"string {string}"


def root_string(grip: Grip) -> int | None:
    """The string on which a grip sounds its root, None where it sounds none."""
    for note in grip.voicing.notes:
        if note.tone is not None and note.tone.degree == 1:
            return note.string
    return None
