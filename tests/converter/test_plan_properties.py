"""What must hold for every plan: transposing, mirroring, wider windows, more reach, pins."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from midneck.converter.hand.costs import PARTS, candidates, gathered, window_mm
from midneck.converter.hand.grip import Grip
from midneck.converter.hand.planner import plan_hand
from midneck.converter.hand.player import Player, Reach
from midneck.converter.hand.travel import travel_between
from midneck.converter.timeline import timeline_of
from support.hand_sheets import form, sheet, straight
from support.roots import ROOTS

KINDS = ("7", "m7", "6", "maj7", "m6", "m7b5", "7b9", "")


def random_sheet(seed: int):
    chance = random.Random(seed)
    symbols = [chance.choice(ROOTS) + chance.choice(KINDS) for _ in range(chance.randint(2, 9))]
    written = sheet(" ".join(symbols), tempo=chance.randrange(80, 240, 20))
    order = [*range(len(symbols)), *(chance.randrange(len(symbols)) for _ in range(4))]
    return written, form(order, written)


def cost(played, player: Player) -> float:
    return plan_hand(timeline_of(*played), player).effort_mm


@pytest.mark.parametrize("seed", range(40))
def test_a_wider_window_or_reach_never_costs_more(seed: int) -> None:
    played = random_sheet(seed)
    player = Player(window=(4, 9))
    base = cost(played, player)
    assert cost(played, replace(player, window=(3, 9))) <= base
    assert cost(played, replace(player, window=(4, 11))) <= base
    assert cost(played, replace(player, reach=Reach().scaled(1.1))) <= base
    limits = tuple(1.2 * limit for limit in Reach().limit_mm)
    assert cost(played, replace(player, reach=Reach(limit_mm=limits))) <= base


@pytest.mark.parametrize("seed", range(40))
def test_a_pin_never_lowers_the_cost(seed: int) -> None:
    written, order = random_sheet(seed)
    free = plan_hand(timeline_of(written, order))
    own = _pinned(written, 0, free.grips[0].frets)
    assert plan_hand(timeline_of(own, order)).effort_mm == free.effort_mm
    for grip in candidates(written.chords[0].chord, Player(), "shell").grips[::5]:
        assert (
            plan_hand(timeline_of(_pinned(written, 0, grip.frets), order)).effort_mm
            >= free.effort_mm
        )


def _pinned(written, index: int, frets):
    bars = list(written.bars)
    chord = replace(bars[index].chords[0], pin=frets)
    bars[index] = replace(bars[index], chords=(chord,))
    return replace(written, bars=tuple(bars))


@pytest.mark.parametrize("seed", range(40))
def test_the_left_hand_is_the_mirror_image(seed: int) -> None:
    played = random_sheet(seed)
    assert plan_hand(timeline_of(*played), Player(hand="left")) == plan_hand(
        timeline_of(*played), Player(hand="right")
    )


#: ii–V–I's and turnarounds as they lie on the neck, roots inside the window.
WALKS = (
    ("Gm7 C7 F6", ["3 x 3 3 x x", "x 3 2 3 x x", "x 8 7 7 x x"]),
    ("Cm7 F7 Bb6", ["8 x 8 8 x x", "x 8 7 8 x x", "6 x 5 7 x x"]),
    ("Dm7 G7 C6", ["x 5 3 5 x x", "3 x 3 4 x x", "x 3 2 2 x x"]),
    ("G7 Cm6 Am7 D7", ["3 x 3 4 x x", "x 3 1 2 x x", "5 x 5 5 x x", "x 5 4 5 x x"]),
    ("Bbm7 Eb7 Abmaj7 Ab6", ["6 x 6 6 x x", "x 6 5 6 x x", "4 x 5 5 x x", "4 x 3 5 x x"]),
)


@pytest.mark.parametrize(("symbols", "frets"), WALKS)
def test_moving_the_same_frets_along_the_neck_changes_no_finger(symbols, frets) -> None:
    pins = [tuple(None if one == "x" else int(one) for one in row.split()) for row in frets]
    roots = [next(fret for fret in row if fret is not None) for row in pins]
    shifts = range(3 - min(roots), 11 - max(roots))
    fingers = set()
    for shift in shifts:
        moved = [tuple(None if one is None else one + shift for one in row) for row in pins]
        written = sheet(_transposed(symbols, shift), dict(enumerate(moved)))
        plan = plan_hand(straight(written))
        fingers.add(tuple(grip.fingers for grip in plan.grips))
    assert len(shifts) > 2
    assert len(fingers) == 1


def _transposed(symbols: str, shift: int) -> str:
    words = []
    for symbol in symbols.split():
        root = symbol[: 2 if symbol[1:2] == "b" else 1]
        words.append(ROOTS[(ROOTS.index(root) + shift) % 12] + symbol.removeprefix(root))
    return " ".join(words)


def test_ties_are_broken_by_the_order_of_candidates() -> None:
    """Two chords alike, nothing to choose between: both get the first candidate."""
    written = sheet("C7 C7 C7")
    plan = plan_hand(straight(written))
    assert len(set(plan.grips)) == 1
    assert plan.travel.changes == 0


# Judgements of players that the weights must give back (common practice, no source).


def grip_of(symbol: str, pin: str) -> Grip:
    """The pinned frets in the fingering that a single chord gets: the standard one."""
    row = tuple(None if one == "x" else int(one) for one in pin.split())
    written = sheet(symbol, {0: row})
    return plan_hand(straight(written)).grips[0]


def change(symbols: str, *pins: str) -> float:
    start, goal = (grip_of(*one) for one in zip(symbols.split(), pins, strict=True))
    return travel_between(start, goal, Player())


def test_two_to_five_on_one_fret_is_nearly_free() -> None:
    on_one_fret = change("Gm7 C7", "3 x 3 3 x x", "x 3 2 3 x x")
    two_frets = change("Gm7 Fm7", "5 x 5 5 x x", "3 x 3 3 x x")
    assert on_one_fret < two_frets / 3
    assert on_one_fret < 8  # mm: less than a third of a fret in the middle of the neck


@pytest.mark.parametrize(
    ("symbols", "pins"),
    [
        ("C6 F#7", ("x 3 2 2 x x", "2 x 2 3 x x")),
        ("F6 B7", ("x 8 7 7 x x", "7 x 7 8 x x")),
        ("A7 D6", ("5 x 5 6 x x", "x 5 4 4 x x")),
    ],
)
def test_a_two_fret_shift_costs_less_than_new_fingers_on_other_strings(symbols, pins) -> None:
    """Even where the hand itself stays or goes one fret; no finger keeps its string."""
    for fret in range(3, 9):
        assert _slide(fret + 2, -2) < change(symbols, *pins)


def test_stretches_cost_more_low_on_the_neck() -> None:
    costs = [_strain(f"x {fret} {fret - 2} {fret} x x", fret) for fret in range(3, 11)]
    assert costs == sorted(costs, reverse=True)
    assert costs[0] > costs[-1] > 0


def _strain(pin: str, fret: int) -> float:
    grip = grip_of(f"{ROOTS[(9 + fret) % 12]}m7", pin)
    found = gathered([grip.voicing], Player())
    return float(found.parts[found.grips.index(grip), PARTS.index("stretch_mm")])


def test_frets_three_to_ten_are_free_two_and_eleven_tolerable() -> None:
    prices = {fret: window_mm(fret, Player()) for fret in range(1, 14)}
    assert {prices[fret] for fret in range(3, 11)} == {0.0}
    assert 0 < prices[2] == prices[11] < prices[1] == prices[12] < prices[13]


def test_a_change_in_a_fast_bar_costs_more_than_one_across_four_slow_beats() -> None:
    costs = []
    for tempo, beats in ((60, 4), (120, 4), (240, 4), (240, 2), (240, 1)):
        written = sheet("Dm7 G7", tempo=tempo, beats=beats)
        costs.append(plan_hand(straight(written)).effort_mm)
    assert costs == sorted(costs)
    assert costs[0] < costs[-1]


def test_a_five_fret_leap_costs_more_than_two_shifts_of_two_frets() -> None:
    for fret in range(3, 11):
        leap = _slide(fret, 5)
        assert leap > _slide(fret, 2) + _slide(fret + 2, 2)


def _slide(fret: int, frets: int) -> float:
    rows = [f"{at} x {at} {at + 1} x x" for at in (fret, fret + frets)]
    roots = [ROOTS[(4 + at) % 12] for at in (fret, fret + frets)]
    return change(f"{roots[0]}7 {roots[1]}7", *rows)
