"""Fingered shapes: what can be known of a grip before it is put on a fret.

Takes a shape (frets of which the lowest stopped one is 1, 0 an open string, None a silent one),
gives all its fingerings with one row each: where every finger stands and what does not depend on
lengths. Columns are the fingers, index first; −1 marks a finger that is not used; string indices
count from the lowest string, 0.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from ...grammar.sheet import Frets
from .fingering import INDEX, LITTLE, Fingers, barres_of, fingerings, mutes_of
from .grain import Numbers, Places
from .grip import Barre
from .taught import fingers_of, shape_of


@dataclass(frozen=True, slots=True, eq=False)
class FingeredShape:
    """All fingerings of a shape. `counts` has a column for each of `COUNTS`.

    `position` is the fret under the index when the hand covers one fret a finger, relative as the
    shape's frets are. `name` and `words` write shape and fingers as `taught.py` does.
    """

    fingers: tuple[Fingers, ...]
    barres: tuple[tuple[Barre, ...], ...]
    mutes: tuple[tuple[tuple[int, int], ...], ...]
    low: Places
    high: Places
    fret: Places
    position: Places
    counts: Numbers
    name: str
    words: tuple[str, ...]


#: Counted of a fingering: frets by which neighbouring fingers crowd, little fingers, barres,
#: strings that barres cover beyond two, unwanted strings that nothing silences.
COUNTS = ("crowded", "little", "barres", "barre_strings", "unmuted")


def shape_and_base(frets: Frets) -> tuple[Frets, int]:
    """The shape of frets, and the number to add to its stopped frets to get them back."""
    base = min((fret for fret in frets if fret), default=1) - 1
    return tuple(fret - base if fret else fret for fret in frets), base


@lru_cache(maxsize=4096)
def fingered(shape: Frets) -> FingeredShape:
    """Every fingering of a shape, in lexical order of the fingers."""
    rows = fingerings(shape)
    places = [_places(shape, row) for row in rows]
    mutes = tuple(mutes_of(shape, row) for row in rows)
    grid = np.array(places, dtype=np.int64).reshape(len(rows), 3, LITTLE)
    counts = [_counts(shape, *row) for row in zip(places, mutes, strict=True)]
    return FingeredShape(
        fingers=rows,
        barres=tuple(barres_of(shape, row) for row in rows),
        mutes=mutes,
        low=grid[:, 0],
        high=grid[:, 1],
        fret=grid[:, 2],
        position=np.array([_position(place[2]) for place in places], dtype=np.int64),
        counts=np.array(counts, dtype=np.float64).reshape(len(rows), len(COUNTS)),
        name=shape_of(shape),
        words=tuple(fingers_of(row, shape) for row in rows),
    )


def _places(shape: Frets, row: Fingers) -> tuple[list[int], list[int], list[int]]:
    """For each finger its lowest and highest string index and its fret, −1 when not used."""
    low, high, fret = [-1] * LITTLE, [-1] * LITTLE, [-1] * LITTLE
    for string, (finger, at) in enumerate(zip(row, shape, strict=True)):
        if finger is not None and at is not None:
            low[finger - 1] = string if low[finger - 1] < 0 else low[finger - 1]
            high[finger - 1] = string
            fret[finger - 1] = at
    return low, high, fret


def _position(fret: list[int]) -> int:
    """From the lowest finger in use; a grip of open strings alone is held in first position."""
    return next((at - finger for finger, at in enumerate(fret) if at >= 0), INDEX)


def _counts(
    shape: Frets, places: tuple[list[int], list[int], list[int]], mutes: tuple[tuple[int, int], ...]
) -> tuple[int, ...]:
    low, high, fret = places
    used = [finger for finger in range(LITTLE) if fret[finger] >= 0]
    crowded = sum(max((b - a) - (fret[b] - fret[a]), 0) for a, b in pairwise(used))
    wide = [high[finger] - low[finger] for finger in used if high[finger] > low[finger]]
    bass = next(string for string, at in enumerate(shape) if at is not None)
    unwanted = {len(shape) - at for at in range(bass, len(shape)) if shape[at] is None}
    unmuted = len(unwanted - {string for string, _ in mutes})
    return crowded, int(fret[LITTLE - 1] >= 0), len(wide), sum(wide) - len(wide), unmuted
