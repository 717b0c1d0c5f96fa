"""Every fingering of a shape, the standard fingerings, and their properties at any fret.

Takes frets on strings, gives fingers, barres and mutes. A higher fret gets a higher finger; at the
same fret the thinner string gets the higher finger. One finger may stop several strings at one fret
(a barre): the index also across strings that other fingers stop at higher frets, the others up to
three neighbouring strings. A barre also covers the thinner strings, so that they cannot sound below
its fret. Reach in millimetres is tested in `costs.py`, because it depends on the fret.

A shape is written from its lowest sounding string up: the fret of each string relative to the
lowest note, `x` for a silent string; its fingers are written in the same order. `0 x 0 0` with the
root on string 6 is the minor seventh, and `2 x 3 3` has the ring finger as a barre over both guide
tones.
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

    Only the order and the equality of the frets in `shape` matter; 0 is an open string.
    """
    notes = sorted(
        (fret, string) for string, fret in enumerate(shape) if fret is not None and fret > 0
    )
    rows = []
    for fingers in _assigned(shape, tuple(notes), ()):
        row: list[int | None] = [None] * len(shape)
        for (_, string), finger in zip(notes, fingers, strict=True):
            row[string] = finger
        rows.append(tuple(row))
    return tuple(rows)


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
    barres = []
    for finger in range(INDEX, LITTLE + 1):
        places = [at for at, used in enumerate(fingers) if used == finger]
        if len(places) > 1:
            fret = frets[places[0]]
            assert fret is not None  # every finger has a fret
            barres.append(Barre(finger, fret, count - places[0], count - places[-1]))
    return tuple(barres)


def mutes_of(frets: Frets, fingers: Fingers) -> tuple[tuple[int, int], ...]:
    """The (string, finger) pairs of the unplayed strings and the fingers that mute them.

    Low strings come first. A silent string is muted by the finger on the next lower string, the
    string below the lowest note by the fingertip of that note, the thinner strings by the index
    finger. Strings further below the bass are not struck and need no mute. Common practice, no
    source.
    """
    mutes = []
    for at, fret in enumerate(frets):
        finger = _silencer(frets, fingers, at) if fret is None else None
        if finger is not None:
            mutes.append((len(frets) - at, finger))
    return tuple(mutes)


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


#: Shape → its standard fingerings, the most common first, for shapes whose standard fingering is
#: not that of least effort. They apply to every string set and fret. Common practice, no source.
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
    """The fingers in the order of the shape; `o` for an open string."""
    span = _span(frets)
    fields = [
        "x" if frets[at] is None else "o" if fingers[at] is None else str(fingers[at])
        for at in span
    ]
    return " ".join(fields)


def fits(shape: str, fingers: str) -> bool:
    """Whether fingers can hold a shape at any fret; both written as in `STANDARD_FINGERINGS`."""
    frets, row = _read(shape), _read(fingers)
    if not frets or frets[0] != 0 or frets[-1] is None or len(frets) != len(row):
        return False
    low = min(fret for fret in frets if fret is not None)
    return row in fingerings(tuple(None if fret is None else fret - low + 1 for fret in frets))


def habits_mm(shape: str, fingers: tuple[str, ...], easiest: int, player: Player) -> list[float]:
    """The cost of each fingering of a shape for not being the standard one, in mm.

    `easiest` is the row of the fingering that counts as standard if the table has none.
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
    """The numbers of a shape or its fingers; empty if the text is not in the form of `shape_of`."""
    try:
        numbers = tuple(None if word == "x" else int(word) for word in text.split())
    except ValueError:
        return ()
    return numbers if frets_text(numbers) == " ".join(text.split()) else ()


@dataclass(frozen=True, slots=True, eq=False)
class FingeredShape:
    """All fingerings of a shape, one row each, for any fret.

    Columns of `low`, `high` and `fret` are the fingers, index first; -1 marks a finger that is not
    used; string indices count from the lowest string, 0. `counts` has a column for each of
    `COUNTS`. `position` is the fret under the index finger when the hand covers one fret a finger,
    relative like the frets of the shape. `shape_text` and `finger_texts` are shape and fingers in
    the form of `STANDARD_FINGERINGS`.
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


#: The counts of a fingering: frets by which neighbouring fingers are closer than one fret a finger,
#: uses of the little finger, barres, strings of barres beyond two, unmuted unwanted strings.
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
    """The position by the lowest finger in use; 1 for a grip of open strings alone."""
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
