"""All playable fingerings, against trying every finger on every string and judging each row."""

from __future__ import annotations

import itertools
import random

import pytest
from midneck.converter.hand.fingerings import barres_of, fingerings, mutes_of

X = None


def playable(shape, row) -> bool:
    """The rules of a fingering, each said on its own (common practice, no source)."""
    stops = [
        (fret, string, finger)
        for string, (fret, finger) in enumerate(zip(shape, row, strict=True))
        if fret
    ]
    for (fret, string, finger), (other_fret, other, other_finger) in itertools.permutations(
        stops, 2
    ):
        if fret < other_fret and finger >= other_finger:
            return False  # a higher fret takes a higher finger
        if fret == other_fret and string < other and finger > other_finger:
            return False  # on one fret the higher finger stands on the thinner string
    for finger in (1, 2, 3, 4):
        strings = [string for _, string, one in stops if one == finger]
        if len(strings) > 1 and not barre_lies(shape, strings, finger):
            return False
    return True


def barre_lies(shape, strings, finger) -> bool:
    low, high = strings[0], strings[-1]
    fret = shape[low]
    between = shape[low : high + 1]
    if any(one is None or one < fret for one in between):
        return False  # an open or silent string under the barre would sound
    if any(one is not None and one < fret for one in shape[high + 1 :]):
        return False  # the flesh of the barre lies on over the thinner strings
    if finger == 1:
        return True
    return high - low <= 2 and all(one == fret for one in between)


def by_trial(shape) -> set:
    """Every row of fingers 1 to 4 on the stopped strings that the rules allow."""
    choices = [(1, 2, 3, 4) if fret else (None,) for fret in shape]
    return {row for row in itertools.product(*choices) if playable(shape, row)}


SHAPES = [
    (1, X, 1, 1, X, X), (X, 3, 2, 2, X, X), (1, X, 1, 2, 1, X), (1, 3, 3, 2, 1, 1),
    (X, 0, 2, 2, 2, 0), (X, 1, 3, 3, 3, X), (3, 2, 0, 0, 0, 3), (0, 0, 0, 0, 0, 0),
    (X, X, 1, 1, 1, 1), (2, X, 2, 2, 1, X), (1, 2, 3, 4, 5, 6),
]  # fmt: skip


@pytest.mark.parametrize("shape", SHAPES, ids=str)
def test_fingerings_are_all_that_the_rules_allow(shape) -> None:
    found = fingerings(shape)
    assert set(found) == by_trial(shape)
    assert len(set(found)) == len(found)
    assert list(found) == sorted(found, key=lambda row: [(fret, row[at]) for fret, at in
                                 sorted((f, s) for s, f in enumerate(shape) if f)])  # fmt: skip


def test_fingerings_of_random_shapes_are_all_that_the_rules_allow() -> None:
    chance = random.Random(5)
    many = 0
    for _ in range(400):
        shape = tuple(chance.choice((X, X, 0, 1, 1, 2, 2, 3, 4)) for _ in range(6))
        if all(fret is None for fret in shape):
            continue
        assert set(fingerings(shape)) == by_trial(shape)
        many += len(fingerings(shape)) > 1
    assert many > 100


def test_no_hand_has_five_fingers() -> None:
    assert fingerings((1, 2, 3, 4, 5, X)) == ()


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
