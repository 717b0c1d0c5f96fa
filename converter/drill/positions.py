"""Where the roots of each station lie: string set and octave, chosen exactly over all stations.

Takes the chords of each station, a player and what is asked for, gives the string and fret of every
root. Within a station the roots keep the taught pattern: one that goes up a fourth, down a semitone
or stays goes to the nearest place there is, so that a ii–V–I from string 6 has its roots on 6, 5, 6
at r, r, r − 2 and from string 5 on 5, 6, 5 at r, r − 2, r − 2 (common practice, no source). From
one station to the next the natural place is the nearest too, but the hand may leave it.

The choice is the least, in the order of `Cost`, over all stations together (a shortest path through
the places of each chord). A little outside the window counts less than starting on the string that
was asked for, more counts for more, because roots go a fret lower or higher where needed (common
practice, no source); of equal ways the one that stays in its strings longest.

Strings are numbered from 6 down; frets from 1 (a taught shape has no open string as its root).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate, pairwise
from operator import add
from typing import Final

from ...grammar.chord import Chord
from ..hand.costs import candidates
from ..hand.player import Player
from .drill import DrillError

#: The strings that carry roots in a drill.
ROOT_STRINGS: Final = (6, 5)
#: So many frets outside the window are a little.
A_LITTLE: Final = 1
#: Semitones upwards by which a root goes to the nearest place: it stays, a fourth, a semitone down.
TIED: Final = frozenset({0, 5, 11})

#: So many chords are named that no hand can hold.
SHOWN: Final = 4

#: A string and a fret.
FretPosition = tuple[int, int]
#: Broken patterns; where octaves are asked for, changes of string set; frets more than a little
#: outside the window; rounds that start on another string than was asked for; frets outside; the
#: way of the roots in frets; how early the natural place is left.
Cost = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class StringChoice:
    """What is asked of the string sets.

    `strings` is the string on which each round starts, None where the planner chooses all roots.
    `octave`: where the window runs out, jump an octave on the same strings if the neck has the
    frets.
    """

    strings: int | None = 6
    octave: bool = False


@dataclass(frozen=True, slots=True)
class _Spot:
    """One chord on its way.

    `up` is how far its root lies above the one before, in semitones. `leads`: it is the first of
    its station, `opens`: of its round. `left` counts the stations from it on.
    """

    chord: Chord
    up: int
    leads: bool
    opens: bool
    left: int


@dataclass(frozen=True, slots=True)
class _Reached:
    """The least cost of the chords so far that ends at a place, and the step before it."""

    cost: Cost
    place: FretPosition
    before: _Reached | None


def choose_places(
    stations: Sequence[tuple[Chord, ...]], firsts: Sequence[bool], lay: StringChoice, player: Player
) -> tuple[tuple[FretPosition, ...], ...]:
    """The roots of every station; `firsts` marks those that begin a round.

    Raises DrillError naming every chord that cannot be held with its root on these strings.
    """
    spots = _spots(stations, firsts)
    _check(spots, player)
    ends: list[_Reached | None] = [None]
    for spot in spots:
        ends = [
            min((_step(end, place, spot, lay, player) for end in ends), key=_by_cost)
            for place in root_places(spot.chord, player)
        ]
    places = _traced(ends)
    cuts = [0, *accumulate(len(chords) for chords in stations)]
    return tuple(places[start:stop] for start, stop in pairwise(cuts))


def _by_cost(reached: _Reached) -> Cost:
    return reached.cost


def _spots(stations: Sequence[tuple[Chord, ...]], firsts: Sequence[bool]) -> list[_Spot]:
    spots: list[_Spot] = []
    root = stations[0][0].root.pitch_class
    for place, (chords, first) in enumerate(zip(stations, firsts, strict=True)):
        for at, chord in enumerate(chords):
            up = (chord.root.pitch_class - root) % 12
            spots.append(_Spot(chord, up, at == 0, at == 0 and first, len(stations) - place))
            root = chord.root.pitch_class
    return spots


def _check(spots: Sequence[_Spot], player: Player) -> None:
    held = {spot.chord: root_places(spot.chord, player) for spot in spots}
    lost = [str(chord) for chord, places in held.items() if not places]
    if lost:
        more = f" and {len(lost) - SHOWN} more" if len(lost) > SHOWN else ""
        raise DrillError(
            f"no hand of this reach can hold {', '.join(lost[:SHOWN])}{more} with the root on "
            "string 6 or 5: let the planner choose the strings"
        )


def _step(
    end: _Reached | None, place: FretPosition, spot: _Spot, lay: StringChoice, player: Player
) -> _Reached:
    """One place reached from another."""
    low, high = player.window
    outside = max(low - place[1], place[1] - high, 0)
    missed = int(spot.opens and lay.strings not in (None, place[0]))
    broken = changes = way = late = 0
    if end is not None:
        natural = natural_place(end.place, spot.chord, player)
        way = abs(place[1] - end.place[1])
        if not spot.leads:
            broken = int(place != natural and spot.up in TIED)
        elif not spot.opens:
            changes = int(lay.octave and place[0] != natural[0])
            late = spot.left if place != natural else 0
    if lay.octave:
        changes += missed
    cost = broken, changes, max(outside - A_LITTLE, 0), missed, outside, way, late
    return _Reached(cost if end is None else tuple(map(add, end.cost, cost)), place, end)


def _traced(ends: Sequence[_Reached | None]) -> tuple[FretPosition, ...]:
    reached = [end for end in ends if end is not None]
    at: _Reached | None = min(reached, key=_by_cost, default=None)
    found: list[FretPosition] = []
    while at is not None:
        found.append(at.place)
        at = at.before
    return tuple(reversed(found))


@lru_cache(maxsize=1024)
def root_places(chord: Chord, player: Player) -> tuple[FretPosition, ...]:
    """Where a player can have the root of a chord's shell on the strings for roots."""
    held = {grip.voicing.root.place for grip in candidates(chord, player, "shell").grips}
    return tuple(sorted(place for place in held if place[0] in ROOT_STRINGS and place[1] > 0))


def natural_place(before: FretPosition, chord: Chord, player: Player) -> FretPosition:
    """The place of a chord's root nearest to another place, the lower of two, on the neck or off.

    A fret below 0 says that the pattern runs off the neck.
    """
    tuning = player.neck.tuning
    places = []
    for string in ROOT_STRINGS:
        here = before[1] + tuning[len(tuning) - string]
        up = (chord.root.pitch_class - here) % 12
        places += [(string, before[1] + up - 12), (string, before[1] + up)]
    return min(places, key=lambda place: (abs(place[1] - before[1]), place[1]))


def natural_roots(
    before: FretPosition, chords: Sequence[Chord], player: Player
) -> tuple[FretPosition, ...]:
    """The roots if each went to its natural place, from `before` on."""
    roots = [before]
    for chord in chords:
        roots.append(natural_place(roots[-1], chord, player))
    return tuple(roots[1:])
