"""Every way to finger a shape, the standard fingerings, and what is known of each before a fret.

Takes frets on strings, gives fingers, barres and mutes. A higher fret takes a higher finger, one
fret the higher finger on the thinner string. One finger may stop several strings of one fret (a
barre): the index across strings that other fingers stop higher up, the others up to three strings
side by side. A barre also covers the thinner strings, so that nothing sounds there below its fret.
Reach in millimetres is tested in `costs.py`, at the fret where the shape stands.

A shape is written from its lowest sounding string up: the fret of each string relative to the
lowest note, `x` for a silent string; its fingers stand in the same places. `0 x 0 0` with the root
on string 6 is the minor seventh, and `2 x 3 3` the ring finger as a barre over both guide tones.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Final

import numpy as np

from ...grammar.sheet import Frets
from .grip import Barre, frets_text
from .player import Player
from .quantization import FloatArray, IntArray

Fingers = tuple[int | None, ...]

INDEX = 1
LITTLE = 4


@lru_cache(maxsize=4096)
def fingerings(shape: Frets) -> tuple[Fingers, ...]:
    """Every playable way to finger a shape, in lexical order of its fingers.

    `shape` holds frets of which only the order and the equality count; 0 is an open string.
    """
    notes = sorted(
        (fret, string) for string, fret in enumerate(shape) if fret is not None and fret > 0
    )
    found = []
    for fingers in _assigned(shape, tuple(notes), ()):
        row: list[int | None] = [None] * len(shape)
        for (_, string), finger in zip(notes, fingers, strict=True):
            row[string] = finger
        found.append(tuple(row))
    return tuple(found)


def _assigned(
    shape: Frets, notes: tuple[tuple[int, int], ...], done: tuple[int, ...]
) -> Iterator[tuple[int, ...]]:
    at = len(done)
    if at == len(notes):
        yield done
        return
    fret, string = notes[at]
    last = done[-1] if done else 0
    if done and notes[at - 1][0] == fret:
        first = next(note for note, finger in zip(notes, done, strict=False) if finger == last)
        if _can_lie(shape, last, fret, (first[1], string)):
            yield from _assigned(shape, notes, (*done, last))
    for finger in range(last + 1, LITTLE + 1):
        yield from _assigned(shape, notes, (*done, finger))


def _can_lie(shape: Frets, finger: int, fret: int, span: tuple[int, int]) -> bool:
    low, high = span
    under = shape[low : high + 1]
    if any(other is None or other < fret for other in under):
        return False
    if finger != INDEX and (high - low > 2 or any(other != fret for other in under)):
        return False
    return all(other is None or other > fret for other in shape[high + 1 :] if other != fret)


def barres_of(frets: Frets, fingers: Fingers) -> tuple[Barre, ...]:
    """The fingers that stop more than one string, strings numbered from the highest (1)."""
    count = len(frets)
    found = []
    for finger in range(INDEX, LITTLE + 1):
        places = [at for at, used in enumerate(fingers) if used == finger]
        if len(places) > 1:
            fret = frets[places[0]]
            assert fret is not None  # a finger stands on a fret
            found.append(Barre(finger, fret, count - places[0], count - places[-1]))
    return tuple(found)


def mutes_of(frets: Frets, fingers: Fingers) -> tuple[tuple[int, int], ...]:
    """Which finger silences which unplayed string, as (string, finger), low strings first.

    The finger on the next lower string leans on a silent string; one below the lowest note is
    touched by that note's fingertip; over the thinner strings the index lies lightly. Strings
    further below the bass are not struck and are left alone. Common practice, no source.
    """
    found = []
    for at, fret in enumerate(frets):
        finger = _silencer(frets, fingers, at) if fret is None else None
        if finger is not None:
            found.append((len(frets) - at, finger))
    return tuple(found)


def _silencer(frets: Frets, fingers: Fingers, at: int) -> int | None:
    below = fingers[at - 1] if at else None
    sounding = [place for place, fret in enumerate(frets) if fret is not None]
    if at < sounding[0]:
        return fingers[at + 1]
    if at < sounding[-1] and below is not None:
        return below
    tips = [place for place, finger in enumerate(fingers) if finger == INDEX]
    lies_over = all(frets[place] != 0 for place in sounding if place > at)
    return INDEX if lies_over and (not tips or tips[0] < at) else below


#: Shape → its standard fingerings, the most usual first: those that rules of effort alone would not
#: find. They hold on every string set and fret. Common practice, no source.
STANDARD_FINGERINGS: Final[dict[str, tuple[str, ...]]] = {
    "0 x 0 0": ("2 x 3 3", "2 x 3 4"),  # minor seventh, root 6
    "0 x 0 1": ("1 x 2 3", "2 x 3 4"),  # dominant seventh, root 6 (the second from memory)
    "0 x -1 1": ("2 x 1 4", "2 x 1 3"),  # major sixth, root 6
    "0 -2 0": ("2 1 3",),  # minor seventh, root 5: a stretch, learned over time
    "0 -1 0": ("2 1 3",),  # dominant seventh, root 5
    "0 -1 -1": ("2 1 1", "3 2 2"),  # major sixth, root 5 (the second from memory)
}


def shape_of(frets: Frets) -> str:
    """The shape of a grip, from its lowest sounding string up to its highest."""
    base = next(fret for fret in frets if fret is not None)
    span = (frets[at] for at in _span(frets))
    return frets_text(None if fret is None else fret - base for fret in span)


def fingers_of(fingers: Fingers, frets: Frets) -> str:
    """The fingers in the same places as the shape; `o` for an open string."""
    span = _span(frets)
    fields = [
        "x" if frets[at] is None else "o" if fingers[at] is None else str(fingers[at])
        for at in span
    ]
    return " ".join(fields)


def fits(shape: str, fingers: str) -> bool:
    """Whether fingers can hold a shape on some fret; both as in `STANDARD_FINGERINGS`."""
    frets, row = _read(shape), _read(fingers)
    if not frets or frets[0] != 0 or frets[-1] is None or len(frets) != len(row):
        return False
    low = min(fret for fret in frets if fret is not None)
    return row in fingerings(tuple(None if fret is None else fret - low + 1 for fret in frets))


def habits_mm(shape: str, fingers: tuple[str, ...], easiest: int, player: Player) -> list[float]:
    """What each fingering of a shape costs for not being the standard one, in mm.

    `easiest` is the row of the fingering that stands in for a standard one where there is none.
    """
    effort = player.effort
    own = tuple(given for name, given in player.fingers if name == shape)
    known = own + STANDARD_FINGERINGS.get(shape, ())
    if not known:
        return [0.0 if row == easiest else effort.other_mm for row in range(len(fingers))]
    prices = dict.fromkeys(known, effort.second_mm) | {known[0]: 0.0}
    return [prices.get(written, effort.habit_mm) for written in fingers]


def _span(frets: Frets) -> range:
    sounding = [at for at, fret in enumerate(frets) if fret is not None]
    return range(sounding[0], sounding[-1] + 1)


def _read(text: str) -> Frets:
    """The numbers of a shape or its fingers; none where it is not written as `shape_of` writes."""
    try:
        found = tuple(None if word == "x" else int(word) for word in text.split())
    except ValueError:
        return ()
    return found if frets_text(found) == " ".join(text.split()) else ()


@dataclass(frozen=True, slots=True, eq=False)
class FingeredShape:
    """All fingerings of a shape, one row each, whatever its fret.

    Columns of `low`, `high` and `fret` are the fingers, index first; -1 marks a finger that is not
    used; string indices count from the lowest string, 0. `counts` has a column for each of
    `COUNTS`.
    `position` is the fret under the index when the hand covers one fret a finger, relative as the
    shape's frets are. `shape_text` and `finger_texts` write shape and fingers as
    `STANDARD_FINGERINGS` does.
    """

    fingers: tuple[Fingers, ...]
    barres: tuple[tuple[Barre, ...], ...]
    mutes: tuple[tuple[tuple[int, int], ...], ...]
    low: IntArray
    high: IntArray
    fret: IntArray
    position: IntArray
    counts: FloatArray
    shape_text: str
    finger_texts: tuple[str, ...]


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
        shape_text=shape_of(shape),
        finger_texts=tuple(fingers_of(row, shape) for row in rows),
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
