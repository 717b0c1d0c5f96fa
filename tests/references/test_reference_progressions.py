"""Textbook progressions, each in all twelve keys, against what a harmony teacher expects.

Sources stand in `progressions.txt` beside each progression: common practice, or the publication.
"""

from __future__ import annotations

import pytest
from midneck.converter.harmony.analysis import AREA_KINDS, Analysis
from midneck.grammar.key import Key, parse_key
from references.progressions import Progression, progressions
from support.harmony import INTERVALS, analysed, moved, sheet_of

ALL = progressions()


def number(key: Key) -> tuple[int, str]:
    return key.tonic.pitch_class, key.mode


def expected(text: str, up: int) -> tuple[int, str]:
    """A key of the reference, `Bb`, `F#m` or `D:dorian`, so many semitones higher."""
    key = parse_key(text.replace(":", " "))
    return (key.tonic.pitch_class + up) % 12, key.mode


def test_the_reference_is_large_enough_and_names_its_sources() -> None:
    assert len(ALL) >= 60
    assert len({progression.name for progression in ALL}) == len(ALL)
    assert all(progression.source for progression in ALL)
    assert any("Choi" in progression.source for progression in ALL)


def test_every_kind_of_area_is_in_the_reference() -> None:
    assert {area.kind for progression in ALL for area in progression.areas} == set(AREA_KINDS)


@pytest.mark.parametrize("progression", ALL, ids=[p.name for p in ALL])
def test_a_progression_reads_as_a_teacher_reads_it_in_all_keys(progression: Progression) -> None:
    sheet = sheet_of(progression.bars)
    for interval in INTERVALS:
        check(progression, analysed(moved(sheet, interval)), interval.semitones)


def check(progression: Progression, analysis: Analysis, up: int) -> None:
    readings = analysis.readings
    assert number(analysis.key) == expected(progression.key, up)
    assert tuple(r.roman for r in readings if r is not None) == progression.romans
    local = tuple(number(r.key) for r in readings if r is not None)
    assert local == tuple(expected(key, up) for key in progression.local)
    goals = {at: r.resolves_to for at, r in enumerate(readings) if r and r.resolves_to is not None}
    assert goals == progression.goals
    areas = [(a.kind, number(a.key), a.chords, a.resolved) for a in analysis.areas]
    wanted = [(a.kind, expected(a.key, up), a.chords, a.resolved) for a in progression.areas]
    assert areas == wanted


def test_published_segmentation_of_a_twelve_bar_tune() -> None:
    """Choi, Computer Music Journal 35(2), 2011: bars 1-2 C minor, 3-6 F major, 7-9 E flat major."""
    progression = next(p for p in ALL if p.source.startswith("Choi"))
    sheet = sheet_of(progression.bars)
    by_bar: dict[int, set[str]] = {}
    bar_of = [bar.number for bar in sheet.bars for _ in bar.chords]
    for bar, reading in zip(bar_of, analysed(sheet).readings, strict=True):
        assert reading is not None
        by_bar.setdefault(bar, set()).add(str(reading.key))
    assert by_bar[1] == {"C minor"}
    assert by_bar[3] == by_bar[4] == by_bar[5] == {"F major"}
    assert by_bar[7] == by_bar[8] == by_bar[9] == {"Eb major"}
