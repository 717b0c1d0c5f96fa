"""The chart of an exercise as its page needs it: a section for each row, no marks that lead astray.

Takes an `Exercise`, gives which keys share a row, and charts with the same chords and grips.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from ...converter.chart import CompingChart
from ...converter.drill.values import Exercise
from ...grammar.sheet import Section


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
        sections.append(Section("", first, end - first, sheet.bars[first].place))
    return replace(chart, sheet=replace(sheet, sections=tuple(sections)))


def without_strays(exercise: Exercise) -> CompingChart:
    """The chart without brackets and arrows that lead to another key, save to its first chord."""
    analysis = exercise.chart.analysis
    places = {index: place for place, one in enumerate(exercise.stations) for index in one.chords}
    homes = [(place, exercise.stations[place].round) for place in places.values()]
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
