"""Strokes of a rhythm on written bars: first playings, strokes over bar lines, what is played.

The patterns are common practice, no source: the Charleston has strokes on 0 and 1.5 beats, a
stroke on each beat is short.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from midneck.converter.hand.plan import PlanError
from midneck.converter.make import make_chart
from midneck.converter.practice.perform import perform
from midneck.converter.practice.performance import Settings
from midneck.converter.practice.rhythm import (
    PATTERNS,
    BarStroke,
    Pattern,
    RhythmError,
    named_pattern,
)
from midneck.converter.practice.written import tune_pattern, written_strokes
from midneck.grammar.text.reader import read_sheet
from support.examples import share
from support.sheets import sheet_texts

HALF = Fraction(1, 2)


def strokes_of(text: str, rhythm: str) -> list[list[BarStroke]]:
    chart = make_chart(read_sheet(text))
    pattern = tune_pattern(chart.sheet, rhythm)
    return [list(bar) for bar in written_strokes(chart.timeline, chart.plan, pattern)]


def times(strokes: list[BarStroke]) -> list[Fraction]:
    return [stroke.at for stroke in strokes if not stroke.tied]


def test_every_written_bar_has_the_strokes_of_its_first_playing() -> None:
    bars = strokes_of("A:\n|: Dm7 | Dm7 G7 | % :|\n| N.C. | C6 ||\n", "charleston")
    whole = [Fraction(0), 3 * HALF]
    # The stroke on the "and" of 2 already sounds G7; the two last bars are silence and C6.
    assert [times(bar) for bar in bars] == [whole, whole, whole, [], whole]


def test_a_cycle_of_two_bars_begins_with_each_section() -> None:
    bars = strokes_of("A:\n| Dm7 | % | G7 ||\nB:\n| C6 | % ||\n", "bossa")
    # One chord throughout, so that its second bar begins on 2: common practice.
    assert [times(bar)[0] for bar in bars] == [0, 1, 0, 0, 1]


def test_an_early_chord_is_struck_in_the_bar_before_and_rings_on() -> None:
    first, second = strokes_of("A:\n| Dm7 | G7 (push) ||\n", "charleston")
    assert first[-1].at == 4 - HALF
    assert (first[-1].length, first[-1].over) == (HALF, True)
    assert (second[0].at, second[0].length, second[0].tied) == (0, 3 * HALF, True)
    assert times(second) == [3 * HALF]


def test_an_early_chord_stands_at_its_bar_line_where_no_bar_printed_before_leads_to_it() -> None:
    """The first bar, and one behind a repeat: the bar before it goes back first."""
    bars = strokes_of("A:\n| Dm7 (push) | G7 |: C6 | A7 :| Dm7 (push) ||\n", "four-to-the-bar")
    assert times(bars[0])[0] == 0
    assert times(bars[3]) == [0, 1, 2, 3]
    assert times(bars[4])[0] == 0
    assert not any(stroke.tied or stroke.over for bar in bars for stroke in bar)


def test_a_bar_of_hundreds_of_pulses_has_none() -> None:
    bars = strokes_of("Time: 64/64\n| C6 |\nTime: 512/64\n| Dm7 |\n", "half-notes")
    assert [len(bar) > 0 for bar in bars] == [True, False]


def test_a_pickup_has_the_strokes_that_it_is_long_enough_for() -> None:
    bars = strokes_of("Time: 4/4\n\n| G7 / (pickup) | C6 | % ||\n", "four-to-the-bar")
    assert [times(bar) for bar in bars] == [[0, 1], [0, 1, 2, 3], [0, 1, 2, 3]]


def test_rhythms_that_do_not_exist_or_fit_are_refused_in_words() -> None:
    sheet = read_sheet("Time: 3/4\n\n| Dm7 | G7 ||\n")
    with pytest.raises(RhythmError, match="bossa does not fit 3/4; in 3/4 there are four-to-"):
        tune_pattern(sheet, "bossa")
    with pytest.raises(RhythmError, match="there is no rhythm 'tango'; there are four-to-the-bar"):
        named_pattern("tango")
    assert named_pattern("Two to the bar").name == "two-to-the-bar"


@given(sheet_texts(straight=True), st.sampled_from(PATTERNS))
@share(0.6)
def test_paper_has_the_strokes_that_are_played(text: str, pattern: Pattern) -> None:
    """Each stroke that is played is written, and no other.

    In a form without repeats, jumps and chords that the last chorus leaves out.
    """
    try:
        chart = make_chart(read_sheet(text))
    except PlanError:
        assume(False)
        raise
    assert list(chart.timeline.form.bars) == list(range(len(chart.sheet.bars)))
    try:
        tune_pattern(chart.sheet, pattern.name)
    except RhythmError:
        assume(False)
    settings = Settings(rhythm=pattern.name, swing=Fraction(1), count_in=0)
    heard = perform(chart.timeline, chart.plan, settings)
    played = sorted(stroke.at for stroke in heard.strokes if stroke.part == "guitar")
    written = written_strokes(chart.timeline, chart.plan, pattern)
    assert played == sorted(
        timed.start + stroke.at
        for timed, bar in zip(chart.timeline.bars, written, strict=True)
        for stroke in bar
        if not stroke.tied
    )
