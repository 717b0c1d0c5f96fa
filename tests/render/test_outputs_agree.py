"""One fact, told the same by all outputs: each is read back from two of them and compared.

The readers are in `support/told.py` and look at nothing but the outputs; the JSON report is the one
that all others are compared with.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from midneck.converter.chart import CompingChart
from midneck.converter.hand.player import PRESETS, Player
from midneck.render.musicxml import write_musicxml
from midneck.render.page import PageStyle, lay_out
from midneck.render.page.write.svg import write_svg
from midneck.render.report import report
from midneck.render.text import chart_in_words, text_chart
from support.charts import FERRYMAN, LANTERNS, chart_of, charted, example_texts
from support.examples import share
from support.sheets import sheet_texts
from support.told import (
    Told,
    told_by_report,
    told_by_score,
    told_by_svg,
    told_by_text,
    told_by_words,
)
from support.tunes import tune_text

TEXTS = example_texts() | {"lanterns": LANTERNS, "ferryman": FERRYMAN}
TEXTS |= {f"invented {seed}": tune_text(seed) for seed in range(6)}
PLAYERS = {
    "adult": Player(), "small hand": PRESETS["small hand"], "left": Player(hand="left"),
}  # fmt: skip


def without_places(told: Sequence[Told], **changes: Any) -> list[Told]:
    return [replace(one, **changes) for one in told]


def assert_text_and_words_agree(chart: CompingChart) -> None:
    expected = told_by_report(report(chart))
    for width in (60, 80, 200):
        assert told_by_text(text_chart(chart, width=width)) == without_places(expected, bar=None)
    said = told_by_words(chart_in_words(chart))
    # Silence that is optional is not told apart in sentences.
    quiet = [replace(one, optional=None) if one.frets is None else one for one in expected]
    silent = [
        replace(one, optional=None, doubtful=None) if one.symbol == "N.C." else one for one in quiet
    ]
    assert said == silent


def assert_pages_agree(chart: CompingChart) -> None:
    expected = told_by_report(report(chart))
    document = lay_out(chart, PageStyle())
    pages = [write_svg(document, number) for number in range(len(document.pages))]
    drawn = told_by_svg(pages, mirrored=chart.player.hand == "left")
    shown = [
        replace(one, frets=own.frets, fingers=own.fingers)
        for one, own in zip(expected, drawn, strict=True)
    ]
    assert drawn == shown
    before: tuple[str, object] | None = None
    for one, own in zip(expected, drawn, strict=True):
        if own.frets is None:
            assert one.frets is None or (one.symbol, one.frets) == before
        else:
            assert (own.frets, own.fingers) == (one.frets, one.fingers)
        before = one.symbol, one.frets


@pytest.mark.parametrize("name", sorted(TEXTS))
@pytest.mark.parametrize("player", sorted(PLAYERS))
def test_text_sentences_and_report_tell_the_same_of_each_chord(name: str, player: str) -> None:
    """Symbol, key, numeral, doubt, frets, fingers, bar, brackets."""
    assert_text_and_words_agree(chart_of(TEXTS[name], PLAYERS[player]))


@pytest.mark.parametrize("name", sorted(TEXTS))
@pytest.mark.parametrize("player", sorted(PLAYERS))
def test_the_drawn_grids_are_those_of_the_report(name: str, player: str) -> None:
    """Strings and frets from where the marks lie on the page, mirrored for a left-hander."""
    assert_pages_agree(chart_of(TEXTS[name], PLAYERS[player]))


@pytest.mark.slow
@given(sheet_texts())
@share(0.5)
def test_any_sheet_is_told_the_same_by_text_and_sentences(text: str) -> None:
    assert_text_and_words_agree(charted(text))


@pytest.mark.slow
@given(sheet_texts())
@share(0.3)
def test_any_sheet_is_drawn_as_it_is_reported(text: str) -> None:
    assert_pages_agree(charted(text))


def assert_score_agrees(chart: CompingChart) -> None:
    """Frames, numerals and bars of a score in which no section is written out again.

    A sign that repeats a rest is written out in a score, which has no such sign.
    """
    expected = told_by_report(report(chart))
    written = {one.bar for one in expected}
    told = [one for one in told_by_score(write_musicxml(chart)) if one.bar in written]
    assert told == without_places(expected, symbol="", optional=None)


@pytest.mark.parametrize("name", sorted(TEXTS))
def test_the_frames_and_numerals_of_a_score_are_those_of_the_report(name: str) -> None:
    assert_score_agrees(chart_of(TEXTS[name]))


@pytest.mark.slow
@given(sheet_texts(straight=True))
@share(0.3)
def test_any_straight_sheet_has_the_frames_of_the_report(text: str) -> None:
    assert_score_agrees(charted(text))
