"""The reasons of a plan: what moves in each change, where it is hard, how hard the tune is."""

from __future__ import annotations

from dataclasses import replace

import pytest
from midneck.converter.hand.costs import candidates
from midneck.converter.hand.explain import change_between
from midneck.converter.hand.plan import GripPlan, PlanOptions
from midneck.converter.hand.planner import Task, finished, plan_of, reach_mm, task_of, way_mm
from midneck.converter.hand.player import Player
from midneck.converter.hand.ranking import difficulty_of
from midneck.converter.hand.solver import solve
from midneck.converter.prose.hand import (
    HAND_CAUTION,
    HEARING_CAUTION,
    Explanation,
    explain,
    longest_quiet,
    names,
    sentence_of,
    story,
)
from support.hand_effort import part_mm, travel
from support.hand_sheets import chord, form, sheet, straight

X = None


def planned(written, order=None) -> tuple[Task, GripPlan, Explanation]:
    task = task_of(written, order or straight(written), Player(), PlanOptions())
    plan = finished(task, solve(task.graph))
    return task, plan, explain(task, plan)


def pinned(symbols: str, *pins) -> tuple[Task, GripPlan, Explanation]:
    return planned(sheet(symbols, dict(enumerate(pins))))


def test_what_moves_from_ii_to_v_on_one_fret() -> None:
    """Middle finger one string over, ring finger kept, index put down; the third holds."""
    _, _, told = pinned("Gm7 C7", (3, X, 3, 3, X, X), (X, 3, 2, 3, X, X))
    change = told.changes[0].change
    assert change.shift_frets == 0
    assert change.still
    assert change.kept == (3,)
    assert change.moved == (2,)
    assert change.placed == (1,)
    assert change.lifted == ()
    assert change.bass_strings == (6, 5)
    motions = [(one.start, one.goal, one.semitones) for one in change.guide_tones]
    assert motions == [("F", "E", -1), ("Bb", "Bb", 0)]


def test_from_ii_to_v_one_guide_tone_holds_and_the_other_falls() -> None:
    """From V to I the other holds: common practice, computed."""
    for root_string in (5, 6):
        written = sheet("Dm7 G7 Cmaj7")
        options = PlanOptions(first_root_string=root_string)
        task = task_of(written, straight(written), Player(), options)
        told = explain(task, finished(task, solve(task.graph)))
        for change in told.changes[:2]:
            ways = sorted(one.semitones for one in change.change.guide_tones)
            assert ways == [-1, 0]


def test_the_change_is_told_in_words() -> None:
    _, _, told = pinned("Gm7 C7", (3, X, 3, 3, X, X), (X, 3, 2, 3, X, X))
    assert told.changes[0].sentence == (
        "Gm7 to C7: the hand stays. The ring finger stays down, the middle finger goes to another "
        "string, the index finger is put down. The bass goes from string 6 to string 5. The "
        "seventh F falls a semitone to the third E, the third Bb holds and becomes the seventh."
    )


def test_a_slide_is_told_as_a_slide() -> None:
    _, _, told = pinned("Gm7 Fm7", (5, X, 5, 5, X, X), (3, X, 3, 3, X, X))
    assert told.changes[0].sentence.startswith(
        "Gm7 to Fm7: the hand shifts down two frets. The middle and ring fingers slide along their "
        "strings."
    )


def test_a_barre_that_leaves_one_of_its_strings_slides_along_the_other() -> None:
    """The ring finger lies on strings 4 and 3, then stands on string 3 three frets higher."""
    start, goal = (
        next(
            grip
            for grip in candidates(chord(symbol), Player(), "shell").grips
            if (grip.frets, grip.fingers) == held
        )
        for symbol, held in [
            ("Gm7", ((3, X, 3, 3, X, X), (2, X, 3, 3, X, X))),
            ("A7", ((5, X, 5, 6, X, X), (1, X, 2, 3, X, X))),
        ]
    )
    change = change_between(start, goal, (chord("Gm7"), chord("A7")))
    assert (change.guiding, change.moved) == ((3,), (2,))
    assert "ring finger slides along its string" in sentence_of(change, ("Gm7", "A7"))


@pytest.mark.parametrize(
    ("fingers", "words"),
    [((1,), "index finger"), ((1, 3), "index and ring fingers"),
     ((1, 2, 4), "index, middle and little fingers")],
)  # fmt: skip
def test_fingers_are_listed(fingers, words: str) -> None:
    assert names(fingers) == words


def test_nothing_is_said_of_guide_tones_that_are_not_there() -> None:
    _, plan, _ = pinned("C7 G7", (X, 3, X, X, X, X), (3, X, 3, 4, X, X))
    change = change_between(plan.grips[0], plan.grips[1], (chord("C7"), chord("G7")))
    assert change.guide_tones == ()
    assert "third" not in sentence_of(change, ("C7", "G7"))


def test_the_effort_of_a_change_is_its_travel_with_its_hurry() -> None:
    task, plan, told = planned(sheet("Dm7 G7 C6 A7", tempo=240))
    for one in told.changes:
        expected = travel(plan.grips[one.start], plan.grips[one.goal], task.player)
        hurry = 1 + task.player.effort.hurry_s / 1.0  # four beats at 240 last a second
        assert one.effort_mm == pytest.approx(expected * hurry)


def test_changes_are_counted_as_often_as_they_are_made() -> None:
    written = sheet("Dm7 G7 C6")
    _, _, told = planned(written, form([0, 1, 0, 1, 2], written))
    times = {(one.start, one.goal): one.times for one in told.changes}
    assert times == {(0, 1): 2, (1, 0): 1, (1, 2): 1, (2, 0): 1}


def test_hard_spots_are_the_dearest_changes() -> None:
    _, _, told = planned(sheet("Dm7 G7 C6 F#m7 B7 E6"))
    efforts = sorted((one.effort_mm for one in told.changes), reverse=True)
    assert [one.effort_mm for one in told.hard_spots] == efforts[:3]


@pytest.mark.parametrize(
    ("positions", "run"),
    [([], (0, 0)), ([5], (0, 1)), ([5, 5, 7], (0, 2)), ([5, 7, 7, 7, 3], (1, 3)),
     ([5, 7, 5], (2, 2)), ([5, 5], (0, 2))],
)  # fmt: skip
def test_the_longest_quiet_stretch_goes_round_the_loop(positions, run) -> None:
    assert longest_quiet(positions) == run


def test_widest_reach_and_caution_for_a_stretch() -> None:
    task, plan, told = pinned("Cm7 F7", (X, 3, 1, 3, X, X), (X, 8, 7, 8, X, X))
    neck = task.player.neck
    assert plan.travel.widest_reach_mm == reach_mm(plan.grips[0], task.player)
    assert plan.travel.widest_reach_mm == pytest.approx(neck.fret_mm(3) - neck.fret_mm(1))
    assert part_mm("stretch_mm", plan.grips[0], task.player) > 0
    assert told.caution == HAND_CAUTION


def test_no_caution_without_a_stretch() -> None:
    _, _, told = pinned("G7", (10, X, 10, 11, X, X))
    assert told.caution == ""
    assert told.changes == ()
    assert told.difficulty.pace == 0.0


def test_the_cautions_say_what_must_be_said() -> None:
    for word in ("warm up", "rest", "hurts", "numb", "teacher", "doctor", "physiotherapist"):
        assert word in HAND_CAUTION.lower()
    assert "moderate level" in HEARING_CAUTION


def test_difficulty_is_the_sum_of_its_parts() -> None:
    """Two grips two frets apart, a change each second: every part by hand."""
    task, plan, told = pinned("Gm7 Fm7", (5, X, 5, 5, X, X), (3, X, 3, 3, X, X))
    parts = told.difficulty
    assert parts.pace == pytest.approx(2 * 30 / 120)  # 4 beats at 120: a change every two seconds
    assert parts.shifting == pytest.approx(2 * 2 / 3)
    assert parts.leap == pytest.approx(2 * 2 / 8)
    assert parts.reach == 0.0
    assert parts.shapes == pytest.approx(2 * 1 / 12)
    expected = parts.pace + parts.shifting + parts.leap + parts.reach + parts.shapes
    assert parts.total == pytest.approx(expected)
    faster = difficulty_of(list(plan.playings), [0.5, 0.5], task.player)
    assert faster.total > parts.total


def test_silence_is_not_difficult() -> None:
    _, _, told = planned(sheet("N.C. N.C."))
    assert told.difficulty.total == 0.0
    assert told.quiet == (0, 0)


def test_travel_counts_what_the_teacher_reads() -> None:
    """Frets by hand: positions 4, 2 and 2; the loop goes back up two frets."""
    _, plan, _ = pinned("Gm7 Fm7 Bb7", (5, X, 5, 5, X, X), (3, X, 3, 3, X, X), (X, 3, 2, 3, X, X))
    travel_ = plan.travel
    assert [grip.position for grip in plan.grips] == [4, 2, 2]
    assert (travel_.shift_frets, travel_.shifts, travel_.changes) == (4, 2, 3)
    assert (travel_.lowest_fret, travel_.highest_fret) == (2, 5)
    assert travel_.outside_window == 0
    assert travel_.optimal
    assert travel_.gap == 0.0


def test_travel_millimetres_are_lengths_of_hand_and_fingers() -> None:
    """A slide of the hand from position 4 to 2 moves no finger in it: twice x(4) − x(2)."""
    task, plan, _ = pinned("Gm7 Fm7", (5, X, 5, 5, X, X), (3, X, 3, 3, X, X))
    neck = task.player.neck
    shift = neck.fret_mm(4) - neck.fret_mm(2)
    fingers = (neck.fret_mm(5) - neck.fret_mm(4)) - (neck.fret_mm(3) - neck.fret_mm(2))
    expected = shift + 2 * abs(fingers)
    assert way_mm(plan.grips[0], plan.grips[1], task.player) == pytest.approx(expected)
    assert plan.travel.travel_mm == pytest.approx(2 * expected)


def test_roots_outside_the_window_are_counted() -> None:
    _, plan, _ = pinned("F7 Bb7", (1, X, 1, 2, X, X), (6, X, 6, 7, X, X))
    assert plan.travel.outside_window == 1


def test_the_story_tells_the_whole_tune_and_then_each_change() -> None:
    written = sheet("Gm7 C7 Fm7", {0: (3, X, 3, 3, X, X), 1: (X, 3, 2, 3, X, X),
                                   2: (1, X, 1, 1, X, X)})  # fmt: skip
    _, plan, told = planned(written, form([0, 1, 0, 1, 2], written))
    lines = story(told, plan, written)
    assert lines[0] == (
        "5 changes in a chorus, 2 shifts, 4 frets in all; frets 1 to 3, widest reach 32 mm."
    )
    assert lines[1] == "No other way to play these chords costs less effort: this is proved."
    assert lines[2] == "The longest rest of the hand: 4 chords in position 2."
    assert lines[3].startswith("Difficulty ")
    assert lines[4] == "Practise these changes first:"
    assert "  Bar 2 (2 times), Gm7 to C7: the hand stays." in "\n".join(lines)
    assert lines[-1].startswith("  Bar 1, Fm7 to Gm7: the hand shifts up two frets.")


@pytest.mark.parametrize(
    ("proved", "sentence"),
    [
        (True, "No other plan with taught grips inside the window has an easier hardest change: "
               "this is proved."),
        (False, "A plan with an easier hardest change could not be ruled out."),
    ],
)  # fmt: skip
def test_the_story_of_a_smooth_plan_does_not_claim_the_least_effort(proved, sentence) -> None:
    written = sheet("Gm7 Bb6 Bbm7 Dm7 Cm7 Gm7")
    smooth = replace(
        task_of(written, straight(written), Player(), PlanOptions(smooth=True)), proved=proved
    )
    plan = plan_of(smooth)
    assert plan_of(planned(written)[0]).cost < plan.cost
    assert story(explain(smooth, plan), plan, written)[1] == sentence


def test_the_story_ends_with_the_caution_after_a_stretch() -> None:
    written = sheet("Cm7 F7", {0: (X, 3, 1, 3, X, X)})
    _, plan, told = planned(written)
    assert story(told, plan, written)[-1] == HAND_CAUTION


def test_the_story_of_one_chord_is_short() -> None:
    written = sheet("G7")
    _, plan, told = planned(written)
    lines = story(told, plan, written)
    assert lines[0] == "The hand never moves."
    assert not any(line.startswith("Change by change") for line in lines)
