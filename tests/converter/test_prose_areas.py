"""What is said of the areas of a tune."""

from __future__ import annotations

import pytest
from midneck.converter.harmony.analysis import AREA_KINDS, Area
from midneck.converter.prose.areas import (
    area_lines,
    area_sentence,
    area_sentences,
    details_of,
    key_sentence,
)
from midneck.grammar.key import Key
from midneck.grammar.pitch import PitchName
from midneck.grammar.text.reader import read_sheet
from support.harmony import analysed, sheet_of

SHEET = sheet_of("Cm7 | F7 | Bb6 | Bb6")
B_FLAT = Key(PitchName("B", -1))


def test_a_sentence_names_the_chords() -> None:
    sheet = sheet_of("Dm7 | G7 | C6 | %")
    first = analysed(sheet).areas[0]
    said = "A ii–V–I in C major: Dm7 gets ready, G7 pulls, C6 is home."
    assert area_sentence(sheet, first) == said


@pytest.mark.parametrize(
    ("bars", "goal", "sentence"),
    [
        ("Em7 | A7 | Dm7 | G7 | C6 | %", 2, "D minor: A7 falls to Dm7, which leads straight on."),
        ("Dm7 | G7 | Abm7 Db7 | C6", 4, "C major: G7 asks for C6, which comes later."),
        ("C6 | Em7 A7 | Fm6 | C6", None, "D major left open: A7 asks for a tonic that does not "
         "come."),
    ],
)  # fmt: skip
def test_a_two_five_says_what_becomes_of_it(bars: str, goal: int | None, sentence: str) -> None:
    sheet = sheet_of(bars)
    first = next(area for area in analysed(sheet).areas if area.kind == "ii-V")
    assert (first.goal, area_sentence(sheet, first)) == (goal, f"A ii–V of {sentence}")


@pytest.mark.parametrize(
    ("bars", "kind", "sentence"),
    [
        ("Gm7 | C7sus4 C7 | Am7 | D7 | Gm7 | C7 | F6 | %", "ii-V",
         "A ii–V of F major: C7 moves to Am7, which stands for the tonic."),
        ("C6 A7 | D7 G7 | Em7 | A7 | Dm7 | G7 | C6 | %", "turnaround",
         "A turnaround in C major: A7 D7 G7 lead from C6 to Em7, which stands for the tonic."),
        ("Cmaj7 Ebmaj7 | Abmaj7 Dbmaj7 | Cmaj7 | %", "turnaround",
         "A turnaround in C major: Ebmaj7 Abmaj7 Dbmaj7 lead from Cmaj7 round to Cmaj7."),
        ("Ebdim7 | Dm7 | G7 | Cmaj7 | C6 | Dm7 G7 | Cmaj7 | %", "passing diminished",
         "Ebdim7 leads by a semitone into Dm7; play it as a chord in passing."),
        ("Am Am(maj7) | Am7 Am6 | Dm7 | E7 | Am6 | %", "line cliche",
         "A line cliché: Am stays while a line in it moves by semitones, as far as Am6."),
    ],
)  # fmt: skip
def test_the_first_area_of_a_kind_is_told(bars: str, kind: str, sentence: str) -> None:
    sheet = sheet_of(bars)
    first = next(area for area in analysed(sheet).areas if area.kind == kind)
    assert area_sentence(sheet, first) == sentence


def test_each_detail_stands_with_the_passage_that_holds_most_of_it() -> None:
    areas = analysed(sheet_of("C6 A7 | Dm7 G7 | C6 | E7 | Am7 D7 | Dm7 G7 | C6 | %")).areas
    told = [(area.kind, [one.kind for one in inside]) for area, inside in details_of(areas)]
    assert told[0] == ("turnaround", ["ii-V-I"])
    assert sum(1 + len(inside) for _, inside in told) == len(areas)


@pytest.mark.parametrize("kind", AREA_KINDS)
def test_each_kind_has_a_sentence(kind: str) -> None:
    said = [
        area_sentence(SHEET, Area(kind, B_FLAT, (0, 1, 2), (1, 3), resolved, 2, immediate))
        for resolved in (True, False)
        for immediate in (True, False)
    ]
    assert any(said)
    assert all(not one or (one.endswith(".") and "{" not in one) for one in said)


def test_areas_with_the_same_sentence_share_a_line_in_order_of_their_bars() -> None:
    areas = (
        Area("ii-V-I", B_FLAT, (0, 1, 2), (5, 7), True),
        Area("ii-V-I", B_FLAT, (0, 1, 2), (1, 3), True),
        Area("V-I", B_FLAT, (1, 2), (8, 1), True),
        Area("vamp", B_FLAT, (3,), (9, 9), True),
    )
    assert area_sentences(SHEET, areas) == [
        "Bars 1–3, 5–7: A ii–V–I in Bb major: Cm7 gets ready, F7 pulls, Bb6 is home.",
        "Bars 8→1: F7 is the V of Bb major and falls home to Bb6.",
        "Bar 9: The harmony stands still here: a vamp in Bb major.",
    ]


def test_each_area_has_a_line_of_its_own_below_the_heading() -> None:
    areas = (
        Area("ii-V-I", B_FLAT, (0, 1, 2), (1, 3), True),
        Area("ii-V", B_FLAT, (0, 1), (5, 5), False),
    )
    assert area_lines(SHEET, areas) == [
        "",
        "Areas",
        "  bars 1–3: ii-V-I in Bb major (Cm7 F7 Bb6)",
        "  bar 5: ii-V in Bb major, left open (Cm7 F7)",
    ]
    assert area_lines(SHEET, ()) == []


@pytest.mark.parametrize(
    ("bars", "header", "sentence"),
    [
        ("F6 | D7 | Gm7 | C7 | F6 | D7 | Gm7 C7 | F6", "",
         "Heard in F major: the tune opens on the tonic, closes ii–V–I in bars 7–8 "
         "(2 cadences reach the tonic) and is in it for 100 % of the time."),
        ("Dm7 | % | % | % | % | % | % | % || Ebm7 | % | % | % | % | % | % | %", "",
         "Heard in D dorian, a modal key: the tune has no dominant that falls, opens on the tonic "
         "and is in it for 50 % of the time."),
        ("Fm7 | Bb7 | Ebmaj7 | C7 | Fm7 | Bb7 | Eb6 | C7", "Title: T\nKey: Eb",
         "Stated as Eb major: the tune closes ii–V–I in bars 5–7 (2 cadences reach the tonic) "
         "and is in it for 100 % of the time."),
    ],
)  # fmt: skip
def test_the_key_is_explained(bars: str, header: str, sentence: str) -> None:
    sheet = sheet_of(bars, header)
    assert key_sentence(analysed(sheet), sheet) == sentence


def test_a_sheet_without_chords_has_nothing_to_explain() -> None:
    sheet = sheet_of("N.C. | %")
    assert key_sentence(analysed(sheet), sheet) == ""


def test_the_key_names_the_bars_that_are_played_across_endings() -> None:
    sheet = read_sheet("Key: C\n\n|: C6 | Dm7 |1. Em7 | A7 :|2. G7 | C6 ||\n")
    sentence = key_sentence(analysed(sheet), sheet)
    assert "closes ii–V–I in bars 2, 5–6" in sentence
