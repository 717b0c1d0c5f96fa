"""Sentences on grips, drills and pivots, whole: each reason, each turn, each way to practise."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import midneck
import pytest
from midneck.converter.alternatives import EFFORT_PARTS, alternatives
from midneck.converter.drill.drill import Practice
from midneck.converter.prose.drill import how_to, pivot_sentence
from midneck.converter.prose.hand import _reason as reason
from midneck.converter.prose.hand import explanation_lines
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.key import parse_key
from midneck.grammar.text.progression import parse_numeral
from support.drills import drill

REASONS = {
    "travel_mm": "longer moves before and after", "stretch_mm": "a stretch",
    "crowding_mm": "crowded fingers", "little_finger_mm": "the little finger",
    "barre_mm": "a barre", "unmuted_mm": "a string that no finger mutes",
    "window_mm": "a grip outside the window",
    "unsaid_mm": "a tone left out",
    "unled_mm": "a voice that no longer moves by step on one string",
}  # fmt: skip


def test_every_part_of_an_effort_has_its_words() -> None:
    chart = midneck.chart("Key: C\n| Dm7 | G7 | C6 |\n").comping
    [[other, *_]] = alternatives(chart, [1], 1)
    assert {*EFFORT_PARTS} == {*REASONS}
    for place, part in enumerate(EFFORT_PARTS):
        most = tuple(2.0 if at == place else 1.0 for at in range(len(EFFORT_PARTS)))
        assert reason(replace(other, parts_mm=most)) == REASONS[part]


@pytest.mark.parametrize(
    ("before", "here", "numeral", "sentence"),
    [
        ("C6", "Cm7", "ii7", "C6 turns minor: Cm7 is the ii of Bb"),
        ("C6", "C7", "V7", "C6 turns dominant: C7 is the V of Bb"),
        ("C6", "Cdim7", "viio7", "C6 turns diminished: Cdim7 is the vii of Bb"),
        ("Cm7", "Cmaj7", "Imaj7", "Cm7 turns major: Cmaj7 is the I of Bb"),
        ("Cm7", "C6", "I6", "Cm7 turns major: C6 is the I of Bb"),
        ("Cm7", "C", "I", "Cm7 turns major: C is the I of Bb"),
        ("C6", "Cm7b5", "iiø7", "C6 turns half-diminished: Cm7b5 is the ii of Bb"),
        ("C6", "C5", "I5", "C6 turns into another quality: C5 is the I of Bb"),
        ("Cm7", "Cm9", "ii9", "Cm7 stays: Cm9 is the ii of Bb"),
        ("C#6", "Dbm7", "ii7", "C#6 turns minor: Dbm7 is the ii of Bb (C# and Db are one note)"),
        ("C6", "D7", "V7", None),
    ],
)
def test_a_chord_that_pivots_says_what_it_turns(
    before: str, here: str, numeral: str, sentence: str | None
) -> None:
    chords = parse_chord(before), parse_chord(here)
    assert pivot_sentence(*chords, parse_numeral(numeral), parse_key("Bb")) == sentence


@pytest.mark.parametrize(
    ("practice", "said"),
    [
        (Practice(1), "In time: play it through once, and tick a box for each time that a key came "
         "without a slip."),
        (Practice(2, tempo=90), "In time: play it through twice at tempo 90, and tick a box for "
         "each time that a key came without a slip."),
        (Practice(3, Fraction(1), ladder=(60, 80)), "In time: play it through 3 times at each "
         "tempo, from 60 up to 80. Go on to the next tempo when this one is easy, and tick it "
         "off."),
    ],
)  # fmt: skip
def test_how_a_drill_is_practised(practice: Practice, said: str) -> None:
    first = "Say the key and the string of each root aloud, then play it out of time once."
    assert how_to(drill("V7", practice=practice)) == [first, said]


def test_how_long_the_hand_rests() -> None:
    still, resting = (
        explanation_lines(midneck.chart(f"Key: C\n| {bars} |\n").comping)
        for bars in ("Dm7 | % | Dm7 | %", "Dm7 | G7 | Dm7 | G7")
    )
    assert still[0] == "The hand never moves."
    assert "The hand stays in position 9 from beginning to end." in resting
