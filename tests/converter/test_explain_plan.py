"""The reasons of a plan: what moves in each change, where it is hard, how hard the tune is."""

from __future__ import annotations

from dataclasses import replace

import pytest
from midneck.converter.chart import CompingChart
from midneck.converter.explain import (
    change_between,
    change_in,
    difficulty_of,
    explain,
    longest_quiet,
)
from midneck.converter.hand.costs import candidates
from midneck.converter.hand.plan import PlanOptions
from midneck.converter.hand.planner import plan_from, task_of, way_mm
from midneck.converter.hand.player import Player
from midneck.converter.hand.reach import reach_mm
from midneck.converter.hand.solver import solve
from midneck.converter.prose.facts import HAND_CAUTION, HEARING_CAUTION
from midneck.converter.prose.hand import change_sentence, explanation_lines, names, sentence_of
from support.hand_effort import stretch_mm, travel
from support.hand_sheets import chord, form, planned, sheet, straight

X = None


def pinned(symbols: str, *pins) -> CompingChart:
    return planned(sheet(symbols, dict(enumerate(pins))))


def test_what_moves_from_ii_to_v_on_one_fret() -> None:
    """Middle finger one string over, ring finger kept, index put down; the third holds."""
    chart = pinned("Gm7 C7", (3, X, 3, 3, X, X), (X, 3, 2, 3, X, X))
    change = change_in(chart, explain(chart).changes[0])
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
        chart = planned(written, options=options)
        for change in explain(chart).changes[:2]:
            ways = sorted(one.semitones for one in change_in(chart, change).guide_tones)
            assert ways == [-1, 0]


def test_the_change_is_told_in_words() -> None:
    chart = pinned("Gm7 C7", (3, X, 3, 3, X, X), (X, 3, 2, 3, X, X))
    assert change_sentence(chart, explain(chart).changes[0]) == (
        "Gm7 to C7: the hand stays. The ring finger stays down, the middle finger goes to another "
        "string, the index finger is put down. The bass goes from string 6 to string 5. The "
        "seventh F falls a semitone to the third E, the third Bb holds and becomes the seventh."
    )


def test_a_slide_is_told_as_a_slide() -> None:
    chart = pinned("Gm7 Fm7", (5, X, 5, 5, X, X), (3, X, 3, 3, X, X))
    assert change_sentence(chart, explain(chart).changes[0]).startswith(
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
    plan = pinned("C7 G7", (X, 3, X, X, X, X), (3, X, 3, 4, X, X)).plan
    change = change_between(plan.grips[0], plan.grips[1], (chord("C7"), chord("G7")))
    assert change.guide_tones == ()
    assert "third" not in sentence_of(change, ("C7", "G7"))


def test_the_effort_of_a_change_is_its_travel_with_its_hurry() -> None:
    chart = planned(sheet("Dm7 G7 C6 A7", tempo=240))
    grips = chart.plan.grips
    for one in explain(chart).changes:
        expected = travel(grips[one.start], grips[one.goal], chart.player)
        hurry = 1 + chart.player.effort.hurry_s / 1.0  # four beats at 240 last a second
        assert one.effort_mm == pytest.approx(expected * hurry)


def test_changes_are_counted_as_often_as_they_are_made() -> None:
    written = sheet("Dm7 G7 C6")
    changes = explain(planned(written, form([0, 1, 0, 1, 2], written))).changes
    times = {(one.start, one.goal): one.times for one in changes}
    assert times == {(0, 1): 2, (1, 0): 1, (1, 2): 1, (2, 0): 1}


@pytest.mark.parametrize(
    ("positions", "run"),
    [([], (0, 0)), ([5], (0, 1)), ([5, 5, 7], (0, 2)), ([5, 7, 7, 7, 3], (1, 3)),
     ([5, 7, 5], (2, 2)), ([5, 5], (0, 2))],
)  # fmt: skip
def test_the_longest_quiet_stretch_goes_round_the_loop(positions, run) -> None:
    assert longest_quiet(positions) == run


def test_widest_reach_and_caution_for_a_stretch() -> None:
    chart = pinned("Cm7 F7", (X, 3, 1, 3, X, X), (X, 8, 7, 8, X, X))
    plan, neck = chart.plan, chart.player.neck
    assert plan.travel.widest_reach_mm == reach_mm(plan.grips[0], chart.player)
    assert plan.travel.widest_reach_mm == pytest.approx(neck.fret_mm(3) - neck.fret_mm(1))
    assert stretch_mm(plan.grips[0], chart.player) > 0
    assert explain(chart).stretched


def test_no_caution_without_a_stretch() -> None:
    chart = pinned("G7", (10, X, 10, 11, X, X))
    explanation = explain(chart)
    assert not explanation.stretched
    assert HAND_CAUTION not in explanation_lines(chart)
    assert explanation.changes == explanation.hard == ()
    assert explanation.difficulty.pace == 0.0


def test_the_cautions_say_what_must_be_said() -> None:
    for word in ("warm up", "rest", "hurts", "numb", "teacher", "doctor", "physiotherapist"):
        assert word in HAND_CAUTION.lower()
    assert "moderate level" in HEARING_CAUTION


def test_difficulty_is_the_sum_of_its_parts() -> None:
    """Two grips two frets apart, a change each second: every part by hand."""
    chart = pinned("Gm7 Fm7", (5, X, 5, 5, X, X), (3, X, 3, 3, X, X))
    parts = difficulty_of(chart)
    assert parts.pace == pytest.approx(2 * 30 / 120)  # 4 beats at 120: a change every two seconds
    assert parts.shifting == pytest.approx(2 * 2 / 3)
    assert parts.leap == pytest.approx(2 * 2 / 8)
    assert parts.reach == 0.0
    assert parts.shapes == pytest.approx(2 * 1 / 12)
    expected = parts.pace + parts.shifting + parts.leap + parts.reach + parts.shapes
    assert parts.total == pytest.approx(expected)
    faster = difficulty_of(planned(chart.sheet, options=PlanOptions(tempo=180)))
    assert faster.pace == pytest.approx(1.5 * parts.pace)


def test_silence_is_not_difficult() -> None:
    explanation = explain(planned(sheet("N.C. N.C.")))
    assert explanation.difficulty.total == 0.0
    assert explanation.quiet == (0, 0)


def test_travel_counts_what_the_teacher_reads() -> None:
    """Frets by hand: positions 4, 2 and 2; the loop goes back up two frets."""
    pins = (5, X, 5, 5, X, X), (3, X, 3, 3, X, X), (X, 3, 2, 3, X, X)
    plan = pinned("Gm7 Fm7 Bb7", *pins).plan
    travel_ = plan.travel
    assert [grip.position for grip in plan.grips] == [4, 2, 2]
    assert (travel_.shift_frets, travel_.shifts, travel_.changes) == (4, 2, 3)
    assert (travel_.lowest_fret, travel_.highest_fret) == (2, 5)
    assert travel_.outside_window == 0
    assert travel_.optimal
    assert travel_.gap_mm == 0.0


def test_travel_millimetres_are_lengths_of_hand_and_fingers() -> None:
    """A slide of the hand from position 4 to 2 moves no finger in it: twice x(4) − x(2)."""
    chart = pinned("Gm7 Fm7", (5, X, 5, 5, X, X), (3, X, 3, 3, X, X))
    plan, neck = chart.plan, chart.player.neck
    shift = neck.fret_mm(4) - neck.fret_mm(2)
    fingers = (neck.fret_mm(5) - neck.fret_mm(4)) - (neck.fret_mm(3) - neck.fret_mm(2))
    expected = shift + 2 * abs(fingers)
    assert way_mm(plan.grips[0], plan.grips[1], chart.player) == pytest.approx(expected)
    assert plan.travel.travel_mm == pytest.approx(2 * expected)


def test_roots_outside_the_window_are_counted() -> None:
    chart = pinned("F7 Bb7", (1, X, 1, 2, X, X), (6, X, 6, 7, X, X))
    assert chart.plan.travel.outside_window == 1


def test_the_lines_tell_the_whole_tune_and_then_each_change() -> None:
    written = sheet("Gm7 C7 Fm7", {0: (3, X, 3, 3, X, X), 1: (X, 3, 2, 3, X, X),
                                   2: (1, X, 1, 1, X, X)})  # fmt: skip
    lines = explanation_lines(planned(written, form([0, 1, 0, 1, 2], written)))
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
def test_the_lines_of_a_smooth_plan_does_not_claim_the_least_effort(proved, sentence) -> None:
    written = sheet("Gm7 Bb6 Bbm7 Dm7 Cm7 Gm7")
    task = task_of(straight(written), Player(), PlanOptions(smooth=True))
    plan = plan_from(replace(task, proved=proved), solve(task.graph))
    chart = planned(written, options=task.options)
    assert planned(written).plan.effort_mm < plan.effort_mm
    assert explanation_lines(replace(chart, plan=plan))[1] == sentence


def test_the_lines_end_with_the_caution_after_a_stretch() -> None:
    written = sheet("Cm7 F7", {0: (X, 3, 1, 3, X, X)})
    assert explanation_lines(planned(written))[-1] == HAND_CAUTION


def test_the_lines_of_one_chord_are_few() -> None:
    written = sheet("G7")
    lines = explanation_lines(planned(written))
    assert lines[0] == "The hand never moves."
    assert not any(line.startswith("Change by change") for line in lines)
