"""Where the roots lie: the taught pattern, changes of string set, octaves, rounds.

The frets are common practice, no source; they follow from E2 and A2 on strings 6 and 5: the root of
Dm7 lies ten semitones above E, so at fret 10 of string 6, and five above A.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise, product

import pytest
from midneck.converter.drill.drill import DrillError
from midneck.converter.drill.make import Route
from midneck.converter.drill.positions import (
    PATTERN_SEMITONES,
    FretPosition,
    StringChoice,
    choose_roots,
    nearest_position,
    root_positions,
)
from midneck.converter.drill.progressions import CYCLES
from midneck.converter.hand.plan import PlanError, PlanOptions
from midneck.converter.hand.planner import plan_hand
from midneck.converter.hand.player import SMALL_HAND, Neck, Player, Reach
from midneck.grammar.chord import Chord
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.key import parse_key
from support.drills import exercise, root_frets, root_places_of, root_strings

PLAYER = Player()
STEPPED = [cycle.name for cycle in CYCLES if cycle.step]


def test_from_string_6_down_in_whole_steps() -> None:
    assert root_frets(exercise()) == {
        "C": [10, 10, 8], "Bb": [8, 8, 6], "Ab": [6, 6, 4],
        # The I of G flat lies just below the window; the next ii would begin below it.
        "Gb": [4, 4, 2], "E": [9, 7, 7], "D": [7, 5, 5],
        # The other six keys.
        "Db": [11, 11, 9], "B": [9, 9, 7], "A": [7, 7, 5], "G": [5, 5, 3],
        "F": [10, 8, 8], "Eb": [8, 6, 6],
    }  # fmt: skip


def test_the_string_set_changes_where_the_window_runs_out() -> None:
    found = exercise()
    strings = root_strings(found)
    assert strings["C"] == strings["Gb"] == strings["Db"] == strings["G"] == [6, 5, 6]
    assert strings["E"] == strings["D"] == strings["F"] == strings["Eb"] == [5, 6, 5]
    said = {str(each.key.tonic): each.change for each in found.stations if each.change}
    assert said == {
        "E": "F#m7 changes to string 5, fret 9: from string 6 the roots would lie at frets "
        "2, 2, 0, below fret 3",
        "F": "Gm7 changes to string 5, fret 10: from string 6 the roots would lie at frets "
        "3, 3, 1, below fret 3",
    }
    assert [each.root_string for each in found.stations] == [6] * 4 + [5] * 2 + [6] * 4 + [5] * 2


def test_started_on_string_5() -> None:
    frets = root_frets(exercise(route=Route(string_choice=StringChoice(5))))
    assert frets["C"] == [5, 3, 3]
    # 3, 1, 1 would follow on the same strings.
    assert frets["Bb"] == [8, 8, 6]
    assert frets["Db"] == [6, 4, 4]


def test_started_on_string_5_high_on_the_neck() -> None:
    player = Player(window=(12, 19))
    assert root_frets(exercise(route=Route(string_choice=StringChoice(5)), player=player))["C"] == [
        17,
        15,
        15,
    ]


def test_an_octave_is_jumped_when_asked() -> None:
    found = exercise(route=Route(string_choice=StringChoice(6, octave=True)))
    frets = root_frets(found)
    assert all(strings == [6, 5, 6] for strings in root_strings(found).values())
    assert frets["Gb"] == [4, 4, 2]
    assert frets["E"] == [14, 14, 12]
    change = next(each.change for each in found.stations if str(each.key.tonic) == "E")
    assert change == (
        "F#m7 jumps an octave up, to fret 14 of string 6: from string 6 the roots would lie at "
        "frets 2, 2, 0, below fret 3"
    )


def test_no_octave_is_jumped_where_the_neck_is_too_short() -> None:
    player = Player(neck=Neck(highest_fret=12))
    found = exercise(route=Route(string_choice=StringChoice(6, octave=True)), player=player)
    assert root_frets(found)["E"] == [9, 7, 7]
    assert max(fret for row in root_frets(found).values() for fret in row) <= 12


def test_a_round_that_cannot_start_on_its_string_says_so() -> None:
    found = exercise(route=Route("minor-thirds"))
    starts = [each for before, each in pairwise(found.stations) if each.round != before.round]
    assert [(str(each.key.tonic), each.root_string, each.change) for each in starts] == [
        ("Db", 6, None),
        ("D", 5, "Em7 starts on string 5, fret 7: on string 6 the roots would leave frets 3–10"),
    ]


def test_a_leap_on_the_same_strings_says_why() -> None:
    found = exercise("dominants")
    assert [each.change for each in found.stations if each.change] == [
        "F7 stays on string 5 and goes to fret 8: from string 6 the root would lie at fret 1, "
        "below fret 3",
        "F#7 stays on string 5 and goes to fret 9: from string 6 the root would lie at fret 2, "
        "below fret 3",
    ]


def test_a_place_that_cannot_be_held_is_said() -> None:
    """The window reaches down to fret 1, but a shell there would need open strings."""
    found = exercise(route=Route(string_choice=StringChoice(5)), player=Player(window=(1, 12)))
    changes = {str(each.key.tonic): each.change for each in found.stations}
    assert changes["Bb"] == (
        "Cm7 changes to string 6, fret 8: from string 5 Bb6 would lie at fret 1, where it cannot "
        "be held"
    )


def test_other_necks() -> None:
    seven = Player(neck=Neck(tuning=(35, 40, 45, 50, 55, 59, 64)))
    assert root_frets(exercise(player=seven)) == root_frets(exercise())
    four = Player(neck=Neck(tuning=(50, 55, 59, 64)))
    with pytest.raises(DrillError, match=r"Dm7, G7, C6, Cm7 and 32 more .*: let the planner"):
        exercise(player=four)
    free = exercise(route=Route(string_choice=StringChoice(None)), player=four)
    told = [each.change for each in free.stations if each.change]
    assert told
    assert all("the least effort for the hand" in change for change in told)


def test_the_planner_may_choose() -> None:
    free = exercise(route=Route(string_choice=StringChoice(None)))
    assert free.chart.plan.travel.optimal
    # With no pattern to keep, no plan costs more.
    assert free.chart.plan.effort_mm <= exercise().chart.plan.effort_mm


@pytest.mark.parametrize(
    "choice",
    [StringChoice(6), StringChoice(5), StringChoice(6, True), StringChoice(5, True)],
    ids=str,
)
@pytest.mark.parametrize("cycle", STEPPED)
def test_the_taught_pattern_is_kept_in_every_key(cycle: str, choice: StringChoice) -> None:
    found = exercise(route=Route(cycle, string_choice=choice))
    for (two, five, one), station in zip(root_places_of(found), found.stations, strict=True):
        r = two[1]
        expected = {6: ((6, r), (5, r), (6, r - 2)), 5: ((5, r), (6, r - 2), (5, r - 2))}
        assert (two, five, one) == expected[station.root_string]


@pytest.mark.parametrize("name", ["ii-V-I", "minor-ii-V-i", "iii-VI-ii-V", "tritone-substitute"])
@pytest.mark.parametrize("cycle", STEPPED)
def test_roots_stay_within_a_fret_of_the_window(cycle: str, name: str) -> None:
    frets = root_frets(exercise(name, Route(cycle)))
    assert all(2 <= fret <= 11 for row in frets.values() for fret in row)


def cost_of(
    way: Sequence[FretPosition],
    stations: Sequence[Sequence[Chord]],
    firsts: Sequence[bool],
    choice: StringChoice,
) -> tuple[int, ...]:
    """The cost of one way, part by part as `places` defines them."""
    chords = [chord for station in stations for chord in station]
    leads = [at == 0 for station in stations for at in range(len(station))]
    which = [number for number, station in enumerate(stations) for _ in station]
    opens = [lead and firsts[number] for lead, number in zip(leads, which, strict=True)]
    outside = [max(3 - fret, fret - 10, 0) for _, fret in way]
    missed = sum(
        opening and choice.start is not None and string != choice.start
        for opening, (string, _) in zip(opens, way, strict=True)
    )
    broken = changes = late = 0
    for at in range(1, len(way)):
        natural = nearest_position(way[at - 1], chords[at], PLAYER)
        up = (chords[at].root.pitch_class - chords[at - 1].root.pitch_class) % 12
        broken += not leads[at] and up in PATTERN_SEMITONES and way[at] != natural
        if leads[at] and not opens[at]:
            changes += choice.octave and way[at][0] != natural[0]
            late += (len(stations) - which[at]) * (way[at] != natural)
    return (
        broken, changes + choice.octave * missed, sum(max(each - 1, 0) for each in outside), missed,
        sum(outside), sum(abs(b[1] - a[1]) for a, b in pairwise(way)), late,
    )  # fmt: skip


@pytest.mark.parametrize(
    "choice",
    [
        StringChoice(6),
        StringChoice(5),
        StringChoice(6, True),
        StringChoice(5, True),
        StringChoice(None),
    ],
    ids=str,
)
@pytest.mark.parametrize(
    ("names", "firsts"),
    [
        (["Abm7 Db7 Gb6", "F#m7 B7 E6"], [True, False]),
        (["Dm7 G7 C6", "Em7 A7 D6"], [True, True]),
        (["C6 A7", "Dm7 G7", "F6 D7"], [True, False, False]),
        (["C7", "F7", "Bb7", "Eb7", "Ab7", "Db7"], [True, False, False, True, False, False]),
    ],
    ids=str,
)
def test_no_way_through_the_places_costs_less(
    names: list[str], firsts: list[bool], choice: StringChoice
) -> None:
    stations = [tuple(parse_chord(text) for text in name.split()) for name in names]
    chosen = choose_roots(stations, firsts, choice, PLAYER)
    flat = [place for roots in chosen for place in roots]
    every = product(*(root_positions(chord, PLAYER) for station in stations for chord in station))
    least = min(cost_of(way, stations, firsts, choice) for way in every)
    assert cost_of(flat, stations, firsts, choice) == least


def test_a_hand_that_cannot_hold_a_chord_is_told_which() -> None:
    stiff = Player(reach=Reach().scaled(0.1))
    with pytest.raises(
        DrillError, match=r"no hand of this reach can hold G7, C6, F7, Bb6 and 20 more with"
    ):
        exercise(player=stiff)


def test_a_small_hand_keeps_the_pattern_with_grips_that_it_holds() -> None:
    small = SMALL_HAND
    found = exercise(player=small)
    assert root_frets(found)["C"] == [10, 10, 8]
    assert all(grip is not None for grip in found.chart.plan.grips)
    for places, station in zip(root_places_of(found), found.stations, strict=True):
        for place, index in zip(places, station.chords, strict=True):
            chord = found.chart.sheet.chords[index].chord
            assert chord is not None
            assert place in root_positions(chord, small)


def test_the_planner_refuses_a_root_where_none_lies() -> None:
    chart = exercise("V7", Route("keys", keys=(parse_key("C"),))).chart
    with pytest.raises(PlanError, match="bar 1, G7: no grip has its root on string 6 at fret 4"):
        plan_hand(chart.timeline, PLAYER, PlanOptions(roots=((6, 4),)))
    plan = plan_hand(chart.timeline, PLAYER, PlanOptions(roots=((5, 10),)))
    assert plan.grips[0] is not None
    assert plan.grips[0].frets[1] == 10
