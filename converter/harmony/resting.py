"""Seventh chords at rest: those that are a I or IV, as in the blues, and not a V.

Takes events, gives roots as pitch classes, 0 is C.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from .chord_class import Sound, motion
from .events import Event

#: The minimum length in bars of a chord that counts as a I for its length alone.
STANDING_BARS: Final = 4.0


def resting_roots(events: Sequence[Event]) -> frozenset[int]:
    """The roots of seventh chords at rest, which are a blues I and not a V.

    Such a chord moves to another seventh chord and back: a fourth up anywhere in the form (I7 and
    IV7), at the top of the form to any root but a semitone down, which the first would prepare.
    Also at rest is a seventh chord that opens the form for eight bars and does not fall to its I.
    """
    roots = {
        events[at].chord_class.root for at in range(len(events) - 2) if _comes_back(events, at)
    }
    first, second = events[0], events[1 % len(events)]
    is_long = first.chord_class.sound is Sound.DOMINANT and first.bars >= 2 * STANDING_BARS
    if is_long and motion(first.chord_class, second.chord_class) != 5:
        roots.add(first.chord_class.root)
    return frozenset(roots)


def _comes_back(events: Sequence[Event], at: int) -> bool:
    """Whether a seventh chord goes to another and back, a diminished chord between allowed."""
    here, other = events[at].chord_class, events[at + 1].chord_class
    if not here.sound is other.sound is Sound.DOMINANT:
        return False
    step = motion(here, other)
    if step != 5 and (at or step == 11):
        return False
    back = at + 2
    if events[back].chord_class.sound is Sound.DIMINISHED and back + 1 < len(events):
        back += 1
    return (
        events[back].chord_class.root == here.root
        and events[back].chord_class.sound is Sound.DOMINANT
    )
