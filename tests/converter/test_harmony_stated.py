"""A stated key is the key of the numerals; the i of a ii–V–i may go on; names of rival keys.

What each tune shows is common practice, no source.
"""

from __future__ import annotations

import pytest
from midneck.converter.prose.areas import key_sentence
from support.harmony import analysed, sheet_of

DORIAN = "Dm7 | Em7 | Dm7 | Em7 | Ebm7 | Fm7 | Ebm7 | Fm7 | Dm9 | G13 C△/G"
CHAIN = "Cm7 | Fm7 | Dm7b5 | G7alt | Cm7 | F9 | Bm7b5 E7b9 | Am7 | Dm7b5 | G7b9 | Cm7 | %"


def test_a_stated_mode_has_numerals_on_its_tonic_though_one_dominant_falls() -> None:
    sheet = sheet_of(DORIAN, "Key: D dorian")
    analysis = analysed(sheet)
    readings = [reading for reading in analysis.readings if reading is not None]
    found = [(str(reading.key), reading.roman) for reading in readings]
    ours, above = [("D dorian", "i7"), ("D dorian", "ii7")], [("Eb dorian", "i7")]
    assert found[:4] == ours * 2
    assert found[4:8] == [*above, ("Eb dorian", "ii7")] * 2
    assert [roman for _, roman in found[8:]] == ["i7", "V7/♭VII", "♭VIImaj7"]
    assert analysis.why is not None
    assert analysis.why.share == pytest.approx(0.6)
    assert [(area.kind, str(area.key)) for area in analysis.areas] == [("ii-V-I", "C major")]
    assert "no dominant that falls" not in key_sentence(analysis, sheet)


@pytest.mark.parametrize(
    ("stated", "bars", "numerals"),
    [
        ("Am", "Cmaj7 | Dm7 G7 | Cmaj7 | Dm7 G7 | Cmaj7 | Dm7 G7 | Cmaj7 | %",
         ["♭IIImaj7", "iv7", "V7/♭III"]),
        ("Cm", "Cmaj7 | Am7 | Dm7 | G7 | Cmaj7 | Am7 | Dm7 G7 | C6", ["Imaj7", "vi7", "ii7"]),
    ],
)  # fmt: skip
def test_a_stated_key_that_no_chord_is_in_takes_the_place_of_the_heard_key(
    stated: str, bars: str, numerals: list[str]
) -> None:
    analysis = analysed(sheet_of(bars, f"Key: {stated}"))
    readings = [reading for reading in analysis.readings if reading is not None]
    assert {reading.key for reading in readings} == {analysis.stated}
    assert [reading.roman for reading in readings[:3]] == numerals
    assert str(analysis.heard) == "C major"


def test_a_tune_in_its_stated_key_keeps_its_other_local_keys() -> None:
    """Eight bars in C, eight in A flat."""
    ours = "Cmaj7 | Dm7 G7 | Cmaj7 | Dm7 G7 | Cmaj7 | Dm7 G7 | Cmaj7 | %"
    other = "Bbm7 | Eb7 | Abmaj7 | % | Bbm7 | Eb7 | Abmaj7 | %"
    analysis = analysed(sheet_of(f"{ours} || {other} || {ours}", "Key: C"))
    keys = {str(reading.key) for reading in analysis.readings if reading is not None}
    assert keys == {"C major", "Ab major"}


def test_a_minor_two_five_one_is_listed_though_its_tonic_goes_on() -> None:
    sheet = sheet_of(CHAIN, "Key: C minor")
    found = [(a.bars, str(a.key)) for a in analysed(sheet).areas if a.kind == "ii-V-I"]
    assert found[0] == ((3, 5), "C minor")


def test_a_minor_chord_that_is_the_ii_of_another_local_key_is_no_tonic() -> None:
    sheet = sheet_of("Bbmaj7 | % | Dm7b5 | G7b9 | Cm7 | F7 | Bbmaj7 | %", "Key: Bb")
    found = [(a.bars, str(a.key)) for a in analysed(sheet).areas if a.kind == "ii-V-I"]
    assert found == [((5, 7), "Bb major")]


def test_the_parallel_rival_has_the_name_of_the_tonic() -> None:
    """Seven flats are the most that a signature has: D flat minor would have eight."""
    bars = "{1}maj7 | {1}m7 | {1}maj7 | {1}m7 | {1}maj7 | {1}m7 | {1}6 | {1}m6"
    rivals = [
        str(analysed(sheet_of(bars.replace("{1}", tonic), f"Key: {tonic}")).rival)
        for tonic in ("Ab", "Db")
    ]
    assert rivals == ["Ab minor", "C# minor"]
