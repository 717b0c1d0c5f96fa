"""Pinned grips that contradict their symbols are kept and told, with bar, note and degree.

Which notes contradict a symbol and which are tensions is common practice, no source.
"""

from __future__ import annotations

import pytest
from midneck.converter.hand.costs import candidates
from midneck.converter.hand.grip import frets_text
from midneck.converter.hand.plan import Style
from midneck.converter.hand.player import Player
from midneck.converter.make import make_chart
from midneck.converter.prose.chart import chart_sentences
from midneck.converter.prose.remarks import clash_lines, remark_lines
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.text.reader import read_sheet
from midneck.render.report import load_schema, report
from midneck.render.text import text_chart


def chart_of(*chords: str):
    return make_chart(read_sheet("Key: C\n\n| " + " | ".join(chords) + " |\n"))


#: Symbol, frets, (string, degree, degree of the symbol) of each note against it.
CONTRADICTIONS = [
    ("Dm7", "10 x 10 11 x x", [(3, "3", "b3")]),
    ("C7", "8 x 8 8 x x", [(3, "b3", "3")]),
    ("Cmaj7", "8 x 8 9 x x", [(4, "b7", "7")]),
    ("C7", "8 x 9 9 x x", [(4, "7", "b7")]),
    ("C6", "8 x 8 9 x x", [(4, "b7", "6")]),
    ("Cm7b5", "8 x 8 8 8 x", [(2, "5", "b5")]),
    ("Cm7", "8 x 8 8 7 x", [(2, "b5", "5")]),
    ("Caug", "8 x 10 9 8 x", [(2, "5", "#5")]),
    ("C7b9", "x 3 2 3 3 x", [(2, "9", "b9")]),
    ("C9", "x 3 2 3 2 x", [(2, "b9", "9")]),
    ("C7sus4", "8 x 8 9 x x", [(3, "3", "4")]),
    ("Cmaj7", "x 3 3 4 x x", [(4, "4", "3")]),
    ("Gm7/Bb", "3 x 3 3 x x", [(6, "1", None)]),
]

#: Grips that say more or less than their symbols and contradict nothing.
TENSIONS = [
    ("Dm7", "10 x 10 10 x x"), ("C7", "x 3 2 3 4 x"), ("C7", "8 x 8 9 9 x"),
    ("C7", "x 3 2 3 3 x"), ("C7", "x 3 2 3 2 x"), ("Cmaj7", "x 3 2 4 x 2"),
    ("Cmaj7", "8 x 7 9 x x"), ("C6", "8 x 9 9 x x"), ("Cm7b5", "8 x 8 8 x x"),
    ("Cm7", "8 x 8 8 6 x"), ("C", "x 3 2 2 x x"), ("Cm", "8 x 8 8 x x"),
    ("Gm7/Bb", "6 x 5 7 6 x"), ("C7/Bb", "6 x 5 5 5 x"), ("Fmaj7", "x 8 7 9 x x"),
]  # fmt: skip


@pytest.mark.parametrize(("symbol", "frets", "expected"), CONTRADICTIONS)
def test_a_note_against_the_symbol_is_told(symbol: str, frets: str, expected: list) -> None:
    chart = chart_of(f"{symbol}<{frets}>", "G7")
    kept = ["x" if fret is None else str(fret) for fret in chart.plan.grips[0].frets]
    assert " ".join(kept) == frets
    told = [
        (clash.note.string, str(clash.tone), clash.instead and str(clash.instead))
        for clash in chart.plan.clashes
    ]
    assert told == expected
    assert {clash.chord for clash in chart.plan.clashes} == {0}


@pytest.mark.parametrize(("symbol", "frets"), TENSIONS)
def test_tensions_and_bare_shells_are_no_contradictions(symbol: str, frets: str) -> None:
    assert chart_of(f"{symbol}<{frets}>").plan.clashes == ()


@pytest.mark.parametrize(
    "symbol",
    ["Dm7", "G7b9", "C6", "Caug", "C7sus4", "F#m7b5", "B7#5", "Em9", "A13", "Gm7/Bb", "Bdim7", "C",
     "C/E", "Cm(maj7)", "Cm6", "C7#9", "Ebmaj7", "C7alt", "Csus2", "C5"],
)  # fmt: skip
@pytest.mark.parametrize("style", ["shell", "four-note", "colour"])
def test_no_grip_of_the_planner_contradicts_its_symbol_when_it_is_pinned(
    symbol: str, style: Style
) -> None:
    player = Player()
    for grip in candidates(parse_chord(symbol), player, style).grips[::3]:
        assert chart_of(f"{symbol}<{frets_text(grip.frets)}>").plan.clashes == ()


def test_the_remark_names_bar_note_and_degree() -> None:
    chart = chart_of("G7", "Dm7<10 x 10 11 x x>")
    assert clash_lines(chart) == [
        "bar 2, Dm7<10 x 10 11 x x>: F# on string 3 is the major third, where the symbol says F, "
        "the minor third"
    ]
    for text in (text_chart(chart), "\n".join(chart_sentences(chart))):
        assert "F# on string 3 is the major third" in " ".join(text.split())


def test_the_report_holds_it() -> None:
    import jsonschema

    data = report(chart_of("G7", "Dm7<10 x 10 11 x x>"))
    assert data["chords"][1]["clashes"] == [
        {"string": 3, "note": "F#", "degree": "3", "instead": "b3"}
    ]
    assert "clashes" not in data["chords"][0]
    jsonschema.validate(data, load_schema())


def test_tones_that_no_grip_sounds_are_listed_with_their_bars() -> None:
    chart = chart_of("Cm7b5<8 x 8 8 x x>", "F7b9<x 8 7 8 x x>", "Cm7b5<8 x 8 8 x x>", "Bb6")
    assert remark_lines(chart) == [
        "Not sounded: Cm7b5 without Gb (♭5) (bars 1, 3); F7(b9) without Gb (♭9) (bar 2)"
    ]
    assert remark_lines(chart_of("Dm7", "G7", "C6")) == []
