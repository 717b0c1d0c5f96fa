"""The fingerings that teachers give, where rules of effort alone would say otherwise.

A shape is written from its lowest sounding string up: the fret of each string relative to the
lowest note, `x` for a silent string; its fingers stand in the same places. `0 x 0 0` with the root
on string 6 is the minor seventh, and `2 x 3 3` the ring finger lying across both guide tones.
Shapes hold on every string set and fret. Common practice, no source.
"""

from __future__ import annotations

from typing import Final

from ...grammar.sheet import Frets
from .fingering import Fingers, fingerings
from .grip import written_frets
from .player import Player

#: Shape → the fingerings taught for it, the first one first.
TAUGHT: Final[dict[str, tuple[str, ...]]] = {
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
    return written_frets(None if fret is None else fret - base for fret in span)


def fingers_of(fingers: Fingers, frets: Frets) -> str:
    """The fingers in the same places as the shape; `o` for an open string."""
    places = _span(frets)
    words = [
        "x" if frets[at] is None else "o" if fingers[at] is None else str(fingers[at])
        for at in places
    ]
    return " ".join(words)


def fits(shape: str, fingers: str) -> bool:
    """Whether fingers written like this can hold a shape written like this on some fret."""
    frets, row = _read(shape), _read(fingers)
    if not frets or frets[0] != 0 or frets[-1] is None or len(frets) != len(row):
        return False
    low = min(fret for fret in frets if fret is not None)
    return row in fingerings(tuple(None if fret is None else fret - low + 1 for fret in frets))


def habits_mm(shape: str, fingers: tuple[str, ...], easiest: int, player: Player) -> list[float]:
    """What each fingering of a shape costs for not being the one that is taught for it, in mm.

    `easiest` is the row of the fingering that stands in for a taught one where none is.
    """
    effort = player.effort
    own = tuple(given for name, given in player.fingers if name == shape)
    known = own + TAUGHT.get(shape, ())
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
    return found if written_frets(found) == " ".join(text.split()) else ()
