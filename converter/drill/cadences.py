"""A tune's own ii–V–Is, those that read with the same numerals together.

Takes a finished chart, gives `Group`s, the most played first, ties in order of appearance.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from ...grammar.chord import Chord
from ..chart import CompingChart
from ..harmony.analysis import Area
from ..harmony.numerals import numeral_in

#: The kind of area that is taken round the keys.
CADENCE: Final = "ii-V-I"


@dataclass(frozen=True, slots=True)
class Group:
    """Areas with the same numerals, in order of their frequency; how often each is played."""

    romans: tuple[str, ...]
    areas: tuple[tuple[Area, int], ...]

    @property
    def played(self) -> int:
        """How often the tune plays it in all."""
        return sum(times for _, times in self.areas)

    @property
    def name(self) -> str:
        """Its numerals in a row, none twice: ii7–V7–I6."""
        return "–".join(_joined(self.romans))


def cadences_of(chart: CompingChart) -> list[Group]:
    """The tune's ii–V–Is by their numerals, the most played first, ties in order of appearance."""
    found: dict[tuple[str, ...], list[tuple[Area, int]]] = {}
    for area in chart.analysis.areas:
        if area.kind == CADENCE:
            romans = tuple(numeral_in(chord, area.key) for chord in chords_of(chart, area))
            times = min(chart.form.chords.count(index) for index in area.chords)
            found.setdefault(romans, []).append((area, times))
    groups = [Group(romans, _by_key(areas)) for romans, areas in found.items()]
    return sorted(groups, key=lambda group: -group.played)


def _by_key(areas: Sequence[tuple[Area, int]]) -> tuple[tuple[Area, int], ...]:
    """One area for each key, the first; how often they are played added up, the most first."""
    keys: dict[tuple[int, str], tuple[Area, int]] = {}
    for area, times in areas:
        sound = area.key.tonic.pitch_class, area.key.mode
        first, before = keys.get(sound, (area, 0))
        keys[sound] = first, before + times
    return tuple(sorted(keys.values(), key=lambda one: -one[1]))


def chords_of(chart: CompingChart, area: Area) -> tuple[Chord, ...]:
    """The chords of an area, in played order."""
    written = (chart.sheet.chords[index].chord for index in area.chords)
    return tuple(chord for chord in written if chord is not None)


def _joined(romans: Sequence[str]) -> Iterator[str]:
    """The numerals, none twice in a row."""
    before = ""
    for roman in romans:
        if roman != before:
            yield roman
        before = roman
