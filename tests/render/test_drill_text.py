"""A drill as text for a terminal, and as data: what it holds, how wide it is."""

from __future__ import annotations

import json
import re
from itertools import pairwise

import pytest
from midneck.converter.drill.drill import Drill, Practice
from midneck.converter.drill.tune import drill_of
from midneck.converter.prose.drill import drill_facts, how_to, notes_of, summary_lines
from midneck.converter.prose.facts import HAND_CAUTION
from midneck.render.report import drill_data
from midneck.render.text import drill_text, fret_string
from support.charts import LANTERNS, chart_of
from support.drills import drill

LADDER = Practice(ladder=(80, 100, 120))
DRILLS = {
    "cycle": lambda: drill(),
    "ladder": lambda: drill("dominants", None, LADDER),
    "minor": lambda: drill("minor-ii-V-i"),
    "tune": lambda: drill_of(chart_of(LANTERNS)),
}


@pytest.fixture(params=DRILLS, scope="module")
def made(request: pytest.FixtureRequest) -> Drill:
    return DRILLS[request.param]()


def test_no_line_is_wider_than_a_terminal_or_ends_in_blanks(made: Drill) -> None:
    lines = drill_text(made).splitlines()
    assert max(map(len, lines)) <= 80
    assert [line for line in lines if line != line.rstrip()] == []
    assert not any(a == b == "" for a, b in pairwise(lines))


def test_every_key_has_its_boxes_its_notes_and_its_bars(made: Drill) -> None:
    text = drill_text(made)
    words = " ".join(text.split())
    for exercise in made.exercises:
        assert exercise.name in words
        assert exercise.why in words
        for station in exercise.stations:
            assert f"[ ] {station.key}\n" in text
            for note in notes_of(station):
                assert note in words
    grips = [grip for each in made.exercises for grip in each.chart.plan.grips]
    bare = text.replace("|", " ").split()
    frets = [word for word in bare if re.fullmatch("[x0-9-]{6,}", word) and "x" in word]
    assert frets == [fret_string(grip) for grip in grips]


def test_it_says_how_to_practise_and_to_take_care(made: Drill) -> None:
    words = " ".join(drill_text(made).split())
    assert HAND_CAUTION in words
    for said in how_to(made):
        assert said in words


def test_a_ladder_is_there_to_tick() -> None:
    assert "Tempo  [ ] 80  [ ] 100  [ ] 120\n" in drill_text(drill("dominants", None, LADDER))


def test_facts_name_meter_tempo_and_frets() -> None:
    made = drill("ii-V-I", None, Practice(tempo=90, rhythm="charleston"))
    frets = [
        fret
        for grip in made.exercises[0].chart.plan.grips
        if grip is not None
        for fret in grip.frets
        if fret is not None
    ]
    time, asked = drill_facts(made)
    assert time == ["4/4", "charleston", "tempo 90"]
    assert asked == ["12 keys", f"frets {min(frets)}–{max(frets)}"]


@pytest.mark.parametrize(
    ("practice", "said"),
    [
        (Practice(repetitions=1), "play it through once, and tick"),
        (Practice(repetitions=2, tempo=70), "play it through twice at tempo 70, and tick"),
        (LADDER, "play it through 4 times at each tempo, from 80 up to 120."),
    ],
)
def test_how_often_is_said_plainly(practice: Practice, said: str) -> None:
    assert said in how_to(drill("sixths", None, practice))[1]


def test_the_summary_names_keys_by_round_and_changes(made: Drill) -> None:
    lines = summary_lines(made)
    assert lines[0] == made.title
    assert max(map(len, lines)) <= 80
    changes = [one.change for each in made.exercises for one in each.stations if one.change]
    assert sum(line.startswith("  change") for line in lines) == len(changes)


def test_data_survives_json_and_points_into_its_charts(made: Drill) -> None:
    data = json.loads(json.dumps(drill_data(made)))
    assert data["title"] == made.title
    for exercise in data["exercises"]:
        covered = [index for station in exercise["stations"] for index in station["chords"]]
        assert covered == list(range(len(exercise["chart"]["chords"])))


@pytest.mark.parametrize("width", [40, 56])
def test_narrow_terminals_fold_what_they_can(width: int) -> None:
    made = drill("ii-V-I", None, Practice(ladder=(80, 90, 100, 110, 120, 130, 140)))
    wide = [line for line in drill_text(made, width).splitlines() if len(line) > width]
    assert wide == []
    words = " ".join(drill_text(made, width).split())
    assert all(said in words for said in (HAND_CAUTION, *how_to(made)))


def test_wide_terminals_have_more_bars_on_a_line_and_sentences_no_longer() -> None:
    made = drill("ii-V-I", None, Practice(bars_per_chord=2))
    plain, wide = drill_text(made).splitlines(), drill_text(made, 160).splitlines()
    assert len(wide) < len(plain)
    assert max(map(len, plain)) <= 80 < max(map(len, wide))
    assert all(len(line) <= 80 for line in wide if "|" not in line)
