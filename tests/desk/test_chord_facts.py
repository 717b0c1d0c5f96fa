"""What a chord's card says, from a chart alone.

Degrees of chords: common practice, no source.
"""

from __future__ import annotations

import midneck
import pytest
from midneck.converter.prose.hand import explanation_lines, position_lines
from midneck.render.desk.chord_facts import chord_facts, why_lines
from midneck.render.sound.schedule import grip_sounds, note_wav

CHART = midneck.chart("Key: Bb\n\n| Cm7 | F7 | Bb6 | N.C. |\n").comping


def test_a_chord_is_told_with_its_notes_and_its_use() -> None:
    facts = chord_facts(CHART, 0)
    assert (facts.symbol, facts.place) == ("Cm7", "bar 1, beats 1 to 4")
    assert facts.numeral == "ii7 in B♭ major"
    assert set(facts.notes) == {("C", "root"), ("B♭", "minor seventh"), ("E♭", "minor third")}
    assert facts.does == ("A ii–V–I in B♭ major: Cm7 gets ready, F7 pulls, B♭6 is home.",)
    assert "finger" in facts.fingers


def test_silence_has_no_notes() -> None:
    facts = chord_facts(CHART, 3)
    assert (facts.symbol, facts.numeral, facts.notes, facts.fingers) == ("No chord", "", (), "")
    assert why_lines(CHART, 3) == ()


@pytest.mark.parametrize("chord", range(3))
def test_the_reasons_are_those_of_the_explanation(chord: int) -> None:
    explained = "\n".join(explanation_lines(CHART))
    lines = position_lines(CHART, chord)
    said = [line for line in lines if not line.startswith("It is in position")]
    assert said
    assert all(line in explained for line in said)


def test_the_sounds_of_a_grip_are_its_notes() -> None:
    grip = CHART.plan.grips[0]
    assert grip is not None
    names = grip_sounds(grip)
    assert [int(name.split("-")[1]) for name in names] == [n.midi for n in grip.voicing.notes]
    assert note_wav(names[0])[:4] == b"RIFF"
