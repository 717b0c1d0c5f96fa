"""How far the hand goes in a finished plan, in the figures that a teacher reads.

Takes the grips of a chorus in played order, gives a `Travel`.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import hypot

from .grip import Grip, places_of
from .plan import Travel
from .player import Player


def travel_of(grips: Sequence[Grip], written: Sequence[Grip], player: Player, gap: float) -> Travel:
    """The travel of one chorus: `grips` as played one after the other, `written` as printed.

    Frets and reach are those of all of them, roots outside the window those of the printed ones.
    `gap` is 0.0 for a plan that is proved to be the least. A change is a move to a different grip
    or voicing; a chord that is struck again in the same grip moves nothing.
    """
    moves = [(a, b) for a, b in pairwise((*grips, *grips[:1])) if a != b]
    shifts = [abs(a.position - b.position) for a, b in moves]
    held = (*grips, *written)
    frets = [fret for grip in held for fret in grip.frets if fret is not None]
    low, high = player.window
    return Travel(
        shift_frets=sum(shifts),
        shifts=sum(1 for shift in shifts if shift),
        changes=len(moves),
        travel_mm=sum(way_mm(a, b, player) for a, b in moves),
        outside_window=sum(1 for one in written if not low <= one.voicing.root.fret <= high),
        lowest_fret=min(frets, default=0),
        highest_fret=max(frets, default=0),
        widest_reach_mm=max((reach_mm(grip, player) for grip in held), default=0.0),
        optimal=gap == 0.0,
        gap=gap,
    )


def way_mm(start: Grip, goal: Grip, player: Player) -> float:
    """The way of hand and fingers from one grip to another in mm: lengths alone, no prices.

    The shift of the hand along the neck, and for each finger that stays in use and does not stand
    still its way relative to the hand.
    """
    neck = player.neck
    shift = neck.fret_mm(goal.position) - neck.fret_mm(start.position)
    before, after = places_of(start), places_of(goal)
    fingers = 0.0
    for finger, place in before.items():
        other = after.get(finger)
        if other is not None and not place.stands_as(other):
            along = neck.fret_mm(other.fret) - neck.fret_mm(place.fret) - shift
            fingers += hypot(along, (other.low - place.low) * neck.string_gap_mm)
    return abs(shift) + fingers


def reach_mm(grip: Grip, player: Player) -> float:
    """The spread from the lowest to the highest stopped fret along the neck, in mm."""
    stopped = [fret for fret in grip.frets if fret]
    neck = player.neck
    return neck.fret_mm(max(stopped)) - neck.fret_mm(min(stopped)) if stopped else 0.0
