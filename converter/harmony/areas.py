"""Areas: stretches of chords that work together, such as a ii–V–I, a turnaround or a vamp.

Takes a timeline and a `Tune`, gives `Area`s in played order, a longer area before the areas inside
it. An area that a repeat plays again is listed once; a chord written several times in a row counts
once in the middle of an area.

The passages of a tune are the areas that a teacher would name: the set of areas, each beginning
where the one before ends or later, that covers the most bars with the fewest areas, found exactly
(weighted interval scheduling by dynamic programming). A blues is a passage besides. The other areas
are details inside or across them.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Sequence
from itertools import accumulate, chain
from math import ceil

from ...grammar.key import Key
from ...grammar.sheet import SheetChord
from ..timeline import Timeline
from .analysis import Area, AreaLevel
from .area_kinds import FINDERS, AreaMatch
from .keys import key_named, middle_of
from .tune import Tune

#: What a passage costs, in bars: two short areas are chosen only if they cover so much more.
PASSAGE_PRICE = 0.25
#: Sums that differ by less are equal.
_ALIKE = 1e-9
#: The kinds that last as long as their last chord does.
_STANDING = ("vamp", "pedal")
#: The kinds whose last chord only follows.
_FOLLOWED = ("borrowed iv", "common-tone diminished", "passing diminished")


def areas_of(
    timeline: Timeline, tune: Tune, names: dict[int, Key], kinds: Collection[str]
) -> tuple[Area, ...]:
    """The areas of some kinds in order of their first event, the longer first.

    `names` are keys already named.
    """
    found = chain.from_iterable(finder(tune) for finder in FINDERS)
    matches = [match for match in found if match.kind in kinds]
    passages = _passages(tune, matches)
    order = sorted(range(len(matches)), key=lambda at: _order(matches[at]))
    written = list(zip(timeline.sheet.bar_numbers, timeline.sheet.chords, strict=True))
    once: dict[tuple[str, tuple[int, ...]], Area] = {}
    for at in order:
        area = _area(timeline, written, tune, matches[at], names, at in passages)
        same = once.get((area.kind, area.chords))
        if same is None or (same.level != "passage" and area.level == "passage"):
            once[area.kind, area.chords] = area
    return tuple(once.values())


def _order(match: AreaMatch) -> tuple[int, int]:
    return match.events[0], -len(match.events)


def _passages(tune: Tune, matches: Sequence[AreaMatch]) -> set[int]:
    """The indices of the matches that are passages."""
    blues = {at for at, match in enumerate(matches) if match.kind == "blues"}
    others = [at for at in range(len(matches)) if at not in blues]
    before = list(accumulate([event.bars for event in tune.events] * 2, initial=0.0))
    return blues | {others[at] for at in best_spans([_span(matches[at]) for at in others], before)}


def best_spans(spans: Sequence[tuple[int, int]], bars: Sequence[float]) -> set[int]:
    """The indices of spans that do not overlap and cover the most bars, less the price of each.

    A span is its first event and the event after it; bars[event] are the bars before an event.
    best[k] is the most that the first k spans by their end can give; of equals the first counts.
    """
    order = sorted(range(len(spans)), key=lambda at: (spans[at][1], at))
    ends = [spans[at][1] for at in order]
    best, taken, before = [0.0], [], []
    for place, at in enumerate(order):
        start, end = spans[at]
        before.append(bisect_right(ends, start, 0, place))
        gain = best[before[place]] + bars[end] - bars[start] - PASSAGE_PRICE
        taken.append(gain > best[-1] + _ALIKE)
        best.append(max(gain, best[-1]))
    chosen, place = set(), len(order)
    while place:
        place -= 1
        if taken[place]:
            chosen.add(order[place])
            place = before[place]
    return chosen


def _span(match: AreaMatch) -> tuple[int, int]:
    """The first event of an area, and the event after it or its goal."""
    first, last = match.events[0], match.events[-1]
    if match.goal == last or match.kind in _FOLLOWED:
        last = match.events[-2]
    return first, last + 1


def _area(
    timeline: Timeline,
    written: Sequence[tuple[int, SheetChord]],
    tune: Tune,
    match: AreaMatch,
    names: dict[int, Key],
    is_passage: bool,
) -> Area:
    events = [tune.events[at % len(tune)] for at in match.events]
    indices = tuple(event.chords[0] for event in events)
    bars, chords = zip(*(written[at] for at in indices), strict=True)
    key = names.get(match.key)
    if key is None:
        roots = [chord.chord.root for chord in chords if chord.chord is not None]
        key = key_named(match.key, middle_of(roots))
    end = bars[-1]
    if match.kind in _STANDING:
        end = _bar_at(timeline, events[-1].start + events[-1].bars)
    goal = None if match.goal is None else tune.events[match.goal % len(tune)].chords[0]
    immediate = match.goal is None or match.goal <= match.events[-1] + 1
    level: AreaLevel = "passage" if is_passage else "detail"
    return Area(match.kind, key, indices, (bars[0], end), match.resolved, goal, immediate, level)


def _bar_at(timeline: Timeline, end: float) -> int:
    """The number of the bar that sounds right before a time in bars from the top of the form."""
    last = bisect_right(timeline.bars, ceil(end) - 1, key=lambda bar: bar.before) - 1
    return timeline.sheet.bars[timeline.bars[last].index].number
