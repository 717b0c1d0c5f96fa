"""The phrases that a tune repeats, whose chords share their grips.

Takes a sheet and its form, gives for each written chord the first written chord with which it
shares a grip. A phrase is four written bars, counted from the beginning of a section, a pickup left
out; two are the same if all their bars sound the same chords on the same beats. Common practice, no
source: a student learns a phrase once.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from ...grammar.chord import Chord
from ...grammar.form.unfold import Form
from ...grammar.sheet import Sheet

#: The number of bars of a phrase.
PHRASE_BARS: Final = 4

#: What a bar sounds: its length in quarters, then for each chord a number, its start and its beats.
_Content = tuple[int, ...]


def shared_chords(sheet: Sheet, form: Form) -> dict[int, int]:
    """For each chord of a repeated phrase the first chord that shares its grip, itself included.

    Chords are indices into `Sheet.chords`; chords that share no grip are left out. Empty if no
    phrase is repeated.
    """
    firsts: dict[tuple[_Content, ...], tuple[int, ...]] = {}
    parents: dict[int, int] = {}
    for content, bars in _phrases(sheet, form):
        first = firsts.setdefault(content, bars)
        if first is not bars:
            for one, other in zip(_chords(sheet, first), _chords(sheet, bars), strict=True):
                low, high = sorted((_first(parents, one), _first(parents, other)))
                parents[low] = parents[high] = low
    return {chord: _first(parents, chord) for chord in sorted(parents)}


def _first(parents: dict[int, int], chord: int) -> int:
    while parents.get(chord, chord) != chord:
        chord = parents[chord]
    return chord


def _chords(sheet: Sheet, bars: tuple[int, ...]) -> list[int]:
    return [chord for bar in bars for chord in sheet.chords_of(bar)]


def _phrases(sheet: Sheet, form: Form) -> Iterator[tuple[tuple[_Content, ...], tuple[int, ...]]]:
    """The content of each phrase of a sheet, and the bars whose chords sound in it."""
    contents = _contents(sheet)
    for section in sheet.sections:
        bars = [
            form.sounding[bar]
            for bar in range(section.first, section.first + section.count)
            if not sheet.bars[bar].pickup
        ]
        for start in range(0, len(bars) - PHRASE_BARS + 1, PHRASE_BARS):
            phrase = tuple(bars[start : start + PHRASE_BARS])
            yield tuple(contents[bar] for bar in phrase), phrase


def _contents(sheet: Sheet) -> list[_Content]:
    """What each written bar sounds; equal chords have equal numbers, however they are written."""
    by_text: dict[str, int] = {}
    by_chord: dict[Chord | None, int] = {}
    for written in sheet.chords:
        if written.text not in by_text:
            by_text[written.text] = by_chord.setdefault(written.chord, len(by_chord))
    return [
        (
            *_ratio(bar.quarters),
            *(
                number
                for one in bar.chords
                for number in (by_text[one.text], *_ratio(one.start), *_ratio(one.beats))
            ),
        )
        for bar in sheet.bars
    ]


def _ratio(number: Fraction) -> tuple[int, int]:
    return number.numerator, number.denominator
