"""Areas: stretches of chords that work together, as a student should see them.

Takes the sheet and the heard `Tune`, gives `Area`s in played order; each kind is found from goals
and functions that are already known. An area that a repeat plays again is listed once. Chords are
written-chord indices in played order; a chord written several times in a row counts once in the
middle of an area. `bars` are the bars of the first and the last chord, which lies before the first
where an area reaches round the loop to the top.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import chain
from typing import Final

from ...grammar.key import Key
from ...grammar.sheet import Sheet, SheetChord
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
    """All areas, the earlier first, the wider before its parts; `names` are keys already named."""
    found = list(chain.from_iterable(finder(tune) for finder in _FINDERS))
    found.sort(key=lambda area: (area.events[0], -len(area.events)))
    written = [(bar.number, chord) for bar in sheet.bars for chord in bar.chords]
    areas = (_area(written, tune, area, names) for area in found)
    once: dict[tuple[str, tuple[int, ...]], Area] = {}
    for area in areas:
        once.setdefault((area.kind, area.chords), area)
    return tuple(once.values())


def _area(
    written: list[tuple[int, SheetChord]], tune: Tune, found: Found, names: dict[int, Key]
) -> Area:
    indices = tuple(tune.events[at % len(tune)].chords[0] for at in found.events)
    bars, chords = zip(*(written[at] for at in indices), strict=True)
    key = names.get(found.key)
    if key is None:
        roots = [chord.chord.root for chord in chords if chord.chord is not None]
        key = key_named(found.key, middle_of(roots))
    aim = _aim(tune, found)
    goal = None if aim is None else tune.events[aim % len(tune)].chords[0]
    sentence = (
        AREA_KINDS[found.kind]
        .of(found.resolved, at_once=aim is not None and aim <= found.events[-1] + 1)
        .format(
            key=key,
            first=chords[0].chord,
            middle=chords[-2:][0].chord,
            last=chords[-1].chord,
            goal="" if goal is None else written[goal][1].chord,
        )
    )
    return Area(found.kind, key, indices, (bars[0], bars[-1]), found.resolved, sentence, goal)


def _aim(tune: Tune, found: Found) -> int | None:
    """The event that the last dominant of an area resolves to.

    An area may hold its goal as its last chord, even where that is a dominant with a goal of its
    own (`Eb7 D7`: Eb7 reaches D7).
    """
    if not found.resolved:
        return None
    aims = [_goal_of(tune, at) for at in found.events]
    if found.events[-1] in aims[:-1]:
        return found.events[-1]
    return next((aim for aim in reversed(aims) if aim is not None), None)


def _goal_of(tune: Tune, at: int) -> int | None:
    """What an event of this or the next chorus resolves to, counted on in the same way."""
    goal = tune.said[at % len(tune)].goal
    return None if goal is None else goal + at // len(tune) * len(tune)
