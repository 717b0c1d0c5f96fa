"""The grips among which a plan may choose for one chord, with the numbers that moving needs.

Takes a chord, a player and a style (or a pinned row of frets), gives `Candidates`: the grips in
their order of preference, their strain, and arrays with one row for each grip and one column for
each finger (index first). String indices count from the lowest string, 0; −1 marks a finger that is
not used.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ...grammar.chord import Chord
from .fingering import Fingers, Frets, barres_of, fingerings, mutes_of
from .grip import Grip, Voicing
from .player import Player
from .strain import Strain, finger_frets, fret_table, strain_of, within_reach
from .voicing import voicings
from .wishes import Style

Numbers = NDArray[np.float64]
Places = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Candidates:
    """The grips for one chord and, row by row, what is known of them.

    `strain` in mm of effort, `position_mm` the place of the hand on the neck, `low` and `high` the
    outermost string indices of each finger, `fret` the fret it stands on, `along_mm` how far along
    the neck it stands from the hand position.
    """

    player: Player
    grips: tuple[Grip, ...]
    strain: Numbers
    position_mm: Numbers
    low: Places
    high: Places
    fret: Places
    along_mm: Numbers

    def only(self, rows: Iterable[int]) -> Candidates:
        """The candidates of these rows alone."""
        keep = list(rows)
        return Candidates(
            self.player, tuple(self.grips[row] for row in keep), self.strain[keep],
            self.position_mm[keep], self.low[keep], self.high[keep], self.fret[keep],
            self.along_mm[keep],
        )  # fmt: skip


@lru_cache(maxsize=2048)
def candidates(chord: Chord, player: Player, style: Style) -> Candidates:
    """All grips for a chord in a style, none where no hand can hold one."""
    return gathered(voicings(chord, player, style), player)


def gathered(found: Iterable[Voicing], player: Player) -> Candidates:
    """All grips for the voicings, the least strain first; ties by frets, then fingers.

    This order decides between plans of equal effort.
    """
    grips = [grip for voicing in found for grip in grips_of(voicing, player)]
    rows = [(strain(grip, player).total_mm, grip) for grip in grips]
    rows.sort(key=lambda row: (row[0], _filled(row[1].frets), _filled(row[1].fingers)))
    return _with_numbers(rows, player)


def grips_of(voicing: Voicing, player: Player) -> list[Grip]:
    """The voicing in every fingering that the player reaches."""
    frets = frets_of(voicing, player)
    stopped = [fret for fret in frets if fret]
    base = min(stopped, default=1) - 1
    shape = tuple(fret - base if fret else fret for fret in frets)
    return [
        Grip(voicing, frets, fingers, position_of(frets, fingers),
             barres_of(frets, fingers), mutes_of(frets, fingers))
        for fingers in fingerings(shape)
        if within_reach(frets, fingers, player)
    ]  # fmt: skip


def frets_of(voicing: Voicing, player: Player) -> Frets:
    """The frets of a voicing over all strings from the lowest."""
    count = len(player.neck.tuning)
    row: list[int | None] = [None] * count
    for note in voicing.notes:
        row[count - note.string] = note.fret
    return tuple(row)


def position_of(frets: Frets, fingers: Fingers) -> int:
    """The hand position: the fret under the index when the hand covers one fret a finger.

    A grip of open strings alone is held in first position.
    """
    lowest = min(finger_frets(frets, fingers).items(), default=(1, 1))
    return lowest[1] - (lowest[0] - 1)


def anchor_of(voicing: Voicing) -> int:
    """The fret that the window judges: the lowest root's, else the lowest note's."""
    roots = (note for note in voicing.notes if note.tone is not None and note.tone.degree == 1)
    return next(roots, voicing.notes[0]).fret


def strain(grip: Grip, player: Player) -> Strain:
    """What holding the grip costs this player, part by part."""
    unsaid = len(grip.voicing.omitted)
    return strain_of(grip.frets, grip.fingers, anchor_of(grip.voicing), player, unsaid)


def _filled(row: Frets) -> tuple[int, ...]:
    return tuple(99 if value is None else value for value in row)


def _with_numbers(rows: list[tuple[float, Grip]], player: Player) -> Candidates:
    grips = tuple(grip for _, grip in rows)
    table = fret_table(player.neck)
    position = [player.neck.fret_mm(grip.position) for grip in grips]
    low, high, fret, along = [], [], [], []
    for grip, hand in zip(grips, position, strict=True):
        at = finger_frets(grip.frets, grip.fingers)
        fingers = grip.fingers
        low.append([fingers.index(f) if f in at else -1 for f in (1, 2, 3, 4)])
        last = len(fingers) - 1
        high.append([last - fingers[::-1].index(f) if f in at else -1 for f in (1, 2, 3, 4)])
        fret.append([at.get(f, -1) for f in (1, 2, 3, 4)])
        along.append([table[at[f]] - hand if f in at else 0.0 for f in (1, 2, 3, 4)])
    shape = (len(grips), 4)
    return Candidates(
        player, grips, np.array([cost for cost, _ in rows]), np.array(position),
        np.array(low, dtype=np.int64).reshape(shape), np.array(high, dtype=np.int64).reshape(shape),
        np.array(fret, dtype=np.int64).reshape(shape), np.array(along).reshape(shape),
    )  # fmt: skip
