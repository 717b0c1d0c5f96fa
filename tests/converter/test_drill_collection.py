"""The drills of many tunes: what is shared, where a shared progression starts, what stays apart."""

from __future__ import annotations

from dataclasses import replace

from midneck.converter.drill.collection import SharedDrill, shared_drills, tune_progressions
from midneck.converter.drill.tune import drill_in_place, drill_of
from midneck.converter.hand.player import PRESETS
from midneck.converter.make import make_chart
from midneck.grammar.text.reader import read_sheet

IN_C = "Key: C\n| Dm7 | G7 | C6 | % |"
IN_F = "Key: F\n| Gm7 | C7 | F6 | % | Gm7 | C7 | F6 | % |"
WALTZ = "Key: C\nTime: 3/4\n| Dm7 | G7 | C6 | % |"
STILL = "Key: C\n| C6 | % |"


def shared(*texts: str) -> list[SharedDrill]:
    return shared_drills([tune_progressions(make_chart(read_sheet(text))) for text in texts])


def test_a_progression_of_several_tunes_is_taken_round_the_keys_once() -> None:
    [one] = shared(IN_C, IN_F)
    assert one.tunes == (0, 1)
    # It starts where most is played: twice in F, once in C.
    assert str(one.drill.exercises[0].stations[0].key) == "F major"


def test_other_meters_and_players_are_apart_and_most_tunes_come_first() -> None:
    drills = shared(WALTZ, IN_C, IN_F)
    assert [one.tunes for one in drills] == [(1, 2), (0,)]
    tunes = [tune_progressions(make_chart(read_sheet(IN_C)))]
    tunes.append(replace(tunes[0], player=PRESETS["small hand"]))
    assert [one.tunes for one in shared_drills(tunes)] == [(0,), (1,)]


def test_tunes_without_a_cadence_share_the_dominants() -> None:
    [one] = shared(STILL, STILL.replace("C6", "C6 Am7"))
    assert one.tunes == (0, 1)
    assert one.drill.title.startswith("Dominant sevenths")


def test_what_is_in_place_is_the_rest_of_the_drill_of_the_tune() -> None:
    chart = make_chart(read_sheet(IN_C))
    own, whole = drill_in_place(chart), drill_of(chart)
    assert own is not None
    rounds = [one.drill.exercises[0].name for one in shared(IN_C)]
    assert [each for each in whole.exercises if each.name not in rounds] == list(own.exercises)
    assert drill_in_place(make_chart(read_sheet(STILL))) is None
