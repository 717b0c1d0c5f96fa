"""Small values: their text is parsed to the same value, and their repr is short."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.errors import SourcePosition
from midneck.grammar.key import parse_key
from midneck.grammar.limits import MAX_METER_BEATS
from midneck.grammar.pitch import PitchName
from midneck.grammar.sheet import METER_UNITS, Meter, parse_meter
from midneck.grammar.text.progression import parse_numeral


@given(st.integers(1, MAX_METER_BEATS), st.sampled_from(METER_UNITS))
def test_every_meter_reads_back(beats: int, unit: int) -> None:
    meter = Meter(beats, unit)
    assert parse_meter(str(meter)) == parse_meter(meter.typed) == meter


def test_cut_time_reads_back_as_it_is_typed() -> None:
    assert parse_meter(Meter(2, 2, cut=True).typed) == Meter(2, 2, cut=True)


@pytest.mark.parametrize("text", ["", "0/4", "4", "4/3", "513/4", "4/4/4", "-3/4", "four"])
def test_what_is_no_meter_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="not a time signature"):
        parse_meter(text)


@pytest.mark.parametrize(
    "value",
    [PitchName("B", -1), PitchName("F"), Meter(6, 8), Meter(2, 2, cut=True), SourcePosition(3, 7)],
    ids=repr,
)
def test_a_short_repr_is_an_expression_for_the_value(value: object) -> None:
    names = {"PitchName": PitchName, "Meter": Meter, "SourcePosition": SourcePosition}
    assert eval(repr(value), names) == value
    assert len(repr(value)) <= 22


def test_other_values_show_their_text() -> None:
    assert repr(parse_chord("Dm7b5")) == "<Chord Dm7b5>"
    assert repr(parse_key("Bb")) == "<Key Bb major>"
    assert repr(parse_numeral("V7/ii")) == "<Numeral V7/ii>"
