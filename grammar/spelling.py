"""Roots of transposed chords spelled with simple names, ii–V–I passages in one kind of accidental.

Takes the names that transposing by letters gives and the key at each chord; gives the name of each
root. A name with a double accidental, or E♯, B♯, C♭ or F♭ outside the scale of its key, is replaced
by its other name. Roots a fourth apart keep that relation, so the chords round a replaced name move
with it; a passage ends behind a major chord, where it costs least. No root takes another name that
gives its written bass a hard one: C♯m7/B stays. The cheapest spelling of the whole row is found by
dynamic programming; the costs are estimates (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import pairwise
from typing import Final

from .frozen import frozen
from .key import Key
from .pitch import FLATTER, SHARPER, Interval, PitchName, plain_name

#: The cost of a name that players do not read easily.
HARD_NAME: Final = 40
#: The cost of a name other than the one that the letters give.
OTHER_NAME: Final = 1
#: The same where the letters give a name of the key's scale.
OTHER_THAN_SCALE: Final = 6
#: The cost of a change from sharps to flats: before the V of a ii–V–I and behind it, behind a major
#: chord, elsewhere.
BEFORE_DOMINANT, IN_CADENCE, BEHIND_MAJOR, ELSEWHERE = 30, 20, 3, 2
_HARD: Final = frozenset({"E#", "B#", "Cb", "Fb"})


@frozen
class SpelledRoot:
    """A root as the letters give it, whether its chord is major or dominant, the key that it is in.

    `bass` is the interval up to a written bass, None where there is none.
    """

    name: PitchName
    major: bool
    key: Key | None
    dominant: bool = False
    bass: Interval | None = None


def spelled_roots(roots: Sequence[SpelledRoot]) -> tuple[PitchName, ...]:
    """The simplest names of roots in written order, one for each; the pitches stay."""
    if not roots:
        return ()
    costs = [_cost(name, roots[0]) for name in _names(roots[0].name)]
    links: list[list[int]] = []
    for before, root in pairwise(roots):
        names = _names(before.name)
        ways = [
            [
                cost + _change(before, last, root, name)
                for cost, last in zip(costs, names, strict=True)
            ]
            for name in _names(root.name)
        ]
        links.append([way.index(min(way)) for way in ways])
        costs = [
            min(way) + _cost(name, root) for way, name in zip(ways, _names(root.name), strict=True)
        ]
    chosen = [costs.index(min(costs))]
    for link in reversed(links):
        chosen.append(link[chosen[-1]])
    return tuple(_names(root.name)[at] for root, at in zip(roots, reversed(chosen), strict=True))


@cache
def _names(name: PitchName) -> tuple[PitchName, ...]:
    """The names of a pitch with at most one accidental, the nearest to the given one first."""
    plain = plain_name(name)
    others = (plain, plain.up(FLATTER), plain.up(SHARPER))
    simple = (each for each in others if abs(each.alteration) <= 1)
    return tuple(sorted(simple, key=lambda each: abs(each.fifths - name.fifths)))


def _cost(name: PitchName, root: SpelledRoot) -> int:
    other = OTHER_THAN_SCALE if _in_scale(root.name, root.key) else OTHER_NAME
    if name == root.name:
        return HARD_NAME * _is_hard(name, root.key)
    bass = None if root.bass is None else plain_name(name.up(root.bass))
    hard = _is_hard(name, root.key) or (bass is not None and _is_hard(bass, root.key))
    return other + HARD_NAME * hard


def _is_hard(name: PitchName, key: Key | None) -> bool:
    return str(name) in _HARD and not _in_scale(name, key)


def _in_scale(name: PitchName, key: Key | None) -> bool:
    """Whether a name is one of the seven of a key, which are neighbours in fifths."""
    return key is not None and -1 <= name.fifths - key.fifths <= 5


def _change(before: SpelledRoot, last: PitchName, root: SpelledRoot, name: PitchName) -> int:
    """The cost of a change of accidentals between neighbours; 0 where both names moved alike."""
    if last.fifths - before.name.fifths == name.fifths - root.name.fifths:
        return 0
    up = (root.name.pitch_class - before.name.pitch_class) % 12
    if up not in (0, 5):
        return ELSEWHERE
    if before.major:
        return BEHIND_MAJOR
    return BEFORE_DOMINANT if root.dominant and not before.dominant else IN_CADENCE
