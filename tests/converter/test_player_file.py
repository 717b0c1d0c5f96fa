"""The player file: every setting read, every mistake named with its line."""

from __future__ import annotations

from dataclasses import fields

import pytest
from midneck.converter.hand.costs import candidates
from midneck.converter.hand.fingerings import fingering_of
from midneck.converter.hand.plan import STYLES
from midneck.converter.hand.planner import plan_hand
from midneck.converter.hand.player import BEGINNER, PRESETS, SMALL_HAND, Effort, Neck, Player, Reach
from midneck.converter.hand.player_file import read_player
from midneck.converter.hand.standard_fingerings import shape_of
from midneck.grammar.errors import SheetError
from support.hand_sheets import chord, fingers_text, sheet, straight
from support.roots import ROOTS

FULL = """\
hand = "left"
window = [2, 9]
tuning = ["D2", "A2", "D3", "G3", "B3", "E4"]
scale_mm = 628.65
frets = 22
highest_fret = 15
string_gap_mm = 8

[reach]
comfort_mm = [30, 30, 30, 60, 60, 75]
limit_mm = [70, 48, 46, 95, 90, 120]

[taste]
major_triads = "major seventh"
tonic_sevenths = "sixth"

[fingers]
"0 x 0 0" = "2 x 3 4"

[effort]
stretch = 2
"""


def test_a_full_file_sets_everything() -> None:
    player = read_player(FULL)
    assert player.neck == Neck((38, 45, 50, 55, 59, 64), 628.65, 22, 8.0, 15)
    assert player.neck.last_fret == 15
    assert player.hand == "left"
    assert player.window == (2, 9)
    assert player.reach == Reach((30, 30, 30, 60, 60, 75), (70, 48, 46, 95, 90, 120))
    assert player.preferences.major_triads == "major seventh"
    assert player.preferences.minor_triads == "triad"
    assert player.fingers == (("0 x 0 0", "2 x 3 4"),)
    assert player.effort == Effort(stretch=2.0)


def test_an_empty_file_is_an_adult() -> None:
    assert read_player("") == Player()


@pytest.mark.parametrize("name", PRESETS)
def test_presets_are_named_in_the_file(name: str) -> None:
    assert read_player(f'preset = "{name}"\n') == PRESETS[name]


def test_a_preset_is_the_ground_for_the_rest() -> None:
    player = read_player('preset = "small hand"\n[reach]\nsize = 1.1\n')
    assert player.neck == SMALL_HAND.neck
    assert player.reach.limit_mm == pytest.approx(SMALL_HAND.reach.scaled(1.1).limit_mm)


def test_small_hands_reach_less_and_beginners_pay_more() -> None:
    assert all(
        small < adult
        for small, adult in zip(SMALL_HAND.reach.limit_mm, Reach().limit_mm, strict=True)
    )
    assert BEGINNER.effort.stretch > Effort().stretch


#: Text, line and column of its one mistake, message, expectation, suggestion.
MISTAKES = [
    ('hnad = "left"', 1, 1, "there is no setting 'hnad'", "one of name, preset, hand,", "hand"),
    ('\nhand = "lefty"', 2, 1, "hand cannot be 'lefty'", "one of right, left", "left"),
    ('preset = "adlt"', 1, 1, "preset cannot be 'adlt'", "one of adult, small hand", "adult"),
    ("window = [10, 3]", 1, 1, "a window is its lowest and highest fret", "such as [3, 10]", ""),
    ("window = 3", 1, 1, "a window is its lowest and highest fret", "such as [3, 10]", ""),
    ('tuning = ["E2", "H2", "D3"]', 1, 1, "'H2' is not a note name", "note names from", ""),
    ('tuning = ["E2", "A2", "C9"]', 1, 1, "'C9' is no open string", "one from C-1 to G6", ""),
    ('tuning = ["Cb-1", "A2", "D3"]', 1, 1, "'Cb-1' is no open string", "one from C-1 to G6", ""),
    ("tuning = 6", 1, 1, "a tuning is a list of 3 to 12 open strings", "note names from", ""),
    ("scale_mm = 25.5", 1, 1, "scale_mm cannot be 25.5", "a number from 200 to 1200", ""),
    ("frets = 21.5", 1, 1, "frets cannot be 21.5", "a whole number from 5 to 36", ""),
    ("frets = true", 1, 1, "frets cannot be True", "a whole number from 5 to 36", ""),
    ("reach = 3", 1, 1, "reach is a table", "a line [reach]", ""),
    ("[reach]\nsize = 3", 2, 1, "size cannot be 3", "a number from 0.5 to 1.5", ""),
    ("[reach]\nlimit_mm = [1, 2]", 2, 1, "limit_mm is six lengths", "1-2, 2-3, 3-4", ""),
    ("[reach]\nlimit_mm = [9,9,9,9,9,9]", 2, 1, "a limit lies below", "limits at or above", ""),
    ('[taste]\nmajor_triads = "sixt"', 2, 1, "major_triads cannot be", "one of sixth", "sixth"),
    ("[effort]\n  strech = 2", 2, 3, "there is no setting 'strech' in [effort]", "one of shift",
     "stretch"),
    ("[effort]\nshift = -1", 2, 1, "shift cannot be -1", "a number from 0 to 10000", ""),
    ('[fingers]\n"0 x 0 0" = "2 x 3"', 2, 1,
     "'2 x 3' cannot finger the shape '0 x 0 0': 3 fingers are given for 4 strings",
     "shape and fingers in equal places", ""),
    ('[fingers]\n"0 x 0 0" = "3 x 2 2"', 2, 1,
     "the middle finger and the ring finger cross at one fret, with a barre", "shape and fingers",
     ""),
    ('[fingers]\n"0 x 0 1" = "2 x 3 1"', 2, 1,
     "the middle finger is on a lower fret than the index finger", "shape and fingers", ""),
    ('[fingers]\n"0 x 0 1" = "1 x 2 2"', 2, 1, "the middle finger is on two frets",
     "shape and fingers", ""),
    ('[fingers]\n"0 x 0 0" = "2 3 3 3"', 2, 1, "string 3 has a finger but is not stopped",
     "shape and fingers", ""),
    ('[fingers]\n"0 2 2 2" = "1 4 4 4"', 2, 1, "the little finger cannot lie across 3 strings",
     "shape and fingers", ""),
    ('[fingers]\n"0 2 2 1" = "1 3 3 2"', 2, 1,
     "the ring finger lies over a thinner string that sounds below its fret", "shape", ""),
    ('[fingers]\n"0 x 0 6" = "1 x 2 3"', 2, 1,
     "middle and ring finger are 90 mm apart, beyond the reach of 50 mm", "shape", ""),
    ('[fingers]\n"0 x 0 0" = "2 o 3 3"', 2, 1, "fingers are 1 to 4, x on a silent string",
     "shape and fingers", ""),
    ('[fingers]\n"0 x 0 0" = "02 x 3 3"', 2, 1, "fingers are 1 to 4", "shape and fingers", ""),
    ('[fingers]\n"0 x 0 0 x" = "2 x 3 3 x"', 2, 1, "a shape begins with 0", "shape", ""),
    ('[fingers]\n"1 x 1 1" = "2 x 3 3"', 2, 1, "a shape begins with 0", "shape", ""),
    ('[fingers]\n"0 0 0 0 0 0 0" = "1 1 1 1 1 1 1"', 2, 1,
     "it goes over 7 strings, the neck has 6", "shape", ""),
    ('[fingers]\n"0 x 0 0" = 2', 2, 1, "no text", "shape and fingers", ""),
    ("hand = left", 1, 8, "Invalid value", "TOML: lines of name = value", ""),
]  # fmt: skip


@pytest.mark.parametrize(("text", "line", "column", "message", "expected", "near"), MISTAKES)
def test_each_mistake_is_named_with_its_place(
    text: str, line: int, column: int, message: str, expected: str, near: str
) -> None:
    with pytest.raises(SheetError) as caught:
        read_player(text, "me.toml")
    (problem,) = caught.value.problems
    assert (problem.line, problem.column) == (line, column)
    assert message in problem.message
    assert expected in problem.expected
    assert problem.suggestion == near
    assert problem.source == text.splitlines()[line - 1]
    assert caught.value.name == "me.toml"


def test_all_mistakes_of_a_file_come_at_once() -> None:
    text = 'hand = "lefty"\nframes = 2\n[reach]\nsize = 9\n[effort]\nshift = "far"\nhand = 1\n'
    with pytest.raises(SheetError) as caught:
        read_player(text)
    assert sorted(problem.line for problem in caught.value.problems) == [1, 2, 4, 6, 7]


def test_the_highest_note_of_the_highest_tuning_is_still_a_midi_number() -> None:
    neck = read_player('tuning = ["C6", "E6", "G6"]\nfrets = 36\n').neck
    assert max(neck.tuning) + neck.last_fret == 127


def test_every_weight_can_be_set() -> None:
    for field in fields(Effort):
        player = read_player(f"[effort]\n{field.name} = 7.5\n")
        assert getattr(player.effort, field.name) == 7.5


#: Fingerings of a teacher that the search would not choose (common practice, no source, from
#: memory): three fingertips for a barre, the index on a silent string, the middle finger flat.
WORDS = {
    "0 x 0 0": "2 x 3 4", "0 x 0 1": "2 x 3 4", "0 -1 -1": "3 2 2", "0 -2 0": "3 1 4",
    "0 x 0 2": "1 x 1 3", "0 x 1 1": "1 x 2 3", "0 -1 1": "2 1 3", "0 x -1 1": "2 x 1 3",
    "0 0 0": "3 3 3", "0 -1 0 -1": "3 1 4 2",
}  # fmt: skip


@pytest.mark.parametrize("preset", PRESETS)
def test_fingers_of_the_file_bind_wherever_their_shape_is_played(preset: str) -> None:
    lines = [f'"{shape}" = "{fingers}"' for shape, fingers in WORDS.items()]
    player = read_player("\n".join([f'preset = "{preset}"', "[fingers]", *lines]))
    played = 0
    for symbol in (root + quality for root in ROOTS for quality in ("m7", "7", "6", "maj7", "7b9")):
        for style in STYLES:
            for grip in candidates(chord(symbol), player, style).grips:
                shape = shape_of(grip.frets)
                if shape in WORDS:
                    assert fingers_text(grip) == WORDS[shape]
                    played += 1
    assert played > 150


def test_a_pin_that_names_no_fingers_is_held_with_those_of_the_file() -> None:
    player = read_player('[fingers]\n"0 x 0 0" = "2 x 3 4"\n')
    plan = plan_hand(straight(sheet("Gm7 C7", {0: (3, None, 3, 3, None, None)})), player)
    assert plan.grips[0].fingers == (2, None, 3, 4, None, None)


def test_a_shape_is_not_played_where_its_fingers_do_not_reach() -> None:
    """Index to middle finger three frets: 69 mm at frets 7 to 10 of a scale of 647.7 mm."""
    player = read_player('[fingers]\n"0 x -3 0" = "2 x 1 3"\n[reach]\nsize = 1.0\n')
    for fret in range(4, 16):
        frets = (fret, None, fret - 3, fret, None, None)
        spread = 647.7 * (2 ** (-(fret - 3) / 12) - 2 ** (-fret / 12))
        found = fingering_of(frets, player)
        assert (found is not None) == (spread <= player.reach.limit_mm[0])
        assert found is None or found.fingers == (2, None, 1, 3, None, None)
