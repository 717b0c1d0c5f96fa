"""Where the roots of each station lie: string set and octave, chosen exactly over all stations.

Takes the chords of each station, a player and what is asked for, gives the string and fret of every
root. Within a station the roots keep the taught pattern: each goes to the place nearest to the one
before it, so that a ii–V–I from string 6 has its roots on 6, 5, 6 at r, r, r − 2 and from string 5
on 5, 6, 5 at r, r − 2, r − 2 (common practice, no source). Between stations the natural place is
the nearest too. The choice is the least, in this order, of: leaps to another string set (only where
an octave's jump is asked for instead), frets outside the window, the way of the roots in frets, and
early departures, so that the hand stays in its set as long as the window lets it.

Strings are numbered from 6 down; frets from 1 (a taught shape has no open string as its root).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Final

from ...grammar.chord import Chord
from ..hand.candidates import candidates
from ..hand.choices import root_place
from ..hand.player import Player
from .values import DrillError

#: The strings that carry roots in a drill.
ROOT_STRINGS: Final = (6, 5)

#: A string and a fret.
Place = tuple[int, int]
#: Changes of string set where octaves are asked for, frets outside, way in frets, early departures.
Cost = tuple[int, int, int, int]
FREE: Final[Cost] = (0, 0, 0, 0)


@dataclass(frozen=True, slots=True)
class Lay:
    """What is asked of the string sets.

    `strings` is the string on which each round starts, None for any. `octave`: where the window
    runs out, jump an octave on the same strings if the neck has the frets.
    """

    strings: int | None = 6
    octave: bool = False


@dataclass(frozen=True, slots=True)
class Pattern:
    """The roots of one station; frets `outside` the window and the `way` of the roots in frets."""

    roots: tuple[Place, ...]
    outside: int
    way: int


@dataclass(frozen=True, slots=True)
class _Reached:
    """The least cost of the stations so far that ends in a pattern, and the one before it."""

    cost: Cost
    pattern: Pattern
    before: _Reached | None


def patterns(chords: Sequence[Chord], player: Player) -> tuple[Pattern, ...]:
    """The patterns of a station that the player can hold, one for each place of its first root.

    Where no unbroken one can be held, those whose roots go to the nearest place that can.
    """
    found = []
    for start in root_places(chords[0], player):
        roots = (start, *natural_roots(start, chords[1:], player))
        held = zip(roots, chords, strict=True)
        if all(root in root_places(chord, player) for root, chord in held):
            found.append(_pattern(roots, player.window))
    return tuple(found) or _broken_patterns(chords, player)


def _broken_patterns(chords: Sequence[Chord], player: Player) -> tuple[Pattern, ...]:
    rows = [root_places(chord, player) for chord in chords]
    if not all(rows):
        return ()
    found = []
    for start in rows[0]:
        roots = [start]
        for places in rows[1:]:
            roots.append(_nearest(roots[-1], places))
        found.append(_pattern(tuple(roots), player.window))
    return tuple(found)


@lru_cache(maxsize=1024)
def root_places(chord: Chord, player: Player) -> tuple[Place, ...]:
    """Where a player can have the root of a chord's shell on the strings for roots."""
    held = {root_place(grip.voicing) for grip in candidates(chord, player, "shell").grips}
    return tuple(sorted(place for place in held if place[0] in ROOT_STRINGS and place[1] > 0))


def natural_roots(before: Place, chords: Sequence[Chord], player: Player) -> tuple[Place, ...]:
    """The roots if each went to the nearest place from `before` on, playable or not."""
    neck, roots = player.neck, [before]
    for chord in chords:
        places = [
            (string, fret)
            for string in ROOT_STRINGS
            for fret in range(neck.last_fret + 1)
            if (neck.tuning[len(neck.tuning) - string] + fret - chord.root.pitch_class) % 12 == 0
        ]
        roots.append(_nearest(roots[-1], places))
    return tuple(roots[1:])


def _nearest(before: Place, places: Sequence[Place]) -> Place:
    """The nearest place, the lower one of two."""
    return min(places, key=lambda place: (abs(place[1] - before[1]), place[1]))


def _pattern(roots: tuple[Place, ...], window: tuple[int, int]) -> Pattern:
    low, high = window
    outside = sum(max(low - fret, fret - high, 0) for _, fret in roots)
    return Pattern(roots, outside, sum(abs(b[1] - a[1]) for a, b in pairwise(roots)))


def choose_places(
    stations: Sequence[tuple[Chord, ...]], firsts: Sequence[bool], lay: Lay, player: Player
) -> tuple[tuple[Place, ...], ...]:
    """The roots of every station; `firsts` marks those that begin a round.

    Raises DrillError when a station can be held nowhere, or a round not start where it is asked to.
    """
    ends: list[_Reached] = []
    for at, (chords, first) in enumerate(zip(stations, firsts, strict=True)):
        row = _allowed(chords, lay.strings if first else None, player)
        late = len(stations) - at
        ends = [_best_way(ends, pattern, (chords[0], first, late), lay, player) for pattern in row]
    return _traced(min(ends, key=lambda end: end.cost))


def _allowed(chords: tuple[Chord, ...], string: int | None, player: Player) -> list[Pattern]:
    """The patterns of a station, on the string that its round starts on."""
    found = patterns(chords, player)
    if not found:
        names = ", ".join(map(str, chords))
        raise DrillError(
            f"no hand of this reach can hold {names} with roots on strings 6 and 5: let the "
            "planner choose the strings"
        )
    row = [one for one in found if string in (None, one.roots[0][0])]
    if not row:
        raise DrillError(
            f"{chords[0]} cannot be held with its root on string {string} by a hand of this reach: "
            "start on the other string, or let the planner choose"
        )
    return row


def _best_way(
    ends: Sequence[_Reached], goal: Pattern, station: tuple[Chord, bool, int], lay: Lay,
    player: Player,
) -> _Reached:  # fmt: skip
    """The cheapest way to a pattern of a station: its first chord, whether a round begins, late."""
    if not ends:
        return _Reached(_sum(FREE, (0, goal.outside, goal.way, 0)), goal, None)
    reached = []
    for end in ends:
        cost = _leg(end.pattern.roots[-1], goal, station, lay, player)
        reached.append((_sum(end.cost, cost), end))
    cost, before = min(reached, key=lambda one: one[0])
    return _Reached(cost, goal, before)


def _leg(
    before: Place, goal: Pattern, station: tuple[Chord, bool, int], lay: Lay, player: Player
) -> Cost:
    chord, first, late = station
    start = goal.roots[0]
    (natural,) = natural_roots(before, (chord,), player)
    leaves = not first and start != natural
    changes = lay.octave and not first and start[0] != natural[0]
    way = abs(start[1] - before[1]) + goal.way
    return int(changes), goal.outside, way, late if leaves else 0


def _sum(one: Cost, other: Cost) -> Cost:
    return one[0] + other[0], one[1] + other[1], one[2] + other[2], one[3] + other[3]


def _traced(end: _Reached) -> tuple[tuple[Place, ...], ...]:
    found: list[tuple[Place, ...]] = []
    at: _Reached | None = end
    while at is not None:
        found.append(at.pattern.roots)
        at = at.before
    return tuple(reversed(found))
