"""The legend: every mark of ours that stands on the pages of a document, explained once.

Drawing functions put a `Shown` with the name of a mark beside what they draw; `MARKS` explains each
name. What musicians read everywhere (bar lines, repeats, endings, segno and coda, fermata) is left
out. To add a mark: draw it, put a `Shown` beside it, add a row to `MARKS`. Lengths are points.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence, Set
from dataclasses import replace
from functools import lru_cache
from itertools import chain
from typing import Final

from ...converter.chart import CompingChart
from ...grammar.frozen import frozen
from .bars import HEAVY, LEAN, LIGHT
from .chords import same_sign
from .drawing.blocks import wrapped
from .drawing.fonts import BOLD, REGULAR, measure, spans
from .drawing.grid import GridLook, grid_marks, mark
from .drawing.items import LEGEND_GROUP, Item, Line, Path, Rect, Shown, Text, finished, grouped
from .drawing.neckmap import SHADE, root_mark, root_name, root_string
from .drawing.signs import early
from .drawing.style import LARGE_PT, SOFT, PageStyle
from .marks import Mark, draw_mark

#: The size of a legend on plain pages; from one row to the next, in sizes.
FOOT: Final = 7.6
STEP: Final = 1.35
#: Strings that roots have been seen on, lowest string of a neck of twelve first.
STRINGS: Final = tuple(range(12, 0, -1))

#: Draws a mark: left end, baseline and size of the words behind it.
Draw = Callable[[float, float, float], list[Item]]


@frozen
class LegendMark:
    """A mark by its name, what it means, how wide it is in sizes of text, and how it is drawn.

    `where` says which pages may hold it: with grids, with numerals, with neck maps, or all.
    """

    name: str
    words: str
    width: float
    draw: Draw
    where: str = "all"


def _tone(shape: str, hollow: bool = False) -> Draw:
    return lambda x, y, size: [mark(shape, x + 0.45 * size, y - 0.33 * size, 0.36 * size, hollow)]


def _root(string: int) -> Draw:
    return lambda x, y, size: root_mark(
        string, (x + 0.45 * size, y - 0.33 * size), 0.36 * size, 0.8
    )


def _letters(text: str, face: str = REGULAR) -> Draw:
    return lambda x, y, size: [Text(x, y, spans(text, face, size))]


def _tick(thickness: float, height: float = 0.75) -> Draw:
    def draw(x: float, y: float, size: float) -> list[Item]:
        tall = height * size
        thick = thickness * tall
        return [Line(x + 0.5 * thick, y, x + 0.5 * thick + LEAN * tall, y - tall, thick)]

    return draw


def _link(link: Mark) -> Draw:
    def draw(x: float, y: float, size: float) -> list[Item]:
        return draw_mark(replace(link, x2=1.7 * size), x, y - 0.75 * size, 0.85 * size)

    return draw


def _cross(x: float, y: float, size: float) -> list[Item]:
    left, right, top, bottom = x + 0.1 * size, x + 0.6 * size, y - 0.58 * size, y - 0.08 * size
    steps = ("M", left, top), ("L", right, bottom), ("M", left, bottom), ("L", right, top)
    return [Path(steps, width=0.8)]


def _barre(x: float, y: float, size: float) -> list[Item]:
    middle, radius = y - 0.33 * size, 0.36 * size
    places = (x + 0.45 * size, x + 1.35 * size)
    bar = Rect(places[0], middle - 0.55 * radius, places[1] - places[0], 1.1 * radius)
    return [bar, *(mark("guide", place, middle, radius) for place in places)]


def _lacks(x: float, y: float, size: float) -> list[Item]:
    return [mark("other", x + 0.35 * size, y - 0.3 * size, 0.28 * size, True)]


def _same(x: float, y: float, size: float) -> list[Item]:
    look = GridLook(string=0.8 * size, fret=0.7 * size, rows=1)
    return finished(same_sign(x, y - 0.68 * size, look))


def _way(x: float, y: float, size: float) -> list[Item]:
    return [Line(x, y - 0.33 * size, x + 0.8 * size, y - 0.33 * size, 0.9)]


def _window(x: float, y: float, size: float) -> list[Item]:
    return [Rect(x + 0.1 * size, y - 0.69 * size, 0.72 * size, 0.72 * size, SHADE - 0.05)]


def _early(x: float, y: float, size: float) -> list[Item]:
    return finished(early(x, y - 0.33 * size, size))


def _held(x: float, y: float, size: float) -> list[Item]:
    line = Line(x, y, x + 1.3 * size, y, 0.06 * size)
    return [*_tick(0.13)(x, y, size), line]


#: The marks in the order of the legend. `{low}` and `{high}` are the player's window.
MARKS: Final = (
    LegendMark("root", "root", 1.0, _tone("root"), "grids"),
    LegendMark("guide", "guide tone", 1.0, _tone("guide"), "grids"),
    LegendMark("other", "other tone", 1.0, _tone("other"), "grids"),
    LegendMark("rootless", "no square: played without its root", 0.0, lambda *_: [], "grids"),
    LegendMark("open", "open string", 1.0, _tone("guide", hollow=True), "grids"),
    LegendMark("silent", "silent string", 0.85, _cross, "grids"),
    LegendMark("barre", "one finger", 1.9, _barre, "grids"),
    LegendMark("lacks", "symbol says more than the grip sounds", 0.75, _lacks),
    LegendMark("same", "same grip", 1.4, _same, "grids"),
    LegendMark("heavy", "beat with a chord", 0.85, _tick(HEAVY)),
    LegendMark("tick", "beat", 0.65, _tick(LIGHT)),
    LegendMark("early", "struck an eighth early", 1.15, _early),
    LegendMark("bracket", "ii and V", 2.1, _link(Mark("bracket", 0.0, 1.0)), "analysis"),
    LegendMark("arrow", "resolves", 2.1, _link(Mark("arrow", 0.0, 1.0)), "analysis"),
    LegendMark(
        "broken", "for a substitute", 2.1, _link(Mark("arrow", 0.0, 1.0, broken=True)), "analysis"
    ),
    LegendMark("far", "resolves there", 1.3, _letters("→"), "analysis"),
    LegendMark("doubt", "not sure", 0.7, _letters("?"), "analysis"),
    LegendMark("pivot", "what it becomes", 1.3, _letters("→"), "pivot"),
    LegendMark("way", "hand along the neck", 0.95, _way),
    LegendMark("shift", "frets of a shift", 1.4, _letters("+3", BOLD), "map"),
    LegendMark("window", "frets {low}–{high}", 1.0, _window, "map"),
    LegendMark("loud", "louder stroke", 0.85, _tick(0.25, 0.9), "rhythm"),
    LegendMark("stroke", "stroke", 0.75, _tick(0.13, 0.9), "rhythm"),
    LegendMark("held", "held", 1.5, _held, "rhythm"),
)


@frozen
class LegendEntry:
    """One or several marks side by side (their widths and drawings) and the words behind them."""

    marks: tuple[tuple[float, Draw], ...]
    words: str

    def width(self, size: float) -> float:
        """How wide it is in this size."""
        return size * (sum(width for width, _ in self.marks) + 0.15) + measure(
            self.words, REGULAR, size
        )

    def draw(self, x: float, y: float, size: float) -> list[Item]:
        """Its items on a baseline."""
        items: list[Item] = []
        for width, draw in self.marks:
            items += draw(x, y, size)
            x += width * size
        items.append(Text(x + 0.15 * size, y, spans(self.words, REGULAR, size), SOFT))
        return items


def marks_shown(pages: Iterable[Iterable[Item]]) -> frozenset[str]:
    """The names of the marks that stand on pages."""
    return frozenset(item.mark for items in pages for item in items if isinstance(item, Shown))


def legend_of(names: Set[str], window: tuple[int, int]) -> list[LegendEntry]:
    """The entries that explain marks, in order; `window` holds the player's frets."""
    low, high = window
    found = [
        LegendEntry(((row.width, row.draw),), row.words.format(low=low, high=high))
        for row in MARKS
        if row.name in names
    ]
    return [*found, *_root_entry(names)]


def _root_entry(names: Set[str]) -> list[LegendEntry]:
    """The marks of the strings that roots lie on: one for 6, one for 5, one for all others."""
    strings = {string for string in STRINGS if root_name(string) in names}
    groups = strings & {6}, strings & {5}, strings - {6, 5}
    parts = [sorted(group, reverse=True) for group in groups if group]
    if not parts:
        return []
    words = (" or ".join(map(str, part)) for part in parts)
    marks = tuple((1.05, _root(part[0])) for part in parts)
    return [LegendEntry(marks, "root on string " + ", on ".join(words))]


def foot_size(style: PageStyle) -> float:
    """The size of the foot's text."""
    return LARGE_PT if style.large else FOOT


def possible_marks(
    charts: Sequence[CompingChart], style: PageStyle, drill: bool = False
) -> frozenset[str]:
    """The marks that charts, or those of a `drill`, may show in a style, at most: what a first page
    keeps room for."""
    shown = {
        "all": True,
        "grids": style.grids != "none" or style.second_page,
        "analysis": style.numerals,
        "map": style.map_place != "none",
        "rhythm": drill or style.rhythm is not None,
        "pivot": drill and style.numerals,
    }
    names = {row.name for row in MARKS if shown[row.where]}
    held, strings = _marks_of_grips(charts)
    names -= {row.name for row in MARKS if row.where == "grids" and row.name != "same"} - held
    readings = [reading for chart in charts for reading in chart.analysis.readings if reading]
    if not any(reading.doubtful for reading in readings):
        names.discard("doubt")
    if not any(reading.numeral.substitute for reading in readings):
        names.discard("broken")
    if not any(written.push for chart in charts for written in chart.sheet.chords):
        names.discard("early")
    return frozenset(names | strings if shown["map"] else names)


def _marks_of_grips(charts: Sequence[CompingChart]) -> tuple[set[str], set[str]]:
    """The marks in the grids of all grips, and those of their roots on the neck map."""
    pairs = {
        (written.chord, grip)
        for chart in charts
        for written, grip in zip(chart.sheet.chords, chart.plan.grips, strict=True)
        if grip is not None and written.chord is not None
    }
    strings = {root_string(grip) for _, grip in pairs}
    held = {name for chord, grip in pairs for name in grid_marks(grip, chord)}
    return held, {root_name(string) for string in strings if string is not None}


#: Entries of a legend in rows, each with its left end.
LegendRows = tuple[tuple[tuple[float, LegendEntry], ...], ...]


@lru_cache(maxsize=64)
def legend_rows(
    names: frozenset[str], window: tuple[int, int], width: float, size: float
) -> LegendRows:
    """The legend of marks in rows of at most this width; most charts show the same marks."""
    rows: list[list[tuple[float, LegendEntry]]] = []
    x = 0.0
    entries = legend_of(names, window)
    for entry in chain.from_iterable(_parts(each, width, size) for each in entries):
        taken = entry.width(size)
        if not rows or x + taken > width:
            rows.append([])
            x = 0.0
        rows[-1].append((x, entry))
        x += taken + 1.2 * size
    return tuple(map(tuple, rows))


def _parts(entry: LegendEntry, width: float, size: float) -> list[LegendEntry]:
    """An entry, or where it is wider than a row its words in several."""
    if entry.width(size) <= width:
        return [entry]
    beside = size * (sum(mark_width for mark_width, _ in entry.marks) + 0.15)
    first, *more = wrapped(entry.words, REGULAR, size, width - beside)
    return [LegendEntry(entry.marks, first), *(LegendEntry((), words) for words in more)]


def draw_legend(rows: LegendRows, at: tuple[float, float], size: float) -> list[Item]:
    """The rows of a legend, the last of them on the baseline `at[1]`."""
    items: list[Item] = []
    for up, row in enumerate(reversed(rows)):
        for x, entry in row:
            items += entry.draw(at[0] + x, at[1] - up * STEP * size, size)
    return grouped(LEGEND_GROUP, items)
