"""The context of a layout: a chart, its page style, the sizes in force, what each chord shows.

The links of a tune are its brackets and arrows, by the index of the written chords that they join.
All of them share one lane, so none may lie over another: a resolution further than the next two
chords, back to an earlier chord or over another link is told in words. Lengths are points.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Final, Literal

from ...converter.chart import CompingChart
from ...converter.hand.grip import Grip
from ...converter.hand.player import Player
from ...converter.hand.voicings import unsounded_tones
from ...converter.harmony.analysis import Analysis, Area
from ...converter.practice.rhythm import BarStroke, named_pattern
from ...converter.practice.written import written_strokes
from ...grammar.chord import Chord
from ...grammar.frozen import frozen
from ...grammar.sheet import Bar, Section, Sheet, SheetChord
from .beats import ChordTimes, chord_times, shows_beats
from .drawing.grid import ROWS, GridLook, rows_needed
from .drawing.style import LARGE_METRICS, REGULAR_METRICS, Metrics, PageStyle


@frozen
class LayoutContext:
    """One chart in one style at one size.

    For each written bar: `endings`, the passes of the ending that it is part of, `ticked`, whether
    its beats show. For each written chord: `gridded`, whether it shows a grid; `key_named`, whether
    its numeral begins with the key; `chords`, the chord; `times`, what it marks in its bar.
    `positions` are the hand positions of the whole chart in frets, ascending; `look` holds the
    measures of its grids, `links` the brackets and arrows; `numbered`: whether its bars have
    numbers on paper; `strokes` of a rhythm in each written bar, () without a rhythm; `alone` are
    chords to which no hand comes from the one before, as it begins a loop.
    """

    chart: CompingChart
    style: PageStyle
    sizes: Metrics
    gridded: tuple[bool, ...]
    key_named: tuple[bool, ...]
    chords: tuple[SheetChord, ...]
    times: tuple[ChordTimes, ...]
    endings: tuple[tuple[int, ...], ...]
    ticked: tuple[bool, ...]
    positions: tuple[int, ...]
    look: GridLook
    links: Links
    numbered: bool = True
    strokes: tuple[tuple[BarStroke, ...], ...] = ()
    alone: frozenset[int] = frozenset()

    @property
    def width(self) -> float:
        """Width of what may be printed on."""
        left, _, right, _ = self.style.frame
        return right - left

    @property
    def music_width(self) -> float:
        """Width of what the gutter leaves for music."""
        return self.width - self.gutter

    @property
    def gutter(self) -> float:
        """Room left of the music, for section letters and the numbers of the neck map."""
        return 2.3 * self.sizes.small

    def scaled(self, factor: float) -> LayoutContext:
        """The same chart and style, the plain sizes of the style times a factor."""
        sizes = (LARGE_METRICS if self.style.large else REGULAR_METRICS).scaled(factor)
        return replace(self, sizes=sizes, look=_look(sizes, self.chart.player, self.look.rows))

    def strokes_in(self, bar: int) -> tuple[BarStroke, ...]:
        """The strokes of a rhythm in the written bar with an index, from its start."""
        return self.strokes[bar] if self.strokes else ()

    def section(self, index: int) -> Section:
        """A section of the sheet."""
        return self.chart.sheet.sections[index]

    def grip(self, chord: int) -> Grip | None:
        """The grip of a written chord, None for N.C."""
        return self.chart.plan.grips[chord]

    def lacks(self, chord: int) -> bool:
        """Whether a grip is shown for a written chord that leaves out a tone that it names."""
        written, grip = self.chords[chord].chord, self.grip(chord)
        if written is None or grip is None or self.style.grids == "none":
            return False
        clashes = any(clash.chord == chord for clash in self.chart.plan.clashes)
        return clashes or _leaves_out(written, grip)

    def grip_before(self, chord: int) -> Grip | None:
        """The last grip that is written before a chord, None where none leads to it."""
        if chord in self.alone:
            return None
        grips = self.chart.plan.grips
        return next((grips[i] for i in range(chord - 1, -1, -1) if grips[i] is not None), None)


@lru_cache(maxsize=2048)
def _leaves_out(chord: Chord, grip: Grip) -> bool:
    """Whether a grip does not sound all that a chord names."""
    return bool(unsounded_tones(chord, grip.voicing))


def layout_context(chart: CompingChart, style: PageStyle, factor: float = 1.0) -> LayoutContext:
    """The context of a chart in a style, its sizes times `factor`."""
    base = LARGE_METRICS if style.large else REGULAR_METRICS
    grips = [grip for grip in chart.plan.grips if grip is not None]
    sizes = base.scaled(factor)
    shown = _gridded(chart, style)
    named = tuple(map(chart.analysis.names_key, range(len(chart.sheet.chords))))
    return LayoutContext(
        chart,
        style,
        sizes,
        shown,
        named,
        chart.sheet.chords,
        tuple(chord_times(chord.start, chord.beats) for chord in chart.sheet.chords),
        _endings(chart.sheet),
        tuple(shows_beats(bar.chords, bar.pickup) for bar in chart.sheet.bars),
        tuple(sorted({grip.position for grip in grips})),
        _look(sizes, chart.player, _rows(grips)),
        find_links(chart.analysis),
        strokes=_strokes(chart, style),
    )


def _strokes(chart: CompingChart, style: PageStyle) -> tuple[tuple[BarStroke, ...], ...]:
    """The strokes of the style's rhythm in each written bar."""
    if style.rhythm is None:
        return ()
    return written_strokes(chart.timeline, chart.plan, named_pattern(style.rhythm))


def grid_look(
    style: PageStyle, player: Player, grips: Sequence[Grip], factor: float = 1.0
) -> GridLook:
    """The measures of the grids of some grips in a style, times `factor`."""
    base = LARGE_METRICS if style.large else REGULAR_METRICS
    return _look(base.scaled(factor), player, _rows(grips))


def _rows(grips: Sequence[Grip]) -> int:
    """The frets that the grids of some grips show."""
    return max([ROWS, *(rows_needed(grip) for grip in grips)])


def _look(sizes: Metrics, player: Player, rows: int) -> GridLook:
    return GridLook(
        string=sizes.string,
        fret=sizes.fret,
        finger=sizes.finger,
        number=sizes.small,
        rows=rows,
        strings=len(player.neck.tuning),
        mirrored=player.hand == "left",
    )


def _gridded(chart: CompingChart, style: PageStyle) -> tuple[bool, ...]:
    """For each written chord whether its grid is drawn (one struck again shows a stroke)."""
    out: list[bool] = []
    seen: set[tuple[object, object]] = set()
    before: tuple[object, object] | None = None
    for written, grip in zip(chart.sheet.chords, chart.plan.grips, strict=True):
        this = (written.chord, grip)
        new = this not in seen if style.grids == "new" else this != before
        out.append(grip is not None and style.grids != "none" and new)
        seen.add(this)
        before = this
    return tuple(out)


def closes_ending(bar: Bar) -> bool:
    """Whether an ending that lies over a bar ends with it."""
    return bool(bar.ending_close or bar.repeat_close or bar.double_bar)


def _endings(sheet: Sheet) -> tuple[tuple[int, ...], ...]:
    """For each bar the passes of the ending it lies in; a section's end closes what is open."""
    starts = {section.first for section in sheet.sections if section.count}
    out: list[tuple[int, ...]] = []
    current: tuple[int, ...] = ()
    for number, bar in enumerate(sheet.bars):
        if bar.endings or number in starts:
            current = bar.endings
        out.append(current)
        if closes_ending(bar):
            current = ()
    return tuple(out)


#: The kinds of areas whose ii–V gets a bracket.
BRACKETED: Final = ("ii-V", "ii-V-I")
#: How many chords further an arrow may lead.
FURTHEST: Final = 2


@frozen
class Link:
    """A bracket or an arrow from chord `first` to chord `last`; a `broken` one is dashed."""

    kind: Literal["bracket", "arrow"]
    first: int
    last: int
    broken: bool = False

    @property
    def span(self) -> tuple[int, int]:
        """Where it begins and ends, in thirds of a chord.

        Under one numeral an arrow arrives (0), a bracket begins or ends (1), an arrow leaves (2).
        """
        leave, arrive = (1, 1) if self.kind == "bracket" else (2, 0)
        return 3 * self.first + leave, 3 * self.last + arrive


@frozen
class Links:
    """What is drawn in the lane, from left to right and none across another, and the goal of each
    chord that tells it in words."""

    drawn: tuple[Link, ...]
    told: dict[int, int]


def find_links(analysis: Analysis) -> Links:
    """The links of a tune: every ii–V, then arrows as they find room, the shortest first."""
    arrows = [
        Link("arrow", chord, reading.resolves_to, reading.numeral.substitute)
        for chord, reading in enumerate(analysis.readings)
        if reading is not None and reading.resolves_to is not None
    ]
    drawn: list[Link] = []
    told: dict[int, int] = {}
    taken: set[int] = set()
    for link in (*sorted(_brackets(analysis), key=_length), *sorted(arrows, key=_length)):
        far = link.kind == "arrow" and not 0 < _length(link) <= FURTHEST
        if not far and taken.isdisjoint(range(*link.span)):
            taken.update(range(*link.span))
            drawn.append(link)
        elif link.kind == "arrow":
            told[link.first] = link.last
    return Links(tuple(sorted(drawn, key=lambda link: link.span)), told)


def _length(link: Link) -> int:
    return link.last - link.first


def _brackets(analysis: Analysis) -> Iterator[Link]:
    """A bracket for each ii–V, once each."""
    pairs = {_two_five(analysis, area) for area in analysis.areas if area.kind in BRACKETED}
    for pair in sorted(pair for pair in pairs if pair is not None):
        yield Link("bracket", *pair)


def _two_five(analysis: Analysis, area: Area) -> tuple[int, int] | None:
    """The chords of a ii–V from its first to its last dominant, None where it has none."""
    kept = []
    for place, chord in enumerate(area.chords):
        reading = analysis.readings[chord]
        if reading is not None and reading.role == "dominant":
            kept.append(place)
    if not kept or kept[-1] == 0:
        return None
    first, last = area.chords[0], area.chords[kept[-1]]
    return (first, last) if first < last else None
