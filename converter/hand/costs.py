"""The grips among which a plan chooses, and their costs, in mm of effort.

Takes a chord, a player and a style, gives `Candidates`: grips with their strain (a cost for each
stroke) and the placement of hand and fingers; takes two `Candidates`, gives the price of voices
that their changes should lead by step. Prices are those of `Effort`. Spread is measured along the
neck between frets; string indices count from the lowest string, 0.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

import numpy as np

from ...grammar.chord import Chord, Tone
from ...grammar.frozen import frozen
from ...grammar.sheet import Fingers, Frets
from .finger_rules import LITTLE
from .fingerings import (
    Fingering,
    count_prices,
    finger_frets,
    fingering_of,
    fingering_with,
    shape_and_base,
)
from .grip import Barre, Grip, Voicing
from .leading import Lead
from .plan import Style
from .player import MAIN_FACTOR, Player
from .quantization import FloatArray, IntArray, quantize
from .reach import spreads_mm, stretch_mm
from .travel import HandPlacement, hand_placement
from .voicings import voicing_lists

#: The parts of strain in column order; `Effort` describes them.
PARTS = (
    "stretch_mm", "crowding_mm", "little_finger_mm", "barre_mm", "unmuted_mm", "window_mm",
    "unsaid_mm",
)  # fmt: skip


def window_mm(fret: int, player: Player) -> float:
    """The cost of a lowest note at a fret outside the player's window; 0 inside it."""
    low, high = player.window
    outside = max(low - fret, fret - high, 0)
    if outside == 0:
        return 0.0
    return player.effort.tolerable_mm + player.effort.outside_mm * (outside - 1)


def unsaid_mm(voicing: Voicing, player: Player) -> float:
    """The cost of the tones that a symbol names and a voicing leaves out."""
    sounding = {note.tone for note in voicing.notes}
    weights = (MAIN_FACTOR if _is_main(tone, sounding) else 1 for tone in voicing.omitted)
    return player.effort.unsaid_mm * sum(weights)


def _is_main(omitted: Tone, sounding: set[Tone | None]) -> bool:
    """Whether a chord turns on a tone that a voicing leaves out (see `MAIN_FACTOR`)."""
    if omitted.degree == 7:
        return Tone(5, -1) in sounding or (omitted == Tone(7, -1) and Tone(3) in sounding)
    return omitted.degree == 5


@frozen(eq=False)
class Candidates:
    """The grips for one chord with their costs, one row for each grip.

    `parts` are the parts of strain in mm of effort (columns as in `PARTS`), `strain` their
    quantized sum.
    """

    player: Player
    grips: tuple[Grip, ...]
    parts: FloatArray
    strain: FloatArray
    placement: HandPlacement

    def only(self, rows: Iterable[int]) -> Candidates:
        """The candidates in these rows."""
        keep = list(rows)
        return Candidates(
            self.player, tuple(self.grips[row] for row in keep), self.parts[keep],
            self.strain[keep], self.placement.only(keep),
        )  # fmt: skip


@frozen(eq=False)
class _Block:
    """A voicing with its fingering, whose shape lies `base` frets higher."""

    voicing: Voicing
    frets: Frets
    base: int
    fingering: Fingering

    @property
    def grip(self) -> Grip:
        """Voicing and fingering as a grip."""
        one = self.fingering
        barres = tuple(
            Barre(barre.finger, barre.fret + self.base, barre.low, barre.high)
            for barre in one.barres
        )
        position = one.position + self.base
        return Grip(self.voicing, self.frets, one.fingers, position, barres, one.mutes)


def candidates(chord: Chord, player: Player, style: Style, in_line: bool = False) -> Candidates:
    """All grips for a chord in a style; none if the player can hold none.

    If no grip of the style lies inside the player's window, the shells that do are among them.
    `in_line`: the chord is part of a line on its root (see `voicings`).
    """
    return _known_candidates(chord, player, style, in_line)


@lru_cache(maxsize=2048)
def _known_candidates(chord: Chord, player: Player, style: Style, in_line: bool) -> Candidates:
    # A cache of its own: one of `candidates` would keep a call without `in_line` apart.
    lists = voicing_lists(chord, player, style, in_line)
    listed = next(lists, ())
    choice = gathered(listed, player)
    for more in lists:
        if choice.grips and (_has_inside(choice) or style == "shell"):
            break
        wider = gathered(dict.fromkeys((*listed, *more)), player)
        if _has_inside(wider) or not choice.grips:
            return wider
    return choice


def _has_inside(choice: Candidates) -> bool:
    """Whether a grip lies inside the window of its player."""
    return bool((choice.parts[:, PARTS.index("window_mm")] == 0).any())


def gathered(voicings: Iterable[Voicing], player: Player) -> Candidates:
    """The grips for the voicings within reach, the least strain first.

    At equal strain those with the root come first, then it goes by frets. Of plans with equal
    effort the planner takes the first grips in this order.
    """
    fingerings = (
        (voicing, fingering_of(frets_of(voicing, player), player)) for voicing in voicings
    )
    return _candidates(
        [_block(voicing, found, player) for voicing, found in fingerings if found is not None],
        player,
    )


def pinned(voicing: Voicing, fingers: Fingers | None, player: Player) -> Candidates:
    """The one grip for a pinned voicing, none if it is out of reach.

    None for `fingers` is the player's own choice of them; other fingers bind at any reach.
    """
    frets = frets_of(voicing, player)
    if fingers is None:
        found = fingering_of(frets, player, pinned=True)
    else:
        found = fingering_with(shape_and_base(frets)[0], fingers)
    return _candidates([] if found is None else [_block(voicing, found, player)], player)


def _block(voicing: Voicing, fingering: Fingering, player: Player) -> _Block:
    frets = frets_of(voicing, player)
    return _Block(voicing, frets, shape_and_base(frets)[1], fingering)


def frets_of(voicing: Voicing, player: Player) -> Frets:
    """The frets of a voicing over all strings from the lowest."""
    count = len(player.neck.tuning)
    row: list[int | None] = [None] * count
    for note in voicing.notes:
        row[count - note.string] = note.fret
    return tuple(row)


def _candidates(blocks: list[_Block], player: Player) -> Candidates:
    """The grips of all blocks in their order of preference."""
    if not blocks:
        return _none(player)
    fret = np.array([finger_frets(block.fingering, block.base) for block in blocks], dtype=np.int64)
    parts = _parts(blocks, fret, player)
    cost = quantize(parts.sum(axis=1))
    costs = cost.tolist()
    ties = [(_lacks_root(block.voicing), _filled(block.frets)) for block in blocks]
    keep = sorted(range(len(blocks)), key=lambda at: (costs[at], ties[at]))
    grips = tuple(blocks[at].grip for at in keep)
    low = np.array([blocks[at].fingering.low for at in keep], dtype=np.int64).T.copy()
    high = np.array([blocks[at].fingering.high for at in keep], dtype=np.int64).T.copy()
    positions = [grip.position for grip in grips]
    placement = hand_placement(positions, (low, high, fret[keep].T.copy()), player.neck)
    return Candidates(player, grips, parts[keep], cost[keep], placement)


def _lacks_root(voicing: Voicing) -> bool:
    return all(note.tone is None or note.tone.degree != 1 for note in voicing.notes)


def _filled(row: Frets) -> tuple[int, ...]:
    """Frets as a sort key, in which silent strings come last."""
    return tuple(99 if value is None else value for value in row)


def _parts(blocks: list[_Block], fret: IntArray, player: Player) -> FloatArray:
    """The parts of strain of each block, whose fingers are on the frets `fret`."""
    counts = np.array([block.fingering.counts for block in blocks]) * count_prices(player.effort)
    window = [window_mm(block.voicing.bass.fret, player) for block in blocks]
    unsaid = [unsaid_mm(block.voicing, player) for block in blocks]
    stretch = stretch_mm(spreads_mm(fret, player.neck), player)
    barres = counts[:, 2] + counts[:, 3]
    return np.column_stack((stretch, counts[:, :2], barres, counts[:, 4], window, unsaid))


def _none(player: Player) -> Candidates:
    nothing, fingers = np.zeros(0), np.zeros((LITTLE, 0), dtype=np.int64)
    placement = hand_placement([], (fingers, fingers, fingers), player.neck)
    return Candidates(player, (), np.zeros((0, len(PARTS))), nothing, placement)


#: Stands in a row of frets for a string without the note; no fret lies so far from another.
_NO_NOTE = -99


@lru_cache(maxsize=4096)
def lead_matrix(start: Candidates, goal: Candidates, lead: Lead) -> FloatArray:
    """The price of every move in which a voice that should move by step does not, in mm; else 0."""
    before = _voice_frets(start, lead.start, lead.lowest)[:, None, :]
    after = _voice_frets(goal, lead.goal, lead.lowest)[None, :, :]
    led = ((before + lead.step == after) & (before != _NO_NOTE)).any(axis=2)
    effort = start.player.effort
    return np.where(led, 0.0, effort.slide_mm if lead.lowest else effort.line_mm)


def _voice_frets(choice: Candidates, pitch_class: int, lowest: bool) -> IntArray:
    """The frets at which a pitch class sounds, one row for each grip, one column for each string.

    `lowest`: only where it is the lowest note.
    """
    count = len(choice.player.neck.tuning)
    rows = np.full((len(choice.grips), count), _NO_NOTE, dtype=np.int64)
    for row, grip in enumerate(choice.grips):
        for note in grip.voicing.notes[:1] if lowest else grip.voicing.notes:
            if note.midi % 12 == pitch_class:
                rows[row, count - note.string] = note.fret
    return rows
