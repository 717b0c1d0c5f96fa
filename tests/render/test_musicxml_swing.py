"""The swing that a written score tells its players is the swing that our own playback has.

Source: MusicXML 4.0, `swing`: `first` and `second` are whole numbers, or it is `straight`. Swing by
tempo: Friberg & Sundström 2002, the short eighth 100 ms long, at most 3.5:1.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from fractions import Fraction

import pytest
from midneck.render.musicxml import write_musicxml
from support.charts import chart_of
from support.musicxml_schema import schema_errors
from support.performances import onsets, played


def sheet(feel: str, tempo: int, meter: str = "4/4") -> str:
    return f"Time: {meter}\nTempo: {tempo}\nFeel: {feel}\n\nA:\n| Dm7 | G7 | C6 | % ||\n"


def told(text: str) -> tuple[str | None, str | None] | str:
    data = write_musicxml(chart_of(text))
    assert schema_errors(data) == []
    swing = ET.fromstring(data).find(".//sound/swing")
    assert swing is not None
    if swing.find("straight") is not None:
        return "straight"
    return swing.findtext("first"), swing.findtext("second")


@pytest.mark.parametrize(
    ("feel", "tempo", "ratio"),
    [
        ("swing", 60, ("7", "2")),
        ("medium swing", 150, ("3", "1")),
        ("swing", 200, ("2", "1")),
        ("ballad", 240, ("3", "2")),
        ("swing", 300, "straight"),
        ("bossa nova", 132, "straight"),
        ("even eighths", 132, "straight"),
    ],
)
def test_the_ratio_follows_feel_and_tempo(feel: str, tempo: int, ratio: object) -> None:
    """60,000/150 = 400 ms: 300 to 100; 60,000/240 = 250 ms: 150 to 100."""
    assert told(sheet(feel, tempo)) == ratio


@pytest.mark.parametrize("tempo", range(120, 300, 13))
def test_it_is_the_ratio_of_the_playback(tempo: int) -> None:
    """The Charleston's second stroke lies at 1 + long/(long + short) beats."""
    ratio = told(sheet("swing", tempo))
    assert isinstance(ratio, tuple)
    long, short = (int(number or 0) for number in ratio)
    second = onsets(played(sheet("swing", tempo), rhythm="charleston"))[1]
    assert float(1 + Fraction(long, long + short)) == pytest.approx(float(second), abs=0.001)


@pytest.mark.parametrize("meter", ["4/4", "C|", "2/1", "3/8", "6/8", "12/8", "15/8", "6/16"])
def test_the_tempo_is_that_of_the_playback(meter: str) -> None:
    """Quarters a minute, and half as many again where the dotted quarter is the beat."""
    text = sheet("even", 80, meter)
    told = ET.fromstring(write_musicxml(chart_of(text))).find(".//sound[@tempo]")
    assert told is not None
    assert Fraction(told.get("tempo", "")) == played(text).tempi[0][1]
    assert told.get("tempo") == ("120" if meter in ("6/8", "12/8", "15/8") else "80")


def test_eighths_in_threes_are_not_swung() -> None:
    assert told(sheet("swing", 80, "6/8")) == "straight"


def test_a_sheet_that_says_no_feel_tells_none() -> None:
    root = ET.fromstring(write_musicxml(chart_of("A:\n| Dm7 | G7 ||\n")))
    assert root.find(".//swing") is None


def test_a_long_bar_swings_too() -> None:
    assert told(sheet("swing", 200, "13/4")) == ("2", "1")
