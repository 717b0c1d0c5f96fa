"""All playable fingerings of frets on strings, as far as they do not depend on lengths.

Takes the frets of a grip, gives fingers, barres and mutes. A higher fret takes a higher finger, one
fret the higher finger on the thinner string. One finger may stop several strings of one fret (a
barre): the index across strings that other fingers stop higher up, the others up to three strings
side by side. The flesh of a barre lies on over the thinner strings, so that nothing sounds there
below its fret. Reach in millimetres is tested elsewhere, at the fret where the shape stands.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ...grammar.sheet import Frets
from .grip import Barre

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
