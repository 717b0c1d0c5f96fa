"""Draw a grip as a fret grid, at a given place.

Strings are vertical lines, the lowest at the left (mirrored for a left-handed player), frets the
horizontal ones. The root is a square, guide tones are round, other tones diamonds; finger numbers
stand in them in white. A cross marks a silent string, an outline an open one. Common practice, no
source, save for the marks' shapes, which are ours.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property, lru_cache

from ....converter.hand.grip import Barre, Grip
from ....grammar.chord import Chord, Tone
from ....grammar.frozen import Caching, frozen
from .fonts import BOLD, CAP_HEIGHT, REGULAR, spans, text_width
from .geometry import drawing_of
from .items import (
    DRAWING_GROUP,
    Circle,
    Drawing,
    Ink,
    Item,
    Line,
    Path,
    Placed,
    Rect,
    Shown,
    Span,
    Step,
    Text,
    grouped,
)

#: Thickness of a grid's lines, of the nut and of crosses.
HAIR, NUT, CROSS = 0.45, 1.8, 0.8


@frozen(hash_once=True)
class GridLook(Caching):
    """Measures of a grid in points: `string` and `fret` gaps, `finger` and `number` text sizes.

    `rows` is the number of frets shown, `strings` that of strings; `digits` are those of the number
    of the first fret, 0 at the nut; `mirrored` for a left hand.
    """

    string: float = 7.0
    fret: float = 8.4
    finger: float = 6.2
    number: float = 7.6
    rows: int = 4
    strings: int = 6
    mirrored: bool = False
    digits: int = 2

    def of(self, grip: Grip) -> GridLook:
        """The same measures with room for the number of a grip's first fret."""
        first = first_fret(grip)
        digits = len(str(first)) if first > 1 else 0
        return self if digits == self.digits else _changed(self, digits, self.rows)

    def with_rows(self, rows: int) -> GridLook:
        """The same measures with so many frets."""
        return self if rows == self.rows else _changed(self, self.digits, rows)

    def scaled(self, factor: float) -> GridLook:
        """All measures times a factor."""
        return _scaled(self, factor)

    @cached_property
    def dot(self) -> float:
        """Radius of a dot."""
        return 0.47 * min(self.string, self.fret)

    @cached_property
    def gutter(self) -> float:
        """Room left of the lowest string for the number of the first fret."""
        if not self.digits:
            return self.dot + 0.5 * HAIR
        return text_width("10"[: self.digits], REGULAR, self.number) + self.dot + self.gap

    @property
    def gap(self) -> float:
        """What keeps the number of the first fret apart from a mark on the outer string."""
        return 0.42 * self.string

    @property
    def top(self) -> float:
        """Height of the row of crosses and open marks above the grid."""
        return 0.8 * self.string + 0.5

    @cached_property
    def width(self) -> float:
        """Width of the whole block."""
        return self.gutter + (self.strings - 1) * self.string + self.dot

    @cached_property
    def height(self) -> float:
        """Height of the whole block."""
        return self.top + self.rows * self.fret


@lru_cache(maxsize=256)
def _changed(look: GridLook, digits: int, rows: int) -> GridLook:
    return replace(look, digits=digits, rows=rows)


@lru_cache(maxsize=256)
def _scaled(look: GridLook, factor: float) -> GridLook:
    return replace(
        look,
        string=look.string * factor,
        fret=look.fret * factor,
        finger=look.finger * factor,
        number=look.number * factor,
    )


#: The least number of frets that a grid shows.
ROWS = 3


@lru_cache(maxsize=2048)
def rows_needed(grip: Grip) -> int:
    """Frets that a grid must show to hold a grip."""
    first = first_fret(grip)
    return max((fret for fret in grip.frets if fret), default=first) - first + 1


@lru_cache(maxsize=2048)
def first_fret(grip: Grip) -> int:
    """The fret of a grid's top row: 1 where the grip lies within the first three frets, or within
    four with an open string."""
    fretted = [fret for fret in grip.frets if fret]
    if not fretted or max(fretted) <= (4 if 0 in grip.frets else ROWS):
        return 1
    return min(fretted)


def draw_grid(grip: Grip, chord: Chord, at: tuple[float, float], look: GridLook) -> list[Item]:
    """The items of a grip's grid with the block's top left corner `at`."""
    stopped, marks = _shown(grip, chord)
    placed = Placed(_grid(stopped, look), at[0] + look.gutter, at[1] + look.top)
    return grouped(DRAWING_GROUP, [placed, *marks])


@frozen(hash_once=True)
class _Stopped:
    """What a grid shows of a grip: frets, fingers and shapes of marks by string, barres, and the
    fret of its top row."""

    frets: tuple[int | None, ...]
    fingers: tuple[int | None, ...]
    shapes: tuple[str, ...]
    barres: tuple[Barre, ...]
    first: int


@lru_cache(maxsize=1024)
def _grid(grip: _Stopped, look: GridLook) -> Drawing:
    """The grid of a grip, its origin where the top fret meets the left string."""
    first = grip.first
    items: list[Ink] = [_net(look)]
    if first == 1:
        items.append(Line(-0.2, 0.0, (look.strings - 1) * look.string + 0.2, 0.0, NUT))
    else:
        items.append(_fret_number(first, look))
    columns = [look.string * place for place in range(look.strings)]
    if look.mirrored:
        columns.reverse()
    items += _above(grip, columns, look)
    for barre in grip.barres:
        items.append(_barre(barre, columns, (barre.fret - first + 0.5) * look.fret, look))
    for place, (fret, finger) in enumerate(zip(grip.frets, grip.fingers, strict=True)):
        if fret:
            y = (fret - first + 0.5) * look.fret
            items += _dot(grip.shapes[place], (columns[place], y), finger, look)
    return drawing_of(items)


@lru_cache(maxsize=2048)
def _shown(grip: Grip, chord: Chord) -> tuple[_Stopped, tuple[Shown, ...]]:
    """What the grid of a grip shows, and the marks in it."""
    guides = guide_degrees(chord)
    shapes = {note.string: tone_shape(note.tone, guides) for note in grip.voicing.notes}
    by_string = tuple(shapes.get(string, "other") for string in range(len(grip.frets), 0, -1))
    stopped = _Stopped(grip.frets, grip.fingers, by_string, grip.barres, first_fret(grip))
    return stopped, tuple(Shown(name) for name in _marks(grip, set(shapes.values())))


def grid_marks(grip: Grip, chord: Chord) -> list[str]:
    """The names of the marks in the grid of a grip, as the legend explains them."""
    return [shown.mark for shown in _shown(grip, chord)[1]]


def _marks(grip: Grip, shapes: set[str]) -> list[str]:
    """The names of the marks in a grid that shows tones in some shapes."""
    names = [shape for shape in ("root", "guide", "other") if shape in shapes]
    return [
        *names,
        *(["rootless"] if "root" not in shapes else []),
        *(["open"] if 0 in grip.frets else []),
        *(["silent"] if None in grip.frets else []),
        *(["barre"] if grip.barres else []),
    ]


def tone_shape(tone: Tone | None, guides: set[int]) -> str:
    """The shape of a tone's mark, by the `guide_degrees` of its chord: root, guide or other."""
    if tone is None:
        return "other"
    if tone.degree == 1:
        return "root"
    return "guide" if tone.degree in guides else "other"


def guide_degrees(chord: Chord) -> set[int]:
    """The degrees of the guide tones of a chord.

    Sixth and major seventh may be played for each other, as the player prefers.
    """
    altered = {each.degree: each.alteration for each in chord.tones}
    thirds = {3} if 3 in altered else {2, 4}
    sevenths = {6, 7} if altered.get(7, 0) == 0 else {7}
    return thirds | sevenths


def _net(look: GridLook) -> Path:
    """The strings and frets as one outline."""
    right, bottom = (look.strings - 1) * look.string, look.rows * look.fret
    steps: list[Step] = []
    for place in range(look.strings):
        x = place * look.string
        steps += [("M", x, 0.0), ("L", x, bottom)]
    for row in range(look.rows + 1):
        y = row * look.fret
        steps += [("M", 0.0, y), ("L", right, y)]
    return Path(tuple(steps), width=HAIR)


def _fret_number(first: int, look: GridLook) -> Text:
    number, width = _number(first, REGULAR, look.number)
    y = 0.5 * look.fret + 0.5 * CAP_HEIGHT * look.number
    return Text(-look.dot - look.gap - width, y, number)


@lru_cache(maxsize=512)
def _number(number: int, face: str, size: float) -> tuple[tuple[Span, ...], float]:
    """The spans of a number and its width."""
    text = str(number)
    return spans(text, face, size), text_width(text, face, size)


def _above(grip: _Stopped, columns: list[float], look: GridLook) -> list[Ink]:
    """Crosses over silent strings and outlines over open ones."""
    arm = 0.24 * look.string
    y = -0.45 * look.string - 0.5
    items: list[Ink] = []
    for place, fret in enumerate(grip.frets):
        if fret == 0:
            items.append(mark(grip.shapes[place], columns[place], y, 1.2 * arm, hollow=True))
    silent = [place for place, fret in enumerate(grip.frets) if fret is None]
    if look.mirrored:
        silent = [look.strings - 1 - place for place in reversed(silent)]
    if silent:
        steps = _cross_steps(tuple(silent), look.string, arm)
        items.append(Path(steps, width=CROSS, y=y))
    return items


@lru_cache(maxsize=256)
def _cross_steps(silent: tuple[int, ...], string: float, arm: float) -> tuple[Step, ...]:
    """Crosses over some columns, counted from the left one."""
    steps: list[Step] = []
    for x in (place * string for place in silent):
        steps += [("M", x - arm, -arm), ("L", x + arm, arm)]
        steps += [("M", x - arm, arm), ("L", x + arm, -arm)]
    return tuple(steps)


def _barre(barre: Barre, columns: list[float], y: float, look: GridLook) -> Rect:
    """A bar behind the dots of one finger."""
    count = len(columns)
    ends = sorted((columns[count - barre.low], columns[count - barre.high]))
    half = 0.55 * look.dot
    return Rect(ends[0], y - half, ends[1] - ends[0], 2 * half)


def _dot(shape: str, at: tuple[float, float], finger: int | None, look: GridLook) -> list[Ink]:
    """A fretted note with the number of its finger."""
    x, y = at
    items: list[Ink] = [mark(shape, x, y, look.dot)]
    if finger is not None and look.finger:
        number, width = _number(finger, BOLD, look.finger)
        baseline = y + 0.5 * CAP_HEIGHT * look.finger
        items.append(Text(x - 0.5 * width, baseline, number, grey=1.0))
    return items


def mark(shape: str, x: float, y: float, radius: float, hollow: bool = False) -> Ink:
    """One of the three marks round a point: square root, round guide tone, diamond other tone."""
    fill, stroke = (1.0, 0.0) if hollow else (0.0, None)
    width = 0.2 * radius if radius < 4 else 0.8
    if shape == "root":
        side = 1.84 * radius
        return Rect(x - side / 2, y - side / 2, side, side, fill, stroke, width)
    if shape == "guide":
        return Circle(x, y, radius, fill, stroke, width)
    reach = 1.16 * radius
    corners = ((x, y - reach), (x + reach, y), (x, y + reach), (x - reach, y))
    steps: list[Step] = [("M", *corners[0]), *(("L", *corner) for corner in corners[1:]), ("Z",)]
    return Path(tuple(steps), fill, stroke, width)
