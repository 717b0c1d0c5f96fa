"""The passages of a tune and the details in them, and how far standing areas last.

What a teacher names first is common practice, no source.
"""

from __future__ import annotations

import itertools
import random

import pytest
from midneck.converter.harmony.analysis import Analysis
from midneck.converter.harmony.areas import PASSAGE_PRICE, best_spans
from midneck.grammar.text.reader import read_sheet
from support.harmony import INTERVALS, analysed, moved, sheet_of
from support.tunes import tune_text

#: Bars → the passages as a teacher tells them: kind and written bars.
PASSAGES = {
    "Bb6 G7 | Cm7 F7 | Dm7 G7 | Cm7 F7 | Bb6 Bb7 | Eb6 Ebm6 | Bb6 F7 | Bb6": [
        ("turnaround", (1, 3)), ("turnaround", (3, 5)), ("V-I", (5, 6)), ("borrowed iv", (6, 7)),
        ("V-I", (7, 8)),
    ],
    "Cmaj7 | % | F#m7 B7 | Fm7 Bb7 | Em7 | A7 | Dm7 G7 | C6": [("ii-V chain", (3, 8))],
    "Dm7 G7 | Em7 A7 | Dm7 G7 | Em7 A7 | Dm7 | G7 | C6 | %": [("tag", (1, 7))],
    "C6 | Dm7/C | G7/C | C6": [("pedal", (1, 4))],
    "Cmaj7 | Dm7/C | Bdim7/C | %": [("pedal", (1, 4))],
    "F6 | Fm6 | C6 | %": [("borrowed iv", (2, 3))],
    "C6 | Cdim7 | Cmaj7 | %": [("common-tone diminished", (2, 3))],
    "Bmaj7 D7 | Gmaj7 Bb7 | Ebmaj7 | % | Fm7 | Bb7 | Ebmaj7 | %": [
        ("thirds cycle", (1, 3)), ("ii-V-I", (5, 7)),
    ],
    "Dm7 | % | % | % | % | % | % | %": [("vamp", (1, 8))],
    "Dm7 | G7 | Dm7 | G7 | Dm7 | G7 | Dm7 | G7": [("vamp", (1, 8))],
}  # fmt: skip


@pytest.mark.parametrize("bars", PASSAGES)
def test_the_passages_are_those_that_a_teacher_names(bars: str) -> None:
    sheet = sheet_of(bars)
    for interval in INTERVALS:
        passages = analysed(moved(sheet, interval)).passages
        assert [(area.kind, area.bars) for area in passages] == PASSAGES[bars]


def test_a_vamp_of_a_repeated_section_ends_with_its_last_bar() -> None:
    text = "Title: T\n\nA:\n|: Dm7 | % | % | % | % | % | % | % :|\n\nB:\n| Ebm7 | % | % | % ||\n"
    vamp = analysed(read_sheet(text)).areas[0]
    assert (vamp.kind, vamp.bars) == ("vamp", (1, 8))


def test_triads_for_sevenths_have_the_same_passages() -> None:
    sevenths = "C6 | A7 | Dm7 | G7 | C6 | % | Dm7 G7 | C6"
    triads = "C | A7 | Dm | G7 | C | % | Dm G7 | C"
    assert told(analysed(sheet_of(sevenths))) == told(analysed(sheet_of(triads)))


def told(analysis: Analysis) -> list[object]:
    return [(area.kind, area.key, area.chords, area.level) for area in analysis.areas]


@pytest.mark.parametrize("seed", range(0, 60, 5))
def test_passages_follow_each_other_and_every_chord_of_a_two_five_one_is_in_one(seed: int) -> None:
    analysis = analysed(read_sheet(tune_text(seed)))
    inside = {chord for area in analysis.passages for chord in area.chords}
    for area in analysis.areas:
        if area.kind == "ii-V-I":
            assert set(area.chords[:2]) <= inside


@pytest.mark.parametrize("seed", range(20))
def test_the_passages_are_the_best_of_all_choices(seed: int) -> None:
    chance = random.Random(seed)
    lengths = [chance.choice((0.5, 1.0, 2.0)) for _ in range(12)]
    bars = list(itertools.accumulate(lengths, initial=0.0))
    pairs = [sorted(chance.sample(range(13), 2)) for _ in range(9)]
    spans = [(start, end) for start, end in pairs]
    found = best_spans(spans, bars)
    assert apart(spans, found)
    every = (set(some) for n in range(10) for some in itertools.combinations(range(9), n))
    best = max(worth(spans, bars, some) for some in every if apart(spans, some))
    assert worth(spans, bars, found) == pytest.approx(best)


def apart(spans: list[tuple[int, int]], some: set[int]) -> bool:
    ordered = sorted(spans[at] for at in some)
    return all(here[1] <= there[0] for here, there in itertools.pairwise(ordered))


def worth(spans: list[tuple[int, int]], bars: list[float], some: set[int]) -> float:
    return sum(bars[spans[at][1]] - bars[spans[at][0]] - PASSAGE_PRICE for at in some)
