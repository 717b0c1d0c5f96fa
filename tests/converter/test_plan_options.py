"""Pins, options and what no hand can do: every refusal is said with chord, bar and reason."""

from __future__ import annotations

import itertools
import random

import pytest
from midneck.converter.explain import played_changes
from midneck.converter.hand.graph import build
from midneck.converter.hand.plan import PlanError, PlanOptions
from midneck.converter.hand.planner import plan_hand, single_changes, task_of
from midneck.converter.hand.player import Neck, Player, Reach
from midneck.converter.hand.solver import solve
from midneck.converter.timeline import timeline_of
from midneck.grammar.text.reader import read_sheet
from support.hand_sheets import form, planned, sheet, straight
from support.roots import ROOTS

X = None


def test_a_pin_is_kept_and_the_rest_planned_around_it() -> None:
    free = sheet("Dm7 G7 C6 A7")
    pinned = sheet("Dm7 G7 C6 A7", {0: (X, 5, 3, 5, X, X)})
    plan = plan_hand(straight(pinned))
    assert plan.grips[0].frets == (X, 5, 3, 5, X, X)
    assert plan.grips[0].fingers == (X, 2, 1, 3, X, X)
    assert plan.grips[1].frets == (3, X, 3, 4, X, X)
    assert plan.effort_mm >= plan_hand(straight(free)).effort_mm


def test_a_pin_may_hold_open_strings_and_foreign_notes() -> None:
    written = sheet("Am7 D7", {0: (X, 0, 2, 0, 1, 0), 1: (X, 5, 4, 5, 5, X)})
    plan = plan_hand(straight(written))
    open_grip, ninth = plan.grips
    assert open_grip.fingers == (X, X, 2, X, 1, X)
    assert [note.midi for note in open_grip.voicing.notes] == [45, 52, 55, 60, 64]
    assert ninth.voicing.notes[-1].tone.degree == 9


@pytest.mark.parametrize(
    ("pin", "reason"),
    [
        ((1, X, 9, 1, X, X), "cannot be fingered within this player's reach"),
        ((1, 2, 3, 4, 5, 6), "cannot be fingered within this player's reach"),
        ((X, 24, 22, 24, X, X), "goes to fret 24, the neck ends at 19"),
        ((X, 5, 3, 5), "has 4 strings, the neck 6"),
        ((X, X, X, X, X, X), "sounds no string"),
    ],
)
def test_an_impossible_pin_names_chord_bar_and_reason(pin, reason: str) -> None:
    written = sheet("G7 Dm7", {1: pin})
    with pytest.raises(PlanError, match=rf"^bar 2, Dm7: the pinned grip .* {reason}$"):
        plan_hand(straight(written))


def test_all_impossible_chords_are_named_at_once() -> None:
    written = sheet("G7 Dm7 C6", {0: (1, X, 9, 1, X, X), 2: (X, 5, 3, 5)})
    with pytest.raises(PlanError) as caught:
        plan_hand(straight(written))
    lines = str(caught.value).splitlines()
    assert [line.partition(":")[0] for line in lines] == ["bar 1, G7", "bar 3, C6"]


def test_a_hand_too_small_is_told_so() -> None:
    player = Player(reach=Reach((1.0,) * 6, (1.0,) * 6))
    written = sheet("G7")
    with pytest.raises(PlanError, match="bar 1, G7: no hand of this reach can hold it"):
        plan_hand(straight(written), player)


def test_a_string_without_a_grip_is_told() -> None:
    written = sheet("G7")
    with pytest.raises(PlanError, match="bar 1, G7: no grip has its root on string 2"):
        plan_hand(straight(written), options=PlanOptions(first_root_string=2))


def test_the_first_root_string_binds_the_first_chord_played() -> None:
    written = sheet("Dm7 G7 C6")
    plan = plan_hand(
        timeline_of(written, form([1, 2, 0], written)), options=PlanOptions(first_root_string=5)
    )
    assert plan.grips[1].voicing.notes[0].string == 5


def test_smooth_makes_the_worst_change_least_and_then_the_sum() -> None:
    written = sheet("Gm7 Bb6 Bbm7 Dm7 Cm7 Gm7")
    plain, smooth = (_worst_and_cost(written, PlanOptions(smooth=asked)) for asked in (False, True))
    assert smooth[0] < plain[0]
    assert smooth[1] > plain[1]


def _worst_and_cost(written, options: PlanOptions) -> tuple[float, float]:
    chart = planned(written, options=options)
    assert chart.plan.travel.optimal
    return max(change.effort_mm for change in played_changes(chart)), chart.plan.effort_mm


@pytest.mark.parametrize("seed", range(20))
def test_smooth_plans_are_those_of_brute_force(seed: int) -> None:
    """The least worst change, and the least sum with it, over all plans of a small tune."""
    chance = random.Random(seed)
    symbols = [chance.choice(ROOTS) + chance.choice(("7", "m7", "6", "maj7")) for _ in range(5)]
    written = sheet(" ".join(symbols))
    task = task_of(straight(written), Player(), PlanOptions(smooth=True))
    plain = build(task.choices, [1] * len(task.choices), task.changes)
    single = single_changes(task.choices, task.changes)
    every = itertools.product(*(range(len(choice.grips)) for choice in task.choices))
    expected = min((single.worst(labels), plain.cost(labels)) for labels in every)
    found = solve(task.graph)
    assert (single.worst(found.labels), found.cost_mm) == expected


def test_a_smooth_plan_keeps_to_the_window() -> None:
    written = sheet("Gm7 C7 F6 D7 C#m7 F#7 Bb6 Ab7 Em7 A7")
    plan = plan_hand(straight(written), options=PlanOptions(smooth=True))
    assert plan.travel.outside_window == 0


def test_faster_tunes_cost_more_travel() -> None:
    slow, fast = sheet("Dm7 G7 C6 A7", tempo=60), sheet("Dm7 G7 C6 A7", tempo=240)
    assert plan_hand(straight(slow)).effort_mm < plan_hand(straight(fast)).effort_mm
    by_wish = plan_hand(straight(slow), options=PlanOptions(tempo=240))
    assert by_wish.effort_mm == plan_hand(straight(fast)).effort_mm


def test_the_neck_may_be_short() -> None:
    written = sheet("Dm7 G7 C6 A7")
    plan = plan_hand(straight(written), Player(neck=Neck(highest_fret=7)))
    assert plan.travel.highest_fret <= 7


def pinned_with(fingers: str) -> str:
    return f"Key: C\n\n| G7 | Am7<5 x 5 5 x x: {fingers}> | D7 |\n"


def test_fingers_of_a_pin_bind() -> None:
    """The minor seventh with three fingertips, taught too (common practice, no source)."""
    sheet = read_sheet(pinned_with("2 - 3 4 - -"))
    plan = plan_hand(timeline_of(sheet))
    assert plan.grips[1].fingers == (2, X, 3, 4, X, X)
    assert plan.grips[1].barres == ()
    free = plan_hand(timeline_of(read_sheet("Key: C\n\n| G7 | Am7<5 x 5 5 x x> | D7 |\n")))
    assert free.grips[1].fingers == (2, X, 3, 3, X, X)


def test_a_finger_that_teachers_seldom_give_binds_in_a_pin() -> None:
    """The index lying on a silent string, the middle finger flat: possible, and asked for."""
    for pin, fingers in (("5 x 5 7 x x", "1 - 1 3 - -"), ("x 5 4 4 x x", "- 3 2 2 - -")):
        sheet = read_sheet(f"| D7<{pin}: {fingers}> | G7 |\n")
        grip = plan_hand(timeline_of(sheet)).grips[0]
        wanted = tuple(None if one == "-" else int(one) for one in fingers.split())
        assert grip.fingers == wanted


@pytest.mark.parametrize(
    ("fingers", "reason"),
    [
        ("2 - 3 - - -", "string 3 is stopped without a finger"),
        ("2 1 3 3 - -", "string 5 has a finger but is not stopped"),
        ("3 - 2 2 - -", "the middle finger and the ring finger cross at one fret, with a barre"),
    ],
)
def test_fingers_that_cannot_hold_a_pin_are_refused_with_source_line_and_column(
    fingers: str, reason: str
) -> None:
    sheet = read_sheet(pinned_with(fingers), "tune.txt")
    with pytest.raises(PlanError) as caught:
        plan_hand(timeline_of(sheet))
    assert str(caught.value) == (
        "tune.txt:3:8: bar 2, Am7: the pinned grip 5 x 5 5 x x cannot be held with its fingers: "
        + reason
    )


def test_fingers_of_a_pin_beyond_reach_are_told_in_millimetres() -> None:
    """From fret 1 to fret 5 on a scale of 647.7 mm: 647.7 (2^(-1/12) - 2^(-5/12)) = 126 mm."""
    sheet = read_sheet("| F7<1 x 5 5 x x: 1 - 3 4 - -> |\n")
    with pytest.raises(PlanError, match="index and ring finger are 126 mm apart, beyond the reach"):
        plan_hand(timeline_of(sheet))


def test_a_pin_out_of_reach_names_source_line_and_column() -> None:
    sheet = read_sheet("Key: C\n\n| C6 |\n| G7 | Dm7<1 x 9 1 x x> |\n", "tune.txt")
    with pytest.raises(PlanError, match=r"^tune\.txt:4:8: bar 3, Dm7: the pinned grip 1 x 9 1"):
        plan_hand(timeline_of(sheet))
