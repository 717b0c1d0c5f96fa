"""The analysis of any sheet: it speaks of every chord, points forward, and moves with the key."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from midneck.converter.harmony.analysis import Analysis
from midneck.grammar.text.reader import read_sheet
from midneck.grammar.transpose import interval_for, transpose_sheet
from support.examples import share
from support.harmony import analysed, up
from support.sheets import sheet_texts

pytestmark = pytest.mark.slow


@given(sheet_texts())
@share(0.5)
def test_every_chord_is_read_and_every_index_is_one_of_a_chord(text: str) -> None:
    sheet = read_sheet(text)
    analysis = analysed(sheet)
    assert len(analysis.readings) == len(sheet.chords)
    for index, (written, reading) in enumerate(zip(sheet.chords, analysis.readings, strict=True)):
        assert (reading is None) == (written.chord is None)
        if reading is not None and reading.resolves_to is not None:
            assert sheet.chords[reading.resolves_to].chord is not None
            assert reading.resolves_to != index
    for area in analysis.areas:
        assert area.chords
        assert all(sheet.chords[index].chord is not None for index in area.chords)


@given(sheet_texts(), st.integers(1, 11))
@share(0.5)
def test_the_analysis_moves_with_the_key(text: str, semitones: int) -> None:
    sheet = read_sheet(text)
    analysis = analysed(sheet)
    moved = analysed(transpose_sheet(sheet, interval_for(analysis.key, semitones), analysis.key))
    assert said(moved, 0) == said(analysis, semitones)


def said(analysis: Analysis, semitones: int) -> object:
    """What is said of each chord, the keys so many semitones higher."""
    readings = [
        None if r is None else (up(r.key, semitones), r.roman, r.role, r.resolves_to)
        for r in analysis.readings
    ]
    areas = [(a.kind, up(a.key, semitones), a.chords, a.resolved) for a in analysis.areas]
    return up(analysis.key, semitones), readings, areas


@given(sheet_texts())
@share(0.3)
def test_the_same_sheet_is_heard_the_same(text: str) -> None:
    assert analysed(read_sheet(text)) == analysed(read_sheet(text))
