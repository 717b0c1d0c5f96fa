"""Sheets as people type them have the reading that a musician expects."""

from __future__ import annotations

import pytest
from midneck.grammar.form.unfold import unfold
from midneck.grammar.sheet import Bar, Sheet
from midneck.grammar.text.reader import read_sheet
from midneck.grammar.text.writer import slash_counts, write_sheet
from support.sheets import read_text, without_places
from support.typed_sheets import TYPED_SHEETS, TypedSheet

BY_NAME = pytest.mark.parametrize("typed", TYPED_SHEETS, ids=[one.name for one in TYPED_SHEETS])


def sheet_of(typed: TypedSheet) -> Sheet:
    data = typed.text if isinstance(typed.text, bytes) else typed.text.encode("utf-8")
    return read_text(data)


def bar_text(bar: Bar) -> str:
    """The chords of a bar, optional ones in brackets, slashes where it is not shared evenly."""
    if bar.rest_bars:
        return f"-{bar.rest_bars}-"
    lengths = [chord.beats for chord in bar.chords]
    slashes = slash_counts(lengths, bar.meter, bar.pickup) or [0] * len(lengths)
    words = [
        f"({chord.symbol})" if chord.optional else chord.symbol + " /" * count
        for chord, count in zip(bar.chords, slashes, strict=True)
    ]
    return " ".join(words).replace(") (", " ")


def bars_text(sheet: Sheet, bars: tuple[int, ...]) -> str:
    sounding = unfold(sheet).sounding
    return " | ".join(bar_text(sheet.bars[sounding[bar]]) for bar in bars)


@BY_NAME
def test_it_has_the_reading_that_a_musician_expects(typed: TypedSheet) -> None:
    sheet = sheet_of(typed)
    form = unfold(sheet)
    assert bars_text(sheet, form.opening) == typed.opening
    assert bars_text(sheet, form.chorus) == typed.chorus
    assert bars_text(sheet, form.ending) == typed.ending
    assert form.bars == form.opening + form.chorus + form.ending


@BY_NAME
def test_its_header_and_its_remarks_are_what_was_meant(typed: TypedSheet) -> None:
    sheet = sheet_of(typed)
    header = sheet.header
    key = "" if header.key is None else str(header.key)
    assert (header.title, header.by, key, header.feel) == (
        typed.title, typed.by, typed.key, typed.feel,
    )  # fmt: skip
    assert len(sheet.warnings) == len(typed.remarks)
    for said, expected in zip(sheet.warnings, typed.remarks, strict=True):
        assert said.startswith(expected)


@BY_NAME
def test_its_canonical_text_reads_as_the_same_sheet(typed: TypedSheet) -> None:
    sheet = sheet_of(typed)
    again = read_sheet(write_sheet(sheet))
    assert without_places(again, with_text=False) == without_places(sheet, with_text=False)
