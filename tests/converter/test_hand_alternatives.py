"""Other grips inside the window first, other styles, the next best plan, a hand that stays."""

from __future__ import annotations

import numpy as np
import pytest
from midneck.converter.alternatives import (
    EFFORT_PARTS,
    alternatives,
    in_other_styles,
    next_best,
    staying,
)
from midneck.converter.explain import played_changes
from midneck.converter.hand.plan import PlanOptions
from midneck.converter.hand.planner import plan_hand, task_of
from midneck.converter.hand.player import Neck, Player
from midneck.converter.make import make_chart
from midneck.converter.prose.hand import explanation_lines
from midneck.converter.timeline import timeline_of
from midneck.grammar.text.reader import read_sheet
from support.brute_force import brute_force
from support.charts import chart_of
from support.hand_sheets import planned, sheet

TUNES = ("Dm7 G7 C6", "Em7 A7 Dm7 Ab7", "Cm7 F7 Bbmaj7", "Gm7b5 C7b9 Fm6", "F6 D7 Gm7 Gb7")


@pytest.mark.parametrize("symbols", TUNES)
def test_grips_inside_the_window_come_before_all_others(symbols: str) -> None:
    chart = planned(sheet(symbols))
    for others in alternatives(chart, range(len(chart.plan.grips)), count=20):
        inside = [other.inside for other in others]
        assert inside == sorted(inside, reverse=True)
        for place in (True, False):
            added = [other.added_mm for other in others if other.inside == place]
            assert added == sorted(added)
        for other in others:
            assert other.inside == (3 <= other.grip.voicing.notes[0].fret <= 10)


def highest_offered(symbols: str, player: Player) -> list[int]:
    """The highest frets of the grips that are offered beside those of a plan."""
    chart = make_chart(sheet(symbols), player)
    offered = alternatives(chart, range(len(chart.plan.grips)), count=30)
    return [
        max(fret for fret in other.grip.frets if fret is not None)
        for others in offered
        for other in others
    ]


@pytest.mark.parametrize("window", [(3, 10), (5, 12), (1, 5)])
@pytest.mark.parametrize("symbols", TUNES)
def test_no_grip_is_offered_beyond_the_reach_of_the_window(
    symbols: str, window: tuple[int, int]
) -> None:
    """Four frets above it, or the highest fret that the player names."""
    low = highest_offered(symbols, Player(window=window))
    high = highest_offered(symbols, Player(Neck(highest_fret=18), window=window))
    assert low == [fret for fret in high if fret <= window[1] + 4]
    assert all(fret <= 18 for fret in high)
    assert window != (3, 10) or low != high


@pytest.mark.parametrize("symbols", TUNES)
def test_the_parts_of_what_is_added_make_the_whole(symbols: str) -> None:
    chart = planned(sheet(symbols))
    for other, *_ in alternatives(chart, range(len(chart.plan.grips))):
        assert len(other.parts_mm) == len(EFFORT_PARTS)
        assert sum(other.parts_mm) == pytest.approx(other.added_mm, abs=0.01)


@pytest.mark.parametrize("symbols", TUNES)
def test_the_next_best_plan_is_the_second_of_brute_force(symbols: str) -> None:
    """The least of all plans with other frets for at least one chord."""
    chart = planned(sheet(symbols))
    task = task_of(chart.timeline, chart.player, chart.options)
    costs = brute_force(task)
    best = [grip.frets for grip in chart.plan.grips]
    same = np.ones(costs.shape, dtype=bool)
    for axis, choice in enumerate(task.choices):
        shape = [-1 if one == axis else 1 for one in range(costs.ndim)]
        same &= np.array([grip.frets == best[axis] for grip in choice.grips]).reshape(shape)
    expected = costs[~same].min() - costs.min()
    other = next_best(chart)
    assert other is not None
    assert other.added_mm == pytest.approx(expected, abs=0.01)
    assert other.grip.frets != best[other.chord]


@pytest.mark.parametrize("symbols", TUNES)
def test_a_hand_that_stays_costs_what_brute_force_says(symbols: str) -> None:
    chart = planned(sheet(symbols))
    task = task_of(chart.timeline, chart.player, chart.options)
    costs = brute_force(task)
    changes = [
        one for one in played_changes(chart) if one.grips[0].position != one.grips[1].position
    ]
    found = staying(chart, played_changes(chart))
    assert [change for change, _ in found] == changes
    for change, other in found:
        start, goal = (task.node_of[chord] for chord in (change.start, change.goal))
        kept = [
            row for row, grip in enumerate(task.choices[start].grips) if grip == change.grips[0]
        ]
        near = [
            row
            for row, grip in enumerate(task.choices[goal].grips)
            if grip.position == change.grips[0].position
        ]
        assert (other is None) == (not near)
        if other is not None:
            part = costs.take(kept, axis=start).take(near, axis=goal)
            assert other.added_mm == pytest.approx(part.min() - costs.min(), abs=0.01)
            assert other.grip.position == change.grips[0].position


def test_other_styles_are_offered_with_what_their_pin_costs() -> None:
    """The added effort is that of the tune planned with the grip as a pin."""
    text = "Key: C\n\n| Dm7 | G7 | Cmaj7 | A7 |\n"
    chart = make_chart(read_sheet(text))
    found = in_other_styles(chart, 1)
    assert [other.style for other in found] == ["guide tones", "colour", "four-note"]
    for other in found:
        frets = " ".join("x" if fret is None else str(fret) for fret in other.grip.frets)
        pinned = plan_hand(timeline_of(read_sheet(text.replace("G7", f"G7<{frets}>"))))
        assert other.inside
        assert pinned.effort_mm - chart.plan.effort_mm <= other.added_mm + 0.01
        assert other.plan.grips[1] == other.grip


def test_a_pinned_chord_has_no_other_style() -> None:
    chart = make_chart(read_sheet("| Dm7<10 x 10 10 x x> | G7 |\n"))
    assert in_other_styles(chart, 0) == ()
    assert in_other_styles(make_chart(read_sheet("| N.C. | G7 |\n")), 0) == ()


def test_the_explanation_says_why_the_hand_moves_and_what_is_next() -> None:
    chart = make_chart(read_sheet("Key: C\n\n| Em7 | A7 | Dm7 | G7 |\n"))
    text = "\n".join(explanation_lines(chart))
    other = next_best(chart)
    assert other is not None
    assert f"The next best plan costs {other.added_mm:.0f} mm more" in text
    told = text.split("Why the hand does not stay:\n")[1].split("\nChange by change:")[0]
    for change, stay in staying(chart, played_changes(chart)):
        goal = chart.sheet.chords[change.goal].text
        position = change.grips[0].position
        if stay is None:
            assert f"to {goal}: no grip of {goal} lies in position {position}." in told
        else:
            assert f"to {goal}: staying in position {position} with {goal}<" in told
            assert f"would cost {stay.added_mm:.0f} mm" in told
    assert told


def test_a_smooth_plan_gives_no_reasons_of_effort() -> None:
    chart = planned(sheet("Dm7 G7 C6 A7"), options=PlanOptions(smooth=True))
    assert staying(chart, played_changes(chart)) == ()


def test_shared_grips_change_together() -> None:
    phrase = "| Dm7 | G7 | Cmaj7 | A7 |\n"
    chart = make_chart(read_sheet(phrase + "| Em7 | A7 | Dm7 | G7 |\n" + phrase))
    ((other, *_),) = alternatives(chart, [1])
    assert other.plan.grips[1] == other.plan.grips[9] == other.grip
    for style in in_other_styles(chart, 9):
        assert style.plan.grips[1] == style.plan.grips[9] == style.grip


def test_what_a_lost_bass_line_costs_is_told_apart_from_moves() -> None:
    """The bass of Ebm7/Db falls a semitone to that of Cm7b5; a grip of Cm7b5 over Eb breaks it."""
    text = "Key: Db\n| Ebm7 | Ebm7/Db | Cm7b5 | F7b9 | Bbm7 | % | Ebm7 | Ab7 |\n"
    chart = chart_of(text)
    other = next(
        each
        for each in alternatives(chart, [2], 20)[0]
        if each.grip.voicing.bass.midi % 12 == 3 and each.grip.position == 4
    )
    parts = dict(zip(EFFORT_PARTS, other.parts_mm, strict=True))
    # One playing: the price of a bass that leaves its line, times the hurry of the change.
    assert 250 <= parts["unled_mm"] < 250 * 1.5
    assert max(parts, key=lambda name: parts[name]) == "unled_mm"
