"""The grips among which a plan may choose for one chord, with the numbers that moving needs.

Takes a chord, a player and a style (or voicings), gives `Candidates`: the grips in their order of
preference, their strain, and arrays with one row for each grip and one column for each finger
(index first; −1 where it is not used). String indices count from the lowest string, 0.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ...grammar.chord import Chord
from ...grammar.sheet import Frets
from .grain import Numbers, Places, rounded
from .grip import Barre, Grip, Voicing
from .player import Player
from .shapes import FingeredShape, fingered, shape_and_base
from .strain import (
    PARTS,
    fret_table,
    shape_parts,
    spreads_mm,
    stretch_mm,
    window_mm,
    within_reach,
)
from .voicing import voicings
from .wishes import Style


@dataclass(frozen=True, slots=True, eq=False)
class Candidates:
    """The grips for one chord and, row by row, what is known of them.

    `parts` are the parts of strain in mm of effort and `strain` their rounded sum, `position_mm`
    the place of the hand on the neck, `low` and `high` the outermost string indices of each finger,
    `fret` the fret it stands on, `along_mm` how far along the neck it stands from the hand
    position.
    """

    player: Player
    grips: tuple[Grip, ...]
    parts: Numbers
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
            self.player, tuple(self.grips[row] for row in keep), self.parts[keep],
            self.strain[keep], self.position_mm[keep], self.low[:, keep], self.high[:, keep],
            self.fret[:, keep], self.along_mm[:, keep],
        )  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class _Block:
    """One voicing at its place: all fingerings of its shape, before reach is tested."""

    voicing: Voicing
    frets: Frets
    base: int
    shape: FingeredShape

    def grip(self, row: int) -> Grip:
        """The fingering of a row as a grip."""
        fingers = self.shape.fingers[row]
        position = int(self.shape.position[row]) + self.base
        barres = tuple(
            Barre(one.finger, one.fret + self.base, one.low, one.high)
            for one in self.shape.barres[row]
        )
        return Grip(self.voicing, self.frets, fingers, position, barres, self.shape.mutes[row])

    def own_parts(self, player: Player) -> tuple[float, float]:
        """The parts of strain that all fingerings of the voicing share: window and unsaid tones."""
        unsaid = player.effort.unsaid_mm * len(self.voicing.omitted)
        return window_mm(self.voicing.root.fret, player), unsaid


@lru_cache(maxsize=2048)
def candidates(chord: Chord, player: Player, style: Style) -> Candidates:
    """All grips for a chord in a style, none where no hand can hold one."""
    return gathered(voicings(chord, player, style), player)


def gathered(found: Iterable[Voicing], player: Player) -> Candidates:
    """All grips for the voicings, the least strain first; ties by frets, then fingers.

    This order decides between plans of equal effort.
    """
    blocks = [_block(voicing, player) for voicing in found]
    return _candidates([block for block in blocks if block.shape.fingers], player)


@lru_cache(maxsize=1024)
def holding(grip: Grip, player: Player) -> Candidates:
    """One grip alone. Raises ValueError when the player cannot hold it."""
    found = gathered([grip.voicing], player)
    return found.only([found.grips.index(grip)])


def _block(voicing: Voicing, player: Player) -> _Block:
    frets = _frets_of(voicing, player)
    shape, base = shape_and_base(frets)
    return _Block(voicing, frets, base, fingered(shape))


def _frets_of(voicing: Voicing, player: Player) -> Frets:
    """The frets of a voicing over all strings from the lowest."""
    count = len(player.neck.tuning)
    row: list[int | None] = [None] * count
    for note in voicing.notes:
        row[count - note.string] = note.fret
    return tuple(row)


def _filled(row: Frets) -> tuple[int, ...]:
    """A row that sorts, strings without a number last."""
    return tuple(99 if value is None else value for value in row)


def _candidates(blocks: list[_Block], player: Player) -> Candidates:
    """The rows of all blocks that are within reach, in their order of preference."""
    if not blocks:
        return _none(player)
    fret, parts, spreads = _numbers(blocks, player)
    cost = rounded(parts.sum(axis=1))
    order = _order(blocks, cost.tolist(), within_reach(spreads, player).tolist())
    keep = [at for at, _ in order]
    grips = tuple(grip for _, grip in order)
    low = np.concatenate([block.shape.low for block in blocks])[keep].T.copy()
    high = np.concatenate([block.shape.high for block in blocks])[keep].T.copy()
    fret = fret[keep].T.copy()
    hand = np.array([player.neck.fret_mm(grip.position) for grip in grips])
    along = np.where(fret >= 0, fret_table(player.neck)[np.maximum(fret, 0)] - hand, 0.0)
    return Candidates(player, grips, parts[keep], cost[keep], hand, low, high, fret, along)


def _numbers(blocks: list[_Block], player: Player) -> tuple[Places, Numbers, Numbers]:
    """For all fingerings of all blocks: frets of the fingers, parts of strain, spreads in mm."""
    rows = [len(block.shape.fingers) for block in blocks]
    base = np.repeat([block.base for block in blocks], rows)
    fret = np.concatenate([block.shape.fret for block in blocks])
    fret = np.where(fret >= 0, fret + base[:, None], -1)
    spreads = spreads_mm(fret, player.neck)
    parts = np.empty((len(fret), len(PARTS)))
    parts[:, 0] = stretch_mm(spreads, player)
    parts[:, 1:6] = np.concatenate([shape_parts(block.shape, player) for block in blocks])
    parts[:, 6:] = np.repeat([block.own_parts(player) for block in blocks], rows, axis=0)
    return fret, parts, spreads


def _order(blocks: list[_Block], cost: list[float], reached: list[bool]) -> list[tuple[int, Grip]]:
    """The rows within reach with their grips: least strain first, ties by frets, then fingers."""
    found = []
    at = 0
    for block in blocks:
        frets = _filled(block.frets)
        for row, fingers in enumerate(block.shape.fingers):
            if reached[at]:
                found.append(((cost[at], frets, _filled(fingers)), at, block.grip(row)))
            at += 1
    found.sort(key=lambda one: one[0])
    return [(at, grip) for _, at, grip in found]


def _none(player: Player) -> Candidates:
    numbers, places = np.zeros((4, 0)), np.zeros((4, 0), dtype=np.int64)
    nothing = numbers[0]
    return Candidates(
        player, (), np.zeros((0, len(PARTS))), nothing, nothing, places, places, places, numbers
    )
