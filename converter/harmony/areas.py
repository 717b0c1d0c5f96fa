"""Areas: stretches of chords that work together, as a student should see them.

Takes the sheet and the heard `Tune`, gives `Area`s in played order; each kind is found from goals and
functions that are already known. An area that a repeat plays again is listed once. Chords are
written-chord indices in played order; a chord written several times in a row counts once in the
middle of an area. `bars` are the bars of the first and the last chord, which lies before the
first where an area reaches round the loop to the top.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import chain
from typing import Final

from ...grammar.key import Key
from ...grammar.sheet import Sheet
from .analysis import Area
from .area_kinds import AREA_KINDS
from .cadences import cadences, dominant_chains, turnarounds, two_five_chains
from .colours import blues, borrowed_fourths, diminished, pedals, vamps
from .found import Found, Tune
from .spelling import key_named, middle_of

_FINDERS: Final[tuple[Callable[[Tune], Iterator[Found]], ...]] = (
    blues, turnarounds, two_five_chains, dominant_chains, cadences,
    diminished, borrowed_fourths, pedals, vamps,
)  # fmt: skip


def areas_of(sheet: Sheet, tune: Tune, names: dict[int, Key]) -> tuple[Area, ...]:
    """All areas, the earlier first, the wider before what it contains; `names` are keys named already."""
    found = list(chain.from_iterable(finder(tune) for finder in _FINDERS))
    found.sort(key=lambda area: (area.events[0], -len(area.events)))
    bars = [bar.number for bar in sheet.bars for _ in bar.chords]
    areas = (_area(sheet, tune, area, names, bars) for area in found)
    return tuple(
        {(area.kind, area.key, area.chords): area for area in reversed([*areas])}.values()
    )[::-1]


def _area(sheet: Sheet, tune: Tune, found: Found, names: dict[int, Key], bars: list[int]) -> Area:
    chords = tuple(tune.events[at % len(tune)].chords[0] for at in found.events)
    written = sheet.chords
    key = names.get(found.key)
    if key is None:
        roots = [chord.root for at in chords if (chord := written[at].chord) is not None]
        key = key_named(found.key, middle_of(roots))
    texts = [written[at].text for at in chords]
    sentence = AREA_KINDS[found.kind][0 if found.resolved else 1].format(
        key=key, first=texts[0], middle=texts[max(0, len(texts) - 2)], last=texts[-1]
    )
    return Area(
        found.kind, key, chords, (bars[chords[0]], bars[chords[-1]]), found.resolved, sentence
    )
