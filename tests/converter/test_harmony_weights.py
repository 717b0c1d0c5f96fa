"""The table of prices: complete, well formed, and saying what theory says."""

from __future__ import annotations

from dataclasses import asdict

import numpy as np
import pytest
from midneck.converter.harmony.chord_class import ChordClass, Sound
from midneck.converter.harmony.events import Event
from midneck.converter.harmony.functions import DEGREES, degree_prices, function_prices
from midneck.converter.harmony.home import evidence
from midneck.converter.harmony.keys import distances
from midneck.converter.harmony.metre import Phrase
from midneck.converter.harmony.weights import (
    MAJOR_APPLIED,
    MAJOR_FIT,
    MINOR_APPLIED,
    MINOR_FIT,
    WEIGHTS,
)
from support.harmony import analysed, sheet_of

#: Degrees and sounds of the sevenths of each mode (common practice, no source).
DIATONIC = {
    "major": "I:MAJOR_7 II:MINOR_7 III:MINOR_7 IV:MAJOR_7 V:DOMINANT VI:MINOR_7 "
    "VII:HALF_DIMINISHED",
    "minor": "I:MINOR_6 II:HALF_DIMINISHED bIII:MAJOR_7 IV:MINOR_7 V:DOMINANT bVI:MAJOR_7 "
    "bVII:DOMINANT",
}


@pytest.mark.parametrize("table", [MAJOR_FIT, MINOR_FIT])
def test_every_sound_has_its_line_of_prices(table: dict[Sound, str]) -> None:
    assert set(table) == set(Sound)
    for line in (*table.values(), MAJOR_APPLIED, MINOR_APPLIED):
        assert min(degree_prices(line)) >= 0


@pytest.mark.parametrize(("mode", "table"), [("major", MAJOR_FIT), ("minor", MINOR_FIT)])
def test_a_key_s_own_sevenths_are_cheaper_than_any_other_on_their_root(
    mode: str, table: dict[Sound, str]
) -> None:
    for word in DIATONIC[mode].split():
        degree, sound = word.split(":")
        at = DEGREES[degree]
        own = degree_prices(table[Sound[sound]])[at]
        assert own <= 0.7
        assert own < WEIGHTS.foreign / 2


def test_relatives_and_parallels_are_the_nearest_keys() -> None:
    steps = distances()
    assert steps[0, 9 + 12] == steps[0, 0 + 12] == steps[0, 7] == steps[0, 5] == 1
    assert steps[0, 6] == 6
    assert np.array_equal(steps, steps.T)


def test_the_home_weights_name_the_evidence_that_there_is() -> None:
    row = [Event(ChordClass(0, Sound.MAJOR_6, 0), (0,), 0.0, 1.0, 0)]
    assert set(asdict(WEIGHTS.home)) == set(evidence(row, (1,), (Phrase(0, 1),)))


def test_a_cadence_makes_its_key_the_cheapest() -> None:
    sounds = ((2, Sound.MINOR_7), (7, Sound.DOMINANT), (0, Sound.MAJOR_6))
    row = [
        Event(ChordClass(root, sound, root), (at,), float(at), 1.0, 0)
        for at, (root, sound) in enumerate(sounds)
    ]
    assert int(function_prices(row, (1, 2, 3)).sum(axis=0).argmin()) == 0


def test_areas_nest() -> None:
    areas = analysed(sheet_of("C6 A7 | Dm7 G7 | C6 | %")).areas
    turnaround = next(area for area in areas if area.kind == "turnaround")
    inside = next(area for area in areas if area.kind == "ii-V-I")
    assert set(inside.chords) < set(turnaround.chords)
    assert areas.index(turnaround) < areas.index(inside)
