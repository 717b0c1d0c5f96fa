"""All fingerings that a teacher gives, against trying every finger on every string.

The judge is `support.hand_anatomy`, which knows nothing of the rules of the planner.
"""

from __future__ import annotations

import itertools
import random
from dataclasses import replace

import pytest
from midneck.converter.hand.finger_rules import impossible, untaught
from midneck.converter.hand.fingerings import (
    barres_of,
    fingering_of,
    mutes_of,
    possible_fingerings,
    taught_fingerings,
)
from midneck.converter.hand.player import ADULT, PRESETS, SMALL_HAND
from support import hand_anatomy

X = None

SHAPES = [
    (1, X, 1, 1, X, X), (X, 3, 2, 2, X, X), (1, X, 1, 2, 1, X), (1, 3, 3, 2, 1, 1),
    (X, 0, 2, 2, 2, 0), (X, 1, 3, 3, 3, X), (3, 2, 0, 0, 0, 3), (0, 0, 0, 0, 0, 0),
    (X, X, 1, 1, 1, 1), (2, X, 2, 2, 1, X), (1, 2, 3, 4, 5, 6), (1, 1, 1, 1, 1, 1),
]  # fmt: skip


def rows(shape):
    """Every row of fingers 1 to 4 on the stopped strings."""
    return itertools.product(*((1, 2, 3, 4) if fret else (X,) for fret in shape))


def in_order(shape, row) -> bool:
    """Whether at one fret thinner strings have no lower finger: the search looks no further."""
    stops = [(fret, finger) for fret, finger in zip(shape, row, strict=True) if fret]
    return all(a <= b for (one, a), (other, b) in itertools.combinations(stops, 2) if one == other)


@pytest.mark.parametrize("shape", SHAPES, ids=str)
def test_taught_fingerings_are_all_that_anatomy_and_teachers_allow(shape) -> None:
    found = taught_fingerings(shape)
    expected = {r for r in rows(shape) if in_order(shape, r) and not hand_anatomy.faults(shape, r)}
    assert set(found) == expected
    assert len(found) == len(expected)


def random_shapes(count: int):
    chance = random.Random(5)
    while count:
        shape = tuple(chance.choice((X, X, 0, 1, 1, 2, 2, 3, 4)) for _ in range(6))
        if any(shape):
            count -= 1
            yield shape


def test_fingerings_of_random_shapes_are_all_that_the_rules_allow() -> None:
    many = 0
    for shape in random_shapes(300):
        expected = {
            row
            for row in rows(shape)
            if in_order(shape, row) and not hand_anatomy.faults(shape, row)
        }
        assert set(taught_fingerings(shape)) == expected
        many += len(expected) > 1
    assert many > 100


def test_the_two_judges_of_what_is_possible_agree_row_by_row() -> None:
    refused = 0
    for shape in random_shapes(90):
        for row in rows(shape):
            assert bool(impossible(shape, row)) == any(hand_anatomy.impossible(shape, row))
            if not impossible(shape, row):
                assert bool(untaught(shape, row)) == any(hand_anatomy.untaught(shape, row))
                refused += bool(untaught(shape, row))
        assert all(not impossible(shape, row) for row in possible_fingerings(shape))
    assert refused > 100


def test_no_hand_has_five_fingers() -> None:
    assert taught_fingerings((1, 2, 3, 4, 5, X)) == possible_fingerings((1, 2, 3, 4, 5, X)) == ()


#: Frets and fingers of all strings, and what is wrong with them: fingerings that no teacher gives.
REFUSED = [
    # little-finger barres
    ((X, 3, 5, 5, 5, X), (X, 1, 4, 4, 4, X), "the little finger cannot lie across 3 strings"),
    ((8, X, 9, 9, X, X), (3, X, 4, 4, X, X), "a barre of the little finger"),
    ((X, 5, 7, 7, X, X), (X, 1, 4, 4, X, X), "a barre of the little finger"),
    ((X, X, 5, 5, 5, X), (X, X, 4, 4, 4, X), "the little finger cannot lie across 3 strings"),
    # a barre of the ring finger with index and middle finger free
    ((8, X, 7, 7, X, X), (4, X, 3, 3, X, X), "a barre of the ring finger with the index free"),
    ((X, 12, 10, 10, X, X), (X, 4, 3, 3, X, X), "a barre of the ring finger with the index free"),
    ((X, 5, 5, 5, X, X), (X, 3, 3, 3, X, X), "a barre of the ring finger with the index free"),
    # the middle finger laid flat
    ((X, 8, 7, 7, X, X), (X, 3, 2, 2, X, X), "a barre of the middle finger"),
    # a full barre that leaves string 1 to another finger
    ((5, 8, 5, 5, 5, 5), (1, 4, 1, 1, 1, 2), "another finger beside the barre of the index finger"),
    # index and little finger on neighbouring frets
    ((X, 5, 6, X, X, X), (X, 1, 4, X, X, X), "index and little finger on neighbouring frets"),
    ((6, X, 6, 7, X, X), (1, X, 2, 4, X, X), "index and little finger on neighbouring frets"),
    ((5, 5, 5, 5, X, X), (1, 2, 3, 4, X, X), "4 fingers on one fret"),
    # what a barre covers
    ((3, X, 3, 5, X, X), (1, X, 1, 3, X, X), "a silent string lies under the index finger"),
    ((X, 5, 6, 6, 5, X), (X, 1, 3, 3, 2, X), "the ring finger lies over a thinner string"),
    ((5, 4, 5, 5, X, X), (2, 1, 2, 2, X, X), "a note below its fret lies under the middle finger"),
    ((X, 0, 2, 2, 2, 0), (X, X, 1, 1, 1, X), "the index finger lies over a thinner string"),
    # fingers out of order
    ((3, X, 3, 4, X, X), (3, X, 4, 2, X, X), "the ring finger is on a lower fret than the middle"),
    ((3, X, 3, 4, X, X), (2, X, 3, 2, X, X), "the middle finger is on two frets"),
]  # fmt: skip


@pytest.mark.parametrize(("frets", "fingers", "reason"), REFUSED)
def test_fingerings_that_no_teacher_gives_are_refused_with_the_reason(
    frets, fingers, reason: str
) -> None:
    assert reason in (impossible(frets, fingers) or untaught(frets, fingers))
    assert fingers not in taught_fingerings(frets)
    assert hand_anatomy.faults(frets, fingers)


@pytest.mark.parametrize("name", PRESETS)
def test_a_shape_has_the_same_fingers_at_every_fret_in_reach_of_the_first_choice(name) -> None:
    """Along the neck only the reach of the hand changes the fingers, never back and forth."""
    player = PRESETS[name]
    changed = 0
    for shape in random_shapes(150):
        if 0 in shape:
            continue
        found = []
        for base in range(player.neck.frets - 4):
            frets = tuple(fret and fret + base for fret in shape)
            one = fingering_of(frets, player)
            found.append(None if one is None else one.fingers)
        runs = [key for key, _ in itertools.groupby(found)]
        assert len(runs) == len(set(runs)), (shape, found)
        changed += len(runs) > 1
    assert changed > 0


def test_the_fingering_of_a_shape_is_the_same_on_other_strings() -> None:
    for low in range(3):
        frets = [X] * 6
        frets[low : low + 4] = (5, X, 5, 6)
        one = fingering_of(tuple(frets), ADULT)
        assert [finger for finger in one.fingers if finger] == [1, 2, 3]


#: The shortest distance in frets from the index to another finger that a small hand does not reach
#: below fret 5: one fret a finger and one more.
WIDE = {2: 2, 3: 3, 4: 4}


def test_small_hands_do_not_stretch_the_index_low_on_the_neck() -> None:
    low, high = 0, 0
    for shape in random_shapes(400):
        for base in range(0 if 0 in shape else 9):
            frets = tuple(fret and fret + base for fret in shape)
            one = fingering_of(frets, SMALL_HAND)
            if one is None or one.fret[0] < 0:
                continue
            index = one.fret[0] + base
            wide = any(
                one.fret[finger - 1] - one.fret[0] >= far
                for finger, far in WIDE.items()
                if one.fret[finger - 1] >= 0
            )
            low += wide and index <= 4
            high += wide and index > 4
    assert low == 0
    assert high > 0


@pytest.mark.parametrize(
    ("index", "fingers"), [(1, (3, 1, 4)), (4, (3, 1, 4)), (5, (2, 1, 3)), (8, (2, 1, 3))]
)
def test_small_hands_take_the_minor_seventh_low_on_the_neck_with_the_ring_finger(
    index: int, fingers
) -> None:
    """3, 1, 4 for the root on string 5 (common practice, no source)."""
    frets = (X, index + 2, index, index + 2, X, X)
    assert fingering_of(frets, SMALL_HAND).fingers[1:4] == fingers
    assert fingering_of(frets, ADULT).fingers[1:4] == (2, 1, 3)


def test_a_hand_too_small_for_a_shape_has_no_fingering() -> None:
    tiny = replace(ADULT, reach=ADULT.reach.scaled(0.3))
    assert fingering_of((1, X, 1, 4, X, X), tiny) is None


@pytest.mark.parametrize(
    ("frets", "fingers", "barres"),
    [
        ((3, X, 3, 3, X, X), (2, X, 3, 3, X, X), [(3, 3, 4, 3)]),
        ((1, 3, 3, 2, 1, 1), (1, 3, 4, 2, 1, 1), [(1, 1, 6, 1)]),
        ((X, 8, 7, 7, X, X), (X, 2, 1, 1, X, X), [(1, 7, 4, 3)]),
        ((X, 3, 2, 3, X, X), (X, 2, 1, 3, X, X), []),
    ],
)
def test_barres_run_from_the_low_string_to_the_high(frets, fingers, barres) -> None:
    found = [(one.finger, one.fret, one.low, one.high) for one in barres_of(frets, fingers)]
    assert found == barres


@pytest.mark.parametrize(
    ("frets", "fingers", "mutes"),
    [
        # the root's finger leans on string 5, the index lies over strings 2 and 1
        ((3, X, 3, 3, X, X), (2, X, 3, 3, X, X), ((5, 2), (2, 1), (1, 1))),
        # the root's fingertip touches string 6
        ((X, 3, 2, 3, X, X), (X, 2, 1, 3, X, X), ((6, 2), (2, 1), (1, 1))),
        # an open string above: the index cannot lie over it, the next finger leans on string 4
        ((X, 2, X, 2, X, 0), (X, 1, X, 2, X, X), ((6, 1), (4, 1), (2, 2))),
        # strings far below the bass are left alone
        ((X, X, X, 4, 5, X), (X, X, X, 1, 2, X), ((4, 1), (1, 1))),
    ],
)
def test_unwanted_strings_have_their_finger(frets, fingers, mutes) -> None:
    assert mutes_of(frets, fingers) == mutes
