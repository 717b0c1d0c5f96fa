"""The fingering of a shape: one for each player, chosen from all that a teacher gives.

Takes frets on strings and a player, gives fingers, barres and mutes (`fingering_of`). A shape has
the same fingers on every string set and, as far as the player's reach allows, at every fret: those
of the player, else the standard ones (`standard_fingerings.py`), else the easiest that the rules
allow (`finger_rules.py`). So a grip looks the same wherever it is shown, whatever is played before
and after it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import pairwise, product
from typing import Final

import numpy as np

from ...grammar.frozen import frozen
from ...grammar.sheet import Fingers, Frets
from .finger_rules import INDEX, LITTLE, impossible, pressed, untaught
from .grip import Barre
from .player import Effort, Player
from .quantization import FloatArray
from .reach import beyond_reach, spreads_mm, stretch_mm
from .standard_fingerings import (
    STANDARD_FINGERINGS,
    fingers_on,
    frets_of_shape,
    read_row,
    shape_of,
)

#: The lowest fret of a shape at which its fingerings are compared: the middle of the neck.
COMPARED_AT_FRET: Final = 5

#: Prices for the choice of a fingering alone, in mm of effort like those of `Effort`. Settings.
#: The lowest three notes held in another way than their own standard fingering: a shell with a
#: further tone is played as the shell.
OTHER_SHELL_MM: Final = 4.0
#: The index finger left free: it is the strongest, and the hand is guided by it.
FREE_INDEX_MM: Final = 1.5
#: Three fingertips on one fret, where a barre would hold them.
THREE_TIPS_MM: Final = 2.0


def taught_fingerings(shape: Frets) -> tuple[Fingers, ...]:
    """Every way to finger a shape that the rules of `finger_rules.py` allow, in lexical order.

    Only the order and the distances of the frets in `shape` matter; 0 is an open string.
    """
    return tuple(
        row for row in _ordered(shape) if not impossible(shape, row) and not untaught(shape, row)
    )


def possible_fingerings(shape: Frets) -> tuple[Fingers, ...]:
    """Every way in which a hand can hold a shape, taught or not, in lexical order."""
    choices = [range(INDEX, LITTLE + 1) if fret else (None,) for fret in shape]
    return tuple(row for row in product(*choices) if not impossible(shape, row))


def _ordered(shape: Frets) -> Iterator[Fingers]:
    """The rows in which fingers rise with the fret, and at one fret do not fall with the string."""
    notes = sorted((fret, string) for string, fret in enumerate(shape) if fret)
    for fingers in _rising([fret for fret, _ in notes], ()):
        row: list[int | None] = [None] * len(shape)
        for (_, string), finger in zip(notes, fingers, strict=True):
            row[string] = finger
        yield tuple(row)


def _rising(frets: Sequence[int], done: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    """The fingers for notes sorted by fret: never lower ones, on a new fret a higher one."""
    at = len(done)
    if at == len(frets):
        yield done
        return
    first = done[-1] if done else INDEX
    if done and frets[at] != frets[at - 1]:
        first += 1
    for finger in range(first, LITTLE + 1):
        yield from _rising(frets, (*done, finger))


def barres_of(frets: Frets, fingers: Fingers) -> tuple[Barre, ...]:
    """The fingers that stop more than one string, strings numbered from the highest (1)."""
    count = len(frets)
    return tuple(
        Barre(one.finger, one.fret, count - one.strings[0], count - one.strings[-1])
        for one in pressed(frets, fingers)
        if one.is_barre
    )


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


@frozen(eq=False)
class Fingering:
    """The fingers of a shape, for any fret.

    `low`, `high` and `fret` hold a number for each finger, index first; -1 marks a finger that is
    not used; string indices count from the lowest string, 0. `counts`: frets by which neighbouring
    fingers are closer than one fret a finger, uses of the little finger, barres, strings of barres
    beyond two, unmuted unwanted strings. `position` is the fret under the index finger when the
    hand covers one fret a finger, by the lowest finger in use; 1 for a grip of open strings alone.
    Frets are relative like those of the shape.
    """

    fingers: Fingers
    barres: tuple[Barre, ...]
    mutes: tuple[tuple[int, int], ...]
    low: tuple[int, ...]
    high: tuple[int, ...]
    fret: tuple[int, ...]
    position: int
    counts: tuple[int, ...]


def count_prices(effort: Effort) -> FloatArray:
    """The price of one of each of `Fingering.counts`, in mm."""
    return np.array(
        [
            effort.crowd_mm, effort.little_mm, effort.barre_mm, effort.barre_string_mm,
            effort.unmuted_mm,
        ]
    )  # fmt: skip


def shape_and_base(frets: Frets) -> tuple[Frets, int]:
    """The shape of frets, and the number to add to its stopped frets to get them back."""
    base = min((fret for fret in frets if fret), default=1) - 1
    return tuple(fret - base if fret else fret for fret in frets), base


@lru_cache(maxsize=8192)
def fingering_of(frets: Frets, player: Player, pinned: bool = False) -> Fingering | None:
    """The fingering of frets by a player, relative to their shape; None if there is none in reach.

    A pinned grip that no taught fingering can hold gets the easiest that is possible.
    """
    shape, base = shape_and_base(frets)
    ranked = _ranked(shape, player, pinned)
    return next((one for one in ranked if not beyond_reach(finger_frets(one, base), player)), None)


def finger_frets(fingering: Fingering, base: int) -> tuple[int, ...]:
    """The frets of the fingers with the shape moved up by `base` frets."""
    return tuple(fret + base if fret >= 0 else -1 for fret in fingering.fret)


def _ranked(shape: Frets, player: Player, pinned: bool) -> Iterator[Fingering]:
    """The fingerings that a player may be given for a shape, the first choice first.

    Fingers that the player names for the shape are the only ones. Each kind is worked out when
    those before it are beyond reach: mostly a standard one serves.
    """
    named, is_own = _named(shape, player)
    yield from named
    if is_own:
        return
    yield from _taught(shape, player)
    if pinned:
        yield from _easiest_first(shape, possible_fingerings(shape), player)


@lru_cache(maxsize=4096)
def _named(shape: Frets, player: Player) -> tuple[tuple[Fingering, ...], bool]:
    """The fingerings of the player for a shape, else the standard ones, and whether it has its own.

    Shapes with open strings have no name, and so none of either.
    """
    name = "" if 0 in shape else shape_of(shape)
    own = [text for known, text in player.fingers if known == name]
    texts = own[-1:] or STANDARD_FINGERINGS.get(name, ())
    return tuple(fingering_with(shape, fingers_on(shape, text)) for text in texts), bool(own)


@lru_cache(maxsize=4096)
def _taught(shape: Frets, player: Player) -> tuple[Fingering, ...]:
    """The other fingerings that the rules allow for a shape, the easiest first."""
    standard = [one.fingers for one in _named(shape, player)[0]]
    rest = [row for row in taught_fingerings(shape) if row not in standard]
    return _easiest_first(shape, rest, player)


def _easiest_first(shape: Frets, rows: Sequence[Fingers], player: Player) -> tuple[Fingering, ...]:
    """The fingerings by their strain in the middle of the neck, equal ones in lexical order."""
    if not rows:
        return ()
    found = [fingering_with(shape, row) for row in rows]
    highest = max((fret for fret in shape if fret is not None), default=0)
    base = max(min(COMPARED_AT_FRET - 1, player.neck.frets - highest), 0)
    fret = np.array([finger_frets(one, base) for one in found], dtype=np.int64)
    strain = np.array([one.counts for one in found]) @ count_prices(player.effort)
    strain += stretch_mm(spreads_mm(fret, player.neck), player)
    strain += np.array([_choice_price(shape, row) for row in rows])
    return tuple(found[at] for at in np.argsort(strain, kind="stable"))


def _choice_price(shape: Frets, row: Fingers) -> float:
    hand = pressed(shape, row)
    tips = Counter(one.fret for one in hand if not one.is_barre)
    return (
        OTHER_SHELL_MM * _leaves_shell(shape, row)
        + FREE_INDEX_MM * (INDEX not in row)
        + THREE_TIPS_MM * (max(tips.values(), default=0) > 2)
    )


def _leaves_shell(shape: Frets, row: Fingers) -> bool:
    """Whether the lowest three notes of a larger shape get other fingers than on their own."""
    lowest = [at for at, fret in enumerate(shape) if fret is not None][:3]
    shell = tuple(fret if at in lowest else None for at, fret in enumerate(shape))
    if shell == shape or 0 in shell:
        return False
    standard = STANDARD_FINGERINGS.get(shape_of(shell))
    if standard is None:
        return False
    own = fingers_on(shell, standard[0])
    return any(row[at] != own[at] for at in lowest)


def refusal(shape: str, fingers: str, player: Player) -> str:
    """The reason why a player cannot finger a shape so at any fret, "" if they can.

    Both are written as in `STANDARD_FINGERINGS`.
    """
    frets, row = frets_of_shape(shape), read_row(fingers)
    strings = len(player.neck.tuning)
    if not frets:
        return "a shape begins with 0, its lowest note, and ends on a note"
    if not row:
        return "fingers are 1 to 4, x on a silent string"
    if len(frets) > strings:
        return f"it goes over {len(frets)} strings, the neck has {strings}"
    highest = player.neck.last_fret - max(fret for fret in frets if fret is not None)
    if highest < 0:
        return f"the neck ends at fret {player.neck.last_fret}"
    reason = impossible(frets, row)
    return reason or beyond_reach(finger_frets(fingering_with(frets, row), highest), player)


def stopped_frets(frets: Frets, fingers: Fingers) -> tuple[int, ...]:
    """The fret of each finger, index first; -1 for one that is not used."""
    fret_of = {one.finger: one.fret for one in pressed(frets, fingers)}
    return tuple(fret_of.get(finger, -1) for finger in range(INDEX, LITTLE + 1))


def fingering_with(shape: Frets, fingers: Fingers) -> Fingering:
    """The fingering of a shape with given fingers, which `impossible` does not refuse."""
    hand = pressed(shape, fingers)
    low, high, fret = [-1] * LITTLE, [-1] * LITTLE, [-1] * LITTLE
    for one in hand:
        low[one.finger - 1], high[one.finger - 1] = one.strings[0], one.strings[-1]
        fret[one.finger - 1] = one.fret
    mutes = mutes_of(shape, fingers)
    return Fingering(
        fingers=fingers,
        barres=barres_of(shape, fingers),
        mutes=mutes,
        low=tuple(low),
        high=tuple(high),
        fret=tuple(fret),
        position=hand[0].fret - hand[0].finger + INDEX if hand else INDEX,
        counts=_counts(shape, fingers, mutes),
    )


def _counts(shape: Frets, fingers: Fingers, mutes: tuple[tuple[int, int], ...]) -> tuple[int, ...]:
    hand = pressed(shape, fingers)
    crowded = sum(max((b.finger - a.finger) - (b.fret - a.fret), 0) for a, b in pairwise(hand))
    wide = [one.strings[-1] - one.strings[0] for one in hand if one.is_barre]
    bass = next(string for string, at in enumerate(shape) if at is not None)
    unwanted = {len(shape) - at for at in range(bass, len(shape)) if shape[at] is None}
    unmuted = len(unwanted - {string for string, _ in mutes})
    little = sum(one.finger == LITTLE for one in hand)
    return crowded, little, len(wide), sum(wide) - len(wide), unmuted
