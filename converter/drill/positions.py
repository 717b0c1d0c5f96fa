"""The string and fret of every root of a drill, chosen exactly over all stations.

Takes the chords of each station, a player and a choice of strings, gives the position of every
root. Within a station the roots keep the usual pattern: a root a fourth above the one before, a
semitone below it, or the same, is at the nearest position, so that a ii–V–I from string 6 has its
roots on 6, 5, 6 at r, r, r − 2 and from string 5 on 5, 6, 5 at r, r − 2, r − 2 (common practice, no
source). From one station to the next the nearest position is preferred too, but the hand may leave
it.

The choice has the least `Cost` over all stations together (a shortest path through the positions of
each chord). One fret outside the window costs less than a start on another string than was asked
for, more frets cost more than that, because roots go a fret lower or higher where needed (common
practice, no source). Of equal ways the one that stays in its strings longest is taken.

Strings are numbered from 6 down; frets from 1 (the root of a usual shape is no open string).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import accumulate, pairwise
from operator import add
from typing import Final

from ...grammar.chord import Chord
from ...grammar.frozen import frozen
from ..hand.costs import candidates
from ..hand.player import Player
from .drill import DrillError

#: The strings that carry roots in a drill.
ROOT_STRINGS: Final = (6, 5)
#: The number of frets outside the window that cost less than a start on another string.
TOLERANCE_FRETS: Final = 1
#: Semitones up to the next root for which the pattern is kept: none, a fourth, a semitone down.
PATTERN_SEMITONES: Final = frozenset({0, 5, 11})

#: The most unplayable chords that a message names.
MOST_NAMED: Final = 4

#: A string and a fret.
FretPosition = tuple[int, int]
#: In order of weight: broken patterns; where octaves are asked for, changes of string set; frets
#: beyond the tolerance outside the window; rounds that start on another string than was asked for;
#: frets outside the window; frets that the roots travel; stations left after each move that is not
#: to the nearest position.
Cost = tuple[int, ...]


@frozen
class StringChoice:
    """How the roots of a drill lie on the strings.

    `start` is the string on which each round starts, None where the planner chooses all roots.
    `octave`: where the window runs out, jump an octave on the same strings if the neck has the
    frets.
    """

    start: int | None = 6
    octave: bool = False


@frozen
class _ChordStep:
    """One chord in played order.

    `semitones_up` is the interval from the root before to its root, 0 to 11. `stations_left` counts
    the stations from its own on.
    """

    chord: Chord
    semitones_up: int
    first_of_station: bool
    first_of_round: bool
    stations_left: int


@frozen
class _Path:
    """The cheapest path through the chords so far that ends at a position."""

    cost: Cost
    position: FretPosition
    before: _Path | None


def choose_roots(
    stations: Sequence[tuple[Chord, ...]],
    firsts: Sequence[bool],
    choice: StringChoice,
    player: Player,
) -> tuple[tuple[FretPosition, ...], ...]:
    """The roots of every station; `firsts` marks those that begin a round.

    Raises DrillError naming every chord that cannot be held with its root on these strings.
    """
    steps = _chord_steps(stations, firsts)
    _check_playable(steps, player)
    ends: list[_Path | None] = [None]
    for step in steps:
        ends = [
            min((_extended_path(end, position, step, choice, player) for end in ends), key=_by_cost)
            for position in root_positions(step.chord, player)
        ]
    positions = _positions_of_best(ends)
    cuts = [0, *accumulate(len(chords) for chords in stations)]
    return tuple(positions[start:stop] for start, stop in pairwise(cuts))


def _by_cost(path: _Path) -> Cost:
    return path.cost


def _chord_steps(stations: Sequence[tuple[Chord, ...]], firsts: Sequence[bool]) -> list[_ChordStep]:
    steps: list[_ChordStep] = []
    root = stations[0][0].root.pitch_class
    for number, (chords, first) in enumerate(zip(stations, firsts, strict=True)):
        for at, chord in enumerate(chords):
            up = (chord.root.pitch_class - root) % 12
            steps.append(_ChordStep(chord, up, at == 0, at == 0 and first, len(stations) - number))
            root = chord.root.pitch_class
    return steps


def _check_playable(steps: Sequence[_ChordStep], player: Player) -> None:
    positions = {step.chord: root_positions(step.chord, player) for step in steps}
    unplayable = [str(chord) for chord, choices in positions.items() if not choices]
    if unplayable:
        more = f" and {len(unplayable) - MOST_NAMED} more" if len(unplayable) > MOST_NAMED else ""
        raise DrillError(
            f"no hand of this reach can hold {', '.join(unplayable[:MOST_NAMED])}{more} with the "
            "root on string 6 or 5: let the planner choose the strings"
        )


def _extended_path(
    end: _Path | None,
    position: FretPosition,
    step: _ChordStep,
    choice: StringChoice,
    player: Player,
) -> _Path:
    """The path extended by a position."""
    low, high = player.window
    outside = max(low - position[1], position[1] - high, 0)
    other_start = int(step.first_of_round and choice.start not in (None, position[0]))
    broken = changes = travel = left_after_move = 0
    if end is not None:
        nearest = nearest_position(end.position, step.chord, player)
        travel = abs(position[1] - end.position[1])
        if not step.first_of_station:
            broken = int(position != nearest and step.semitones_up in PATTERN_SEMITONES)
        elif not step.first_of_round:
            changes = int(choice.octave and position[0] != nearest[0])
            left_after_move = step.stations_left if position != nearest else 0
    if choice.octave:
        changes += other_start
    cost = (
        broken,
        changes,
        max(outside - TOLERANCE_FRETS, 0),
        other_start,
        outside,
        travel,
        left_after_move,
    )
    return _Path(cost if end is None else tuple(map(add, end.cost, cost)), position, end)


def _positions_of_best(ends: Sequence[_Path | None]) -> tuple[FretPosition, ...]:
    paths = [end for end in ends if end is not None]
    path: _Path | None = min(paths, key=_by_cost, default=None)
    positions: list[FretPosition] = []
    while path is not None:
        positions.append(path.position)
        path = path.before
    return tuple(reversed(positions))


@lru_cache(maxsize=1024)
def root_positions(chord: Chord, player: Player) -> tuple[FretPosition, ...]:
    """The positions where a player can hold the root of a chord's shell on string 6 or 5."""
    grips = candidates(chord, player, "shell").grips
    held = {grip.voicing.root.fret_position for grip in grips}
    return tuple(sorted(at for at in held if at[0] in ROOT_STRINGS and at[1] > 0))


def nearest_position(before: FretPosition, chord: Chord, player: Player) -> FretPosition:
    """The position of a chord's root nearest to another, the lower of two, on the neck or off it.

    A fret below 0 means that the pattern does not fit on the neck.
    """
    tuning = player.neck.tuning
    positions = []
    for string in ROOT_STRINGS:
        here = before[1] + tuning[len(tuning) - string]
        up = (chord.root.pitch_class - here) % 12
        positions += [(string, before[1] + up - 12), (string, before[1] + up)]
    return min(positions, key=lambda position: (abs(position[1] - before[1]), position[1]))


def nearest_roots(
    before: FretPosition, chords: Sequence[Chord], player: Player
) -> tuple[FretPosition, ...]:
    """The roots if each went to the nearest position, from `before` on."""
    roots = [before]
    for chord in chords:
        roots.append(nearest_position(roots[-1], chord, player))
    return tuple(roots[1:])
