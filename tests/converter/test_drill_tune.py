"""A tune's own practice sheet: its ii–V–Is most played first, in place and round the keys."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import midneck
import pytest
from midneck.converter.drill.drill import Drill, Practice
from midneck.converter.drill.make import Route
from midneck.converter.drill.positions import StringChoice
from midneck.converter.drill.progressions import CYCLES
from midneck.converter.drill.tune import drill_of
from midneck.converter.explain import hard_changes
from midneck.converter.hand.player import BEGINNER, SMALL_HAND, Player
from midneck.converter.make import make_chart
from midneck.grammar.text.reader import read_sheet
from midneck.grammar.text.writer import write_sheet
from support.charts import chart_of, example_paths
from support.drills import root_places_of, symbols
from support.tunes import tune_text

TUNES = example_paths()

#: Two passes through a ii–V–I in C, one in E flat, one that lands on a sixth.
THREE_PLACES = """Key: C
A:
|: Dm7 | G7 | Cmaj7 | % :|
| Fm7 | Bb7 | Ebmaj7 | % |
| Dm7 | G7 | C6 | % ||
"""
NO_CADENCE = """Key: F
A:
| F7 | Bb7 | F7 | % |
| Bb7 | % | F7 | % ||
"""


@lru_cache(maxsize=8)
def sheet_drill(text: str) -> Drill:
    return drill_of(chart_of(text))


def test_the_most_played_comes_first_each_in_place_and_then_round_the_keys() -> None:
    found = sheet_drill(THREE_PLACES)
    assert [each.name for each in found.exercises] == [
        "ii7–V7–Imaj7 in place",
        "ii7–V7–Imaj7, down in whole steps, two rounds of six keys",
        "ii7–V7–I6 in place",
        "ii7–V7–I6, down in whole steps, two rounds of six keys",
        "Hard changes",
    ]
    assert found.notes == ()
    in_place, rounds = found.exercises[:2]
    assert symbols(in_place) == ["Dm7 G7 Cmaj7", "Fm7 Bb7 Ebmaj7"]
    assert [each.remark for each in in_place.stations] == [
        "twice in the tune, first in bars 1–3", "once in the tune, in bars 5–7",
    ]  # fmt: skip
    assert in_place.why.startswith("The tune plays it 3 times:")
    assert str(rounds.stations[0].key) == "C major"
    assert len(rounds.stations) == 12


def test_a_cadence_that_goes_round_to_the_top_says_so() -> None:
    found = sheet_drill("Key: C\nA:\n| C6 | % | Dm7 | G7 ||\n")
    assert found.exercises[0].stations[0].remark == "once in the tune, in bars 3→1"


def test_a_loop_in_place_has_the_grips_of_the_chart() -> None:
    chart = chart_of(THREE_PLACES)
    (loop, *_) = sheet_drill(THREE_PLACES).exercises
    grips = [loop.chart.plan.grips[index] for index in loop.stations[0].chords]
    assert [grip and (grip.frets, grip.fingers) for grip in grips] == [
        grip and (grip.frets, grip.fingers) for grip in chart.plan.grips[:3]
    ]


@pytest.mark.parametrize("player", [Player(), SMALL_HAND, BEGINNER], ids=lambda one: one.name)
def test_a_drill_of_a_tune_teaches_the_fingers_of_the_chart(player: Player) -> None:
    """Wherever chart and drill have the same frets, in every exercise."""
    shared = 0
    for text in [THREE_PLACES, *(tune_text(seed) for seed in range(8))]:
        chart = make_chart(read_sheet(text), player)
        named = {grip.frets: grip.fingers for grip in chart.plan.grips if grip is not None}
        for exercise in drill_of(chart).exercises:
            for grip in exercise.chart.plan.grips:
                if grip is not None and grip.frets in named:
                    shared += 1
                    assert grip.fingers == named[grip.frets]
    assert shared > 100


def test_a_loop_in_place_keeps_the_fingers_of_a_pin() -> None:
    chart = chart_of("Key: C\nA:\n| Dm7<10 x 10 10 x x: 2 - 3 4 - -> | G7 | Cmaj7 | % ||\n")
    (loop, *_) = drill_of(chart).exercises
    fingers = [grip.fingers for grip in loop.chart.plan.grips if grip is not None]
    assert fingers[0] == (2, None, 3, 4, None, None)


def test_each_loop_is_repeated_by_itself() -> None:
    chart = chart_of(THREE_PLACES)
    loop = drill_of(chart, None, Practice(repetitions=3)).exercises[0]
    assert loop.loops
    assert loop.settings(Practice(repetitions=3)).choruses == 1
    # Four bars three times, in each of two keys.
    assert len(loop.chart.form.bars) == 2 * 3 * 4
    once = drill_of(chart, None, Practice(repetitions=1)).exercises[0]
    assert len(once.chart.form.bars) == 2 * 4


def test_a_tune_without_a_cadence_says_so_and_gets_dominants() -> None:
    found = sheet_drill(NO_CADENCE)
    assert found.notes == ("This tune has no ii–V–I: practise dominants and its hard changes.",)
    assert [each.name for each in found.exercises] == [
        "Dominant sevenths, up in fourths through all twelve keys", "Hard changes",
    ]  # fmt: skip
    assert symbols(found.exercises[0])[:3] == ["C7", "F7", "Bb7"]
    down = drill_of(chart_of(NO_CADENCE), Route("semitones-down")).exercises[0]
    assert symbols(down)[:3] == ["C7", "B7", "Bb7"]


def test_a_tune_of_one_chord_has_no_hard_changes() -> None:
    found = drill_of(chart_of("| Dm7 | % | % | % |"))
    assert [each.name for each in found.exercises] == [
        "Dominant sevenths, up in fourths through all twelve keys"
    ]
    assert found.notes == ("This tune has no ii–V–I: practise dominants.",)


@pytest.mark.parametrize("path", TUNES, ids=lambda path: path.stem)
def test_the_examples_have_practice_sheets(path: Path) -> None:
    chart = make_chart(midneck.read(path), SMALL_HAND)
    found = drill_of(chart, Route("fourths"))
    areas = [area for area in chart.analysis.areas if area.kind == "ii-V-I"]
    loops = [one for one in found.exercises if one.loops and one.name != "Hard changes"]
    keys = {(area.key.tonic.pitch_class, area.key.mode) for area in areas}
    assert {
        (each.key.tonic.pitch_class, each.key.mode) for one in loops for each in one.stations
    } == keys
    rounds = [one for one in found.exercises if one.progression is not None]
    assert len(rounds) == max(len(loops), 1)
    for one in rounds:
        assert len(root_places_of(one)) == 12
        assert one.chart.player == SMALL_HAND
        assert one.chart.plan.travel.optimal


def test_a_chord_over_a_foreign_bass_goes_round_as_what_it_sounds() -> None:
    found = drill_of(chart_of("Key: C\nA:\n| Dm7 | F/G | Cmaj7 | % |"))
    assert symbols(found.exercises[0]) == ["Dm7 F/G Cmaj7"]
    assert symbols(found.exercises[1])[0] == "Dm7 G7sus4 Cmaj7"


@pytest.mark.parametrize("seed", range(12))
def test_any_tune_has_a_practice_sheet(seed: int) -> None:
    player = (SMALL_HAND, BEGINNER, Player())[seed % 3]
    chart = make_chart(read_sheet(tune_text(seed)), player)
    cycle = CYCLES[seed % 6].name
    for one in drill_of(
        chart,
        Route(
            cycle, string_choice=(StringChoice(6), StringChoice(5), StringChoice(None))[seed % 3]
        ),
    ).exercises:
        again = read_sheet(write_sheet(one.chart.sheet))
        assert len(again.chords) == len(one.chart.sheet.chords)
        assert one.chart.plan.travel.optimal
        assert all(grip is not None for grip in one.chart.plan.grips)


def test_a_waltz_is_practised_in_three() -> None:
    found = drill_of(chart_of("Time: 3/4\nKey: C\nA:\n| Dm7 | G7 | Cmaj7 | % |"))
    for one in found.exercises:
        assert {str(bar.meter) for bar in one.chart.sheet.bars} == {"3/4"}


def test_hard_changes_have_the_numerals_of_the_chart() -> None:
    """A loop of two chords names them as their tune does: V7/ii, not VI7; its arrow stays in it."""
    seen = set()
    for text in [*(path.read_text(encoding="utf-8") for path in TUNES), *map(tune_text, range(8))]:
        chart = chart_of(text)
        hard = hard_changes(chart)
        loop = drill_of(chart).exercises[-1].chart if hard else chart
        readings = iter(loop.analysis.readings)
        for change in hard:
            start, goal = next(readings), next(readings)
            own = [chart.analysis.readings[index] for index in (change.start, change.goal)]
            assert [(one.key, one.numeral) for one in (start, goal)] == [
                (one.key, one.numeral) for one in own
            ]
            falls = own[0].resolves_to == change.goal
            first = next(i for i, one in enumerate(loop.analysis.readings) if one is start)
            assert (start.resolves_to, goal.resolves_to) == (first + 1 if falls else None, None)
            seen |= {one.numeral.of is not None for one in own} | {f"falls {falls}"}
    assert seen == {True, False, "falls True", "falls False"}
