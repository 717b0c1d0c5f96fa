"""The rules of fingers and barres: what a hand can hold, and what a teacher lets it hold.

Takes the frets of all strings from the lowest and a finger for each, gives the reason why the
fingers are impossible (`impossible`) or why no teacher gives them (`untaught`), "" if there is
none. Fingers that a player or a pin names need only be possible; the search for a fingering also
keeps what is taught. Reach in millimetres is tested in `reach.py`, because it depends on the fret.

A finger on several strings lies flat across them (a barre). Unless a rule names another source, it
is common practice without one; its docstring has the reason from the anatomy of the hand.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import combinations, pairwise
from typing import Final

from ...grammar.frozen import frozen
from ...grammar.sheet import Fingers, Frets
from .grip import FINGER_NAMES

INDEX, MIDDLE, RING, LITTLE = 1, 2, 3, 4

#: The most strings that a finger can lie across; the index reaches all of them.
BARRE_STRINGS: Final = {MIDDLE: 2, RING: 3, LITTLE: 2}

#: The most fingertips that stand side by side on one fret.
TIPS_ON_A_FRET: Final = 3


@frozen
class PressedFinger:
    """A finger on its fret and the strings that it stops, as indices from the lowest, 0."""

    finger: int
    fret: int
    strings: tuple[int, ...]

    @property
    def is_barre(self) -> bool:
        """Whether it stops more than one string."""
        return len(self.strings) > 1

    @property
    def name(self) -> str:
        """It in a sentence: `the ring finger`."""
        return f"the {FINGER_NAMES[self.finger]} finger"


def pressed(frets: Frets, fingers: Fingers) -> tuple[PressedFinger, ...]:
    """The fingers in use, the index first; each on the fret of its lowest string."""
    found = []
    for finger in range(INDEX, LITTLE + 1):
        strings = tuple(at for at, used in enumerate(fingers) if used == finger)
        fret = frets[strings[0]] if strings else None
        if fret is not None:
            found.append(PressedFinger(finger, fret, strings))
    return tuple(found)


def impossible(frets: Frets, fingers: Fingers) -> str:
    """The reason why no hand can hold frets with these fingers, "" if it can within its reach."""
    unmatched = _unmatched(frets, fingers)
    if unmatched:
        return unmatched
    return _first_reason(_ANATOMY, frets, pressed(frets, fingers))


def untaught(frets: Frets, fingers: Fingers) -> str:
    """The reason why no teacher gives these fingers, which a hand can hold; "" if one does."""
    return _first_reason(_TEACHING, frets, pressed(frets, fingers))


Rule = Callable[[Frets, Sequence[PressedFinger]], Iterator[str]]


def _first_reason(rules: Sequence[Rule], frets: Frets, hand: Sequence[PressedFinger]) -> str:
    return next((reason for rule in rules for reason in rule(frets, hand)), "")


def _unmatched(frets: Frets, fingers: Fingers) -> str:
    """Every stopped string has one finger, and every finger one fret."""
    if len(frets) != len(fingers):
        return f"{len(fingers)} fingers are given for {len(frets)} strings"
    fret_of: dict[int, int] = {}
    for at, (fret, finger) in enumerate(zip(frets, fingers, strict=True)):
        string = f"string {len(frets) - at}"
        if fret and finger is None:
            return f"{string} is stopped without a finger"
        if finger is None:
            continue
        if not fret:
            return f"{string} has a finger but is not stopped"
        if finger not in FINGER_NAMES:
            return f"{finger} is no finger; they are 1 to 4"
        if fret_of.setdefault(finger, fret) != fret:
            return f"the {FINGER_NAMES[finger]} finger is on two frets"
    return ""


def _in_order_along_the_neck(frets: Frets, hand: Sequence[PressedFinger]) -> Iterator[str]:
    """A higher finger is never on a lower fret: the fingers lie side by side in the hand."""
    for lower, higher in pairwise(hand):
        if higher.fret < lower.fret:
            yield f"{higher.name} is on a lower fret than {lower.name}"


def _in_order_across_the_neck(frets: Frets, hand: Sequence[PressedFinger]) -> Iterator[str]:
    """On one fret a finger beside a barre is on its own side of it; single fingertips may cross.

    The higher finger stands nearer to the thin strings, because the palm is under them.
    """
    for lower, higher in combinations(hand, 2):
        crosses = lower.fret == higher.fret and lower.strings[-1] > higher.strings[0]
        if crosses and (lower.is_barre or higher.is_barre):
            yield f"{lower.name} and {higher.name} cross at one fret, with a barre"


def _barres_press(frets: Frets, hand: Sequence[PressedFinger]) -> Iterator[str]:
    """A barre presses every string under it, so that none of them sounds below its fret.

    Other fingers may stop strings at higher frets under the index, which is straight. The other
    fingers lie flat with their last joint alone, which leaves no room in front of them.
    """
    for one in hand:
        under = frets[one.strings[0] : one.strings[-1] + 1]
        if any(fret is not None and fret < one.fret for fret in under):
            yield f"a note below its fret lies under {one.name}"
        if one.finger != INDEX and any(fret != one.fret for fret in under):
            yield f"{one.name} cannot lie across strings that it does not stop"


def _barres_reach(frets: Frets, hand: Sequence[PressedFinger]) -> Iterator[str]:
    """The last joint of a finger covers few strings; only the index is laid down whole."""
    for one in hand:
        most = BARRE_STRINGS.get(one.finger, len(frets))
        if len(one.strings) > most:
            yield f"{one.name} cannot lie across {len(one.strings)} strings"


def _barres_lie_on(frets: Frets, hand: Sequence[PressedFinger]) -> Iterator[str]:
    """The flesh of a barre lies on over the thinner strings, which cannot sound below its fret."""
    for one in hand:
        beyond = frets[one.strings[-1] + 1 :]
        if one.is_barre and any(fret is not None and fret < one.fret for fret in beyond):
            yield f"{one.name} lies over a thinner string that sounds below its fret"


def _no_silent_string_under_index(frets: Frets, hand: Sequence[PressedFinger]) -> Iterator[str]:
    """A string under a barre sounds unless it is damped, which a beginner cannot rely on."""
    for one in hand:
        if None in frets[one.strings[0] : one.strings[-1] + 1]:
            yield f"a silent string lies under {one.name}"


def _index_and_ring_alone_lie_flat(frets: Frets, hand: Sequence[PressedFinger]) -> Iterator[str]:
    """The middle finger between two others and the short little finger do not bend back flat."""
    for one in hand:
        if one.is_barre and one.finger in (MIDDLE, LITTLE):
            yield f"a barre of {one.name}"


def _ring_lies_behind_another(frets: Frets, hand: Sequence[PressedFinger]) -> Iterator[str]:
    """The ring finger lies flat only beside index or middle; where both are free the index does.

    The index is stronger and lies straighter.
    """
    lowest = hand[0] if hand else None
    if lowest is not None and lowest.finger == RING and lowest.is_barre:
        yield "a barre of the ring finger with the index free"


def _barre_takes_its_fret(frets: Frets, hand: Sequence[PressedFinger]) -> Iterator[str]:
    """A barre stops every note of its fret next to it: the finger lies there already."""
    for one in hand:
        if not one.is_barre:
            continue
        beside = (frets[one.strings[-1] + 1 :], frets[: one.strings[0]][::-1])
        if any(_meets(one, strings) for strings in beside):
            yield f"another finger beside the barre of {one.name} at its fret"


def _meets(barre: PressedFinger, strings: Frets) -> bool:
    """Whether a barre that lies on over these strings meets a note of its own fret."""
    for fret in strings:
        if fret == barre.fret:
            return True
        if fret is None or fret < barre.fret or barre.finger != INDEX:
            return False
    return False


def _index_and_little_apart(frets: Frets, hand: Sequence[PressedFinger]) -> Iterator[str]:
    """Index and little finger on one fret or the next leave no width for the ring finger.

    Only beside the ring finger, which is down too, does the little finger come so near.
    """
    fret_of = {one.finger: one.fret for one in hand}
    between = {INDEX, LITTLE} <= fret_of.keys() and RING not in fret_of
    if between and fret_of[LITTLE] - fret_of[INDEX] < 2:
        yield "index and little finger on neighbouring frets, with the ring finger free"


def _tips_have_room(frets: Frets, hand: Sequence[PressedFinger]) -> Iterator[str]:
    """More than three fingertips are wider than the space between two frets."""
    fret_counts = [sum(other.fret == one.fret for other in hand) for one in hand]
    if max(fret_counts, default=0) > TIPS_ON_A_FRET:
        yield f"{max(fret_counts)} fingers on one fret"


_ANATOMY: Final[tuple[Rule, ...]] = (
    _in_order_along_the_neck,
    _in_order_across_the_neck,
    _barres_press,
    _barres_reach,
    _barres_lie_on,
)
_TEACHING: Final[tuple[Rule, ...]] = (
    _no_silent_string_under_index,
    _index_and_ring_alone_lie_flat,
    _ring_lies_behind_another,
    _barre_takes_its_fret,
    _index_and_little_apart,
    _tips_have_room,
)
