"""The timeline: what sounds when, in exact quarter notes, and how long until the next chord."""

from __future__ import annotations

from fractions import Fraction

import pytest
from midneck.converter.timeline import playings, timeline_of
from midneck.grammar.form.unfold import unfold
from midneck.grammar.text.reader import read_sheet
from support.tunes import tune_text


def test_bars_follow_one_another_without_gap() -> None:
    timeline = timeline_of(read_sheet(tune_text(3)))
    for bar, after in zip(timeline.bars, timeline.bars[1:], strict=False):
        assert bar.start + bar.length == after.start
        assert bar.before + 1 == after.before


@pytest.mark.parametrize("seed", range(20))
def test_the_chords_are_those_of_the_form_in_its_order(seed: int) -> None:
    sheet = read_sheet(tune_text(seed))
    form = unfold(sheet)
    bars = timeline_of(sheet, form).bars
    assert tuple(bar.index for bar in bars) == form.bars
    assert tuple(one.chord for bar in bars for one in bar.chords) == form.chords


def test_a_pickup_repeats_similes_and_silence() -> None:
    sheet = read_sheet("Time: 3/4\n\nA:\n| G7 (pickup) |: Dm7 G7 / | % :|\nB:\n| N.C. | C6 ||\n")
    timeline = timeline_of(sheet)
    rows = [
        (bar.index, bar.section, [(one.chord, one.start, one.length) for one in bar.chords])
        for bar in timeline.bars
    ]
    two = [(1, 0, 1), (2, 1, 2)]
    assert rows[1:5] == [(1, 0, two), (2, 0, two), (1, 0, two), (2, 0, two)]
    assert rows[5:] == [(3, 1, [(3, 0, 3)]), (4, 1, [(4, 0, 3)])]
    assert [one.silent for bar in timeline.bars[-2:] for one in bar.chords] == [True, False]


def test_beats_of_eighths_are_half_a_quarter_long() -> None:
    (bar,) = timeline_of(read_sheet("Time: 6/8\n\n| Am7 / / / D7 / ||\n")).bars
    assert bar.length == 3
    assert [(one.start, one.length) for one in bar.chords] == [(0, 2), (2, 1)]


def test_a_rest_of_many_bars_is_one_bar_of_their_length() -> None:
    from dataclasses import replace

    sheet = read_sheet("| C6 | Dm7 | G7 ||\n")
    rest = replace(sheet.bars[1], chords=(), rest_bars=8)
    timeline = timeline_of(replace(sheet, bars=(sheet.bars[0], rest, sheet.bars[2])))
    assert [(bar.before, bar.start, bar.length) for bar in timeline.bars] == [
        (0, 0, 4), (1, 4, 32), (9, 36, 4),
    ]  # fmt: skip
    # 120 quarters a minute: half a second each; the rest is time of the chord before it.
    assert [one.seconds for one in playings(timeline, 120)] == [18.0, 2.0]


@pytest.mark.parametrize("seed", range(10))
def test_the_playings_last_as_long_as_the_bars(seed: int) -> None:
    timeline = timeline_of(read_sheet(tune_text(seed)))
    quarters = sum((bar.length for bar in timeline.bars), Fraction(0))
    tempo = 100 * timeline.sheet.tempo_quarters
    whole = float(quarters * 60 / tempo)
    assert sum(one.seconds for one in playings(timeline, 100)) == pytest.approx(whole)
