"""The lines of an exercise: which keys share one, how wide their bars are, measured and ready.

Takes an `Exercise`, a `Practice` and a `PageStyle`, gives an `ExerciseLayout`. A key that fills
most of a line has the line to itself, with its name in a column at the left and the neck map at the
right end; shorter keys share a line, under their names and over the map. In large print and on
narrow paper every name stands above its lines. Lengths are points.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial

from ....converter.chart import CompingChart
from ....converter.drill.drill import Exercise, Practice
from ....converter.practice.rhythm import BarStroke
from ....converter.practice.written import written_strokes
from ....converter.prose.drill import bars_of, pattern_of
from ....grammar.frozen import frozen
from ....grammar.sheet import Section
from ..context import LayoutContext, layout_context
from ..drawing.style import PageStyle
from ..line import MeasuredLine, measure_lines
from ..line_breaks import break_lines


def grouped(exercise: Exercise, together: int) -> Iterator[range]:
    """Stations that share their lines: at most so many, all of one round."""
    start = 0
    for place, station in enumerate(exercise.stations):
        if place - start == together or station.round != exercise.stations[start].round:
            yield range(start, place)
            start = place
    yield range(start, len(exercise.stations))


def sectioned(chart: CompingChart, groups: Sequence[range], bars: Sequence[range]) -> CompingChart:
    """The same chart with a section for each group of stations: a section begins a line."""
    sheet = chart.sheet
    sections = []
    for group in groups:
        first, end = bars[group[0]][0], bars[group[-1]][-1] + 1
        sections.append(Section("", first, end - first, sheet.bars[first].position))
    sectioned = replace(sheet, sections=tuple(sections))
    return replace(chart, timeline=replace(chart.timeline, sheet=sectioned))


def without_strays(exercise: Exercise) -> CompingChart:
    """The chart without brackets and arrows that lead to another key, save to its first chord.

    A loop leads to no other key.
    """
    analysis = exercise.chart.analysis
    places = {index: place for place, one in enumerate(exercise.stations) for index in one.chords}
    rounds = [place if exercise.loops else one.round for place, one in enumerate(exercise.stations)]
    homes = [(place, rounds[place]) for place in places.values()]
    readings = tuple(
        reading if reading is None or _near(index, reading.resolves_to, homes)
        else replace(reading, resolves_to=None)
        for index, reading in enumerate(analysis.readings)
    )  # fmt: skip
    areas = tuple(
        area for area in analysis.areas if len({homes[index] for index in area.chords}) == 1
    )
    return replace(exercise.chart, analysis=replace(analysis, readings=readings, areas=areas))


def _near(chord: int, target: int | None, homes: Sequence[tuple[int, int]]) -> bool:
    """Whether a chord aims within its key, or at the chord behind it in the same round."""
    if target is None or homes[chord] == homes[target]:
        return True
    return target == chord + 1 and homes[chord][1] == homes[target][1]


#: Whole bars on a line: plain and on wide paper, each of them in large print too.
BARS, WIDE, LARGE, LARGE_WIDE = 4, 6, 2, 4
#: Widths of the column with a key's name and of the map at the right end, in sizes of a symbol, and
#: what the column gains for each bar by which a key has fewer than three.
COLUMN, MAP, GAIN = 6.0, 4.4, 3.5
#: Shares of these widths that are tried in turn where a key would need a second line.
SIDES = (0.92, 0.84, 0.76)


@frozen
class ExerciseLayout:
    """An exercise at one size.

    `together` keys share a line; `groups` are the stations of each row and `lines` all set lines,
    whose section is their group.
    `column` is the width of the column with names, 0 where these stand above the bars; `map` that
    of a neck map at the right end, 0 where there is none.
    """

    exercise: Exercise
    practice: Practice
    context: LayoutContext
    together: int
    groups: tuple[range, ...]
    bars: tuple[range, ...]
    column: float
    map: float
    lines: tuple[MeasuredLine, ...] = ()


def lay_out_exercise(
    exercise: Exercise, practice: Practice, style: PageStyle, factor: float = 1.0
) -> ExerciseLayout:
    """An exercise with its lines set at a size."""
    chart = exercise.chart
    # The sections of the drill, not the lines, tell where a rhythm of two bars begins anew.
    strokes = written_strokes(chart.timeline, chart.plan, pattern_of(exercise, practice))
    set_with = partial(_layout_with, exercise, practice, style, factor, strokes)
    layout = set_with(keys_on_a_line(exercise, style))
    if layout.together > 1 and len(layout.lines) > len(layout.groups):
        # Wider than reckoned: keys that were to share a line have one each.
        return set_with(1)
    for share in SIDES:
        if not layout.column or len(layout.lines) <= _fewest(layout, style):
            break
        # A key that is a little too wide is not split: what stands beside the bars gets narrower.
        layout = set_with(1, share)
    return layout


def _fewest(layout: ExerciseLayout, style: PageStyle) -> int:
    """The number of lines when each row has as few as its bars need."""
    return sum(-(-len(bars) // _room(style)) for bars in layout.bars)


def _layout_with(
    exercise: Exercise,
    practice: Practice,
    style: PageStyle,
    factor: float,
    strokes: tuple[tuple[BarStroke, ...], ...],
    together: int,
    share: float = 1.0,
) -> ExerciseLayout:
    bars, longest = bars_of(exercise), _longest(exercise)
    groups = tuple(grouped(exercise, together))
    lines = -(-longest // _room(style))
    cells = -(-max(map(len, bars)) * together // lines)
    beside = together == 1 and not (style.large or _narrow(style))
    chart = sectioned(without_strays(exercise), groups, bars)
    neck_map = "none" if beside else style.map_place
    plain = layout_context(chart, replace(style, bars_per_line=cells, neck_map=neck_map), factor)
    alone = {station.chords[0] for station in exercise.stations} if exercise.loops else ()
    context = replace(plain, numbered=False, strokes=strokes, alone=frozenset(alone))
    unit = context.sizes.symbol * share if beside else 0.0
    layout = ExerciseLayout(
        exercise, practice, context, together, groups, bars,
        (COLUMN + GAIN * max(0, 3 - longest)) * unit,
        0.0 if style.map_place == "none" else MAP * unit,
    )  # fmt: skip
    return replace(layout, lines=_set(layout))


def keys_on_a_line(exercise: Exercise, style: PageStyle) -> int:
    """How many keys of an exercise share a line; one that is a loop of its own has one."""
    return 1 if exercise.loops else max(1, _room(style) // _longest(exercise))


def _room(style: PageStyle) -> int:
    """How many whole bars a line holds."""
    if style.large:
        return LARGE_WIDE if style.wide else LARGE
    return WIDE if style.wide else BARS


def _narrow(style: PageStyle) -> bool:
    """Whether a page is too narrow for names beside the lines."""
    return style.paper == "a5" and not style.landscape


def _longest(exercise: Exercise) -> int:
    """The number of bars of the longest key."""
    return max(map(len, bars_of(exercise)))


def _set(layout: ExerciseLayout) -> tuple[MeasuredLine, ...]:
    """All lines of an exercise."""
    context = layout.context
    lines = break_lines(context, context.music_width - layout.column - layout.map)
    # The name of a key stands in its head, so that no line draws it as the label of a section.
    nameless = tuple(replace(line, begins=False) for line in lines)
    return measure_lines(context, nameless, beside=False)
