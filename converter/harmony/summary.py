"""What one tune, or a folder of them, exercises: keys visited, ii–V–Is to practise, kinds of areas.

Takes analyses, gives a `Summary`; every list has the most frequent first, ties in order of
appearance. Enharmonic keys are one key, under the name that is met first.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from ...grammar.key import Key
from .analysis import Analysis


@dataclass(frozen=True, slots=True)
class Summary:
    """`keys` counts chords read in each key, `two_five_ones` the ii–V–Is in each, `kinds` areas.

    `tunes` is how many analyses were counted.
    """

    tunes: int
    keys: tuple[tuple[Key, int], ...]
    two_five_ones: tuple[tuple[Key, int], ...]
    kinds: tuple[tuple[str, int], ...]


def summarise(analyses: Iterable[Analysis]) -> Summary:
    """The totals over one or several analyses."""
    tunes, chords, cadences, kinds = 0, _KeyCount(), _KeyCount(), Counter[str]()
    for analysis in analyses:
        tunes += 1
        chords.add(reading.key for reading in analysis.readings if reading is not None)
        cadences.add(area.key for area in analysis.areas if area.kind == "ii-V-I")
        kinds.update(area.kind for area in analysis.areas)
    return Summary(tunes, chords.most(), cadences.most(), tuple(kinds.most_common()))


class _KeyCount:
    """Counts keys by sound, named as first met."""

    def __init__(self) -> None:
        self._counts: Counter[tuple[int, str]] = Counter()
        self._names: dict[tuple[int, str], Key] = {}

    def add(self, keys: Iterable[Key]) -> None:
        for key in keys:
            sound = (key.tonic.pitch_class, key.mode)
            self._names.setdefault(sound, key)
            self._counts[sound] += 1

    def most(self) -> tuple[tuple[Key, int], ...]:
        return tuple((self._names[sound], count) for sound, count in self._counts.most_common())
