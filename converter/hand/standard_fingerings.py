"""The standard fingerings: a table of the shapes whose fingers teachers give, and their text.

A shape is written from its lowest sounding string up: the fret of each string relative to the
lowest note, `x` for a silent string; its fingers are written in the same order. `0 x 0 0` with the
root on string 6 is the minor seventh, and `2 x 3 3` has the ring finger as a barre over both guide
tones.
"""

from __future__ import annotations

from typing import Final

from ...grammar.sheet import Fingers, Frets
from .grip import frets_text

#: Shape → its standard fingerings, the most common first. They apply to every string set and fret;
#: the first within reach is used. Common practice, no source; all but the first six from memory.
STANDARD_FINGERINGS: Final[dict[str, tuple[str, ...]]] = {
    # Shells.
    "0 x 0 0": ("2 x 3 3", "2 x 3 4"),  # minor seventh, root 6
    "0 x 0 1": ("1 x 2 3", "2 x 3 4"),  # dominant seventh, root 6
    "0 x -1 1": ("2 x 1 4", "2 x 1 3"),  # major sixth, root 6
    "0 -2 0": ("2 1 3", "3 1 4"),  # minor seventh, root 5: the first is a stretch
    "0 -1 0": ("2 1 3",),  # dominant seventh, root 5
    "0 -1 -1": ("2 1 1",),  # major sixth, root 5
    "0 x 1 1": ("1 x 3 4", "1 x 2 3", "1 x 3 3"),  # major seventh, root 6
    "0 -1 1": ("2 1 4", "2 1 3"),  # major seventh, root 5
    "0 x -1 0": ("2 x 1 3",),  # minor sixth or diminished seventh, root 6
    "0 -2 -1": ("3 1 2",),  # minor sixth or diminished seventh, root 5
    "0 x 1 0": ("1 x 3 2",),  # minor with major seventh, root 6
    "0 -2 1": ("3 1 4",),  # minor with major seventh, root 5
    "0 x 0 2": ("1 x 2 4",),  # suspended seventh, root 6
    "0 0 0": ("1 1 1",),  # suspended seventh, root 5
    "0 x -1 -1": ("2 x 1 1",),  # a triad over its sixth or fifth, bass on string 6
    "0 2 0": ("1 3 1",),  # fifth and seventh over the root, root 5
    # Four notes, root on string 6.
    "0 x 0 0 0": ("2 x 3 3 3",),  # minor seventh
    "0 x 0 0 -1": ("2 x 3 4 1",),  # half-diminished
    "0 x -1 0 -1": ("2 x 1 3 1",),  # diminished seventh
    "0 x 1 1 0": ("1 x 3 4 2",),  # major seventh
    "0 x 0 1 0": ("1 x 2 4 3",),  # dominant seventh
    "0 x 0 1 1": ("1 x 2 3 4",),  # seventh with sharp fifth
    "0 x 0 1 2": ("1 x 2 3 4",),  # thirteenth
    # Four notes, root on string 5.
    "0 2 1 2": ("1 3 2 4",),  # major seventh
    "0 2 0 2": ("1 3 1 4",),  # dominant seventh
    "0 2 0 1": ("1 3 1 2",),  # minor seventh
    "0 1 0 1": ("1 3 2 4", "1 2 1 3"),  # half-diminished
    "0 1 -1 1": ("2 3 1 4",),  # diminished seventh
    "0 -1 0 0": ("2 1 3 3", "2 1 3 4"),  # ninth
    "0 -1 0 -1": ("2 1 3 1",),  # seventh with flat ninth
    "0 -1 0 1": ("2 1 3 4",),  # seventh with sharp ninth
    "0 2 2 2": ("1 3 3 3",),  # major sixth, or the major seventh with its root on string 4
}


def shape_of(frets: Frets) -> str:
    """The shape of a grip, from its lowest sounding string up to its highest."""
    base = next(fret for fret in frets if fret is not None)
    span = (frets[at] for at in _span(frets))
    return frets_text(None if fret is None else fret - base for fret in span)


def fingers_on(frets: Frets, text: str) -> Fingers:
    """Fingers written in the order of the shape of `frets`, over all strings."""
    row: list[int | None] = [None] * len(frets)
    for at, finger in zip(_span(frets), read_row(text), strict=True):
        row[at] = finger
    return tuple(row)


def _span(frets: Frets) -> range:
    sounding = [at for at, fret in enumerate(frets) if fret is not None]
    return range(sounding[0], sounding[-1] + 1)


def read_row(text: str) -> Frets:
    """The numbers of a shape or its fingers; empty if the text is not in the form of `shape_of`."""
    try:
        numbers = tuple(None if word == "x" else int(word) for word in text.split())
    except ValueError:
        return ()
    return numbers if frets_text(numbers) == " ".join(text.split()) else ()


def frets_of_shape(shape: str) -> Frets:
    """The frets of a shape with its lowest note at fret 1 or above; empty if it is none.

    The lowest of the frets is 1. A shape begins with 0 and ends on a note.
    """
    frets = read_row(shape)
    if not frets or frets[0] != 0 or frets[-1] is None:
        return ()
    low = min(fret for fret in frets if fret is not None)
    return tuple(None if fret is None else fret - low + 1 for fret in frets)
