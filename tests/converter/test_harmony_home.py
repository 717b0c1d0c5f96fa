"""The key of the tune: what a theory teacher hears as home, in all twelve keys.

All progressions are invented or common forms; the answers are common practice, no source.
"""

from __future__ import annotations

import re

import pytest
from midneck.converter.harmony.analyse import key_of
from midneck.converter.harmony.analysis import Analysis
from midneck.converter.timeline import timeline_of
from midneck.grammar.key import parse_key
from support.harmony import INTERVALS, analysed, moved, sheet_of

#: A tonic that is a seventh chord: its own V reaches it, or it opens, closes and lasts.
SEVENTHS = [
    ("F major", "F7 | D7 | Gm7 | C7 | F7 | D7 | Gm7 C7 | F7"),
    ("Bb major", "Cm7 | F7 | Bb7 | G7 | Cm7 | F7 | Bb7 | %"),
    ("C major", "C7 | % | % | % | F7 | % | % | % | G7 | F7 | C7 | % | Dm7 | G7 | C7 | G7"),
    ("C major", "C7 | % | A7 | % | D7 | % | G7 | % || C7 | % | A7 | % | D7 | G7 | C7 | %"),
    ("F major", "F6 | D7 | Gm7 | C7 | F6 F7 | Bb6 Bbm6 | F6 D7 | Gm7 C7 || "
     "F6 | D7 | Gm7 | C7 | Gm7 | C7 | F7 C7 | F7"),
    ("G major", "G7 | C7 | G7 | % | C7 | C#dim7 | G7 | E7 | Am7 | D7 | G7 E7 | A7 D7"),
]  # fmt: skip
#: A mode that another chord on the tonic does not change.
MODES = [
    ("F minor", "Fm6 | C7 | Fm6 | F7 | Bbm6 | Fm6 | Gm7b5 C7 | Fm6 || "
     "Bbm7 | Eb7 | Abmaj7 | F7 | Bbm7 | G7 | C7 | % || "
     "Fm6 | C7 | Fm6 | F7 | Bbm6 | Fm6 | Gm7b5 C7 | F6"),
    ("C major", "Gm7b5 | C7 | Fm7 | % | Dm7b5 | G7 | Cmaj7 | % || "
     "Cm7 | F7 | Bbmaj7 | % | Ab7 | % | G7 | % || "
     "Gm7b5 | C7 | Fm7 | % | Dm7b5 | G7 | Cmaj7 | %"),
]  # fmt: skip
#: A close in another key than the opening; the turnaround only leads back to the top.
CLOSES = [
    ("Eb major", "Cm7 | Fm7 | Dm7b5 | G7 | Cm7 | F7 | Fm7 | Bb7 || "
     "Eb6 | Cm7 | Fm7 | Bb7 | Eb6 | % | Dm7b5 | G7 || "
     "Cm7 | Fm7 | Dm7b5 | G7 | Cm7 | F7 | Fm7 | Bb7 || "
     "Abmaj7 | Abm6 | Gm7 | C7 | Fm7 | Bb7 | Eb6 | Dm7b5 G7"),
    ("Bb major", "Ebmaj7 | Ebm7 Ab7 | Bbmaj7 | G7 | Cm7 | F7 | Bbmaj7 | Bb7 || "
     "Ebmaj7 | Edim7 | Dm7 | G7 | Cm7 | F7 | Bb6 | Bb7"),
    ("C major", "Dm7 G7 | Em7 A7 | Dm7 G7 | Cmaj7 | Dm7 G7 | Em7 A7 | D7 | Dm7 G7 || "
     "Dm7 G7 | Em7 A7 | Dm7 G7 | Cmaj7 | Dm7 G7 | Em7 A7 | Dm7 G7 | C6"),
]  # fmt: skip
#: Tunes that keep their key without their last four bars: all cadences count.
CUT = [
    ("G minor", "Cm7 | F7 | Bbmaj7 | Ebmaj7 | Am7b5 | D7 | Gm6 | % || "
     "Cm7 | F7 | Bbmaj7 | Ebmaj7 | Am7b5 | D7 | Gm6 | % || "
     "Am7b5 | D7 | Gm6 | % | Cm7 | F7 | Bbmaj7 | Ebmaj7 || "
     "Am7b5 | D7 | Gm7 C7 | Fm7 Bb7"),
    ("C major", "Cmaj7 | Em7b5 A7 | Dm7 | % | G7 | % | Cmaj7 Am7 | Dm7 G7 || "
     "Cmaj7 | Em7b5 A7 | Dm7 | % | G7 | % | Cmaj7 | Gm7 C7 || "
     "Fmaj7 | % | F#dim7 | % | Cmaj7 | A7 | Dm7 | G7 || Gm7 | C7 | Fmaj7 | %"),
]  # fmt: skip
HOMES = [*SEVENTHS, *MODES, *CLOSES, *CUT]


def key_words(analysis: Analysis, up: int = 0) -> tuple[int, str]:
    key = analysis.key
    return (key.tonic.pitch_class - up) % 12, key.mode


def unlabelled(bars: str) -> str:
    return bars.replace("||", "|")


@pytest.mark.parametrize(("key", "bars"), HOMES)
def test_home_in_all_keys_with_and_without_sections(key: str, bars: str) -> None:
    home = analysed(sheet_of(bars))
    assert str(home.key) == key
    for interval in INTERVALS:
        for text in (bars, unlabelled(bars)):
            heard = analysed(moved(sheet_of(text), interval))
            assert key_words(heard, interval.semitones) == key_words(home)


@pytest.mark.parametrize(("key", "bars"), [*MODES, *CLOSES, *CUT])
def test_home_of_triads_with_their_dominants(key: str, bars: str) -> None:
    triads = re.sub(r"(?<=[A-Gb#])(m?)(maj7|7|6)(?![b\d])", _triad, bars)
    assert str(analysed(sheet_of(triads)).key) == key


def _triad(symbol: re.Match[str]) -> str:
    return symbol[0] if symbol[0] == "7" else symbol[1]


def test_a_final_seventh_does_not_turn_the_tune_to_its_fourth() -> None:
    bars = HOMES[-1][1] + " || Dm7 | G7 | C7 | %"
    assert str(analysed(sheet_of(bars)).key) == "C major"


def test_the_first_bars_of_a_blues_are_at_rest() -> None:
    bars = "C7 | % | % | % | F7 | % | C7 | % | G7 | F7 | C7 | G7"
    analysis = analysed(sheet_of(bars))
    first = analysis.readings[0]
    assert first is not None
    assert (first.roman, first.resolves_to) == ("I7", None)
    blues = next(area for area in analysis.areas if area.kind == "blues")
    assert blues.bars[0] == 1


#: Modal tunes: tonic by opening, duration and return, mode from the notes.
MODAL = [
    ("G dorian", "Gm7 | Am7 | Gm7 | Am7 | Gm7 | Am7 | Gm7 | Am7 || "
     "Bbm7 | Cm7 | Bbm7 | Cm7 | Gm7 | Am7 | Gm7 | Am7"),
    ("D dorian", "Dm7 | % | % | % | % | % | % | % || Ebm7 | % | % | % | % | % | % | % || "
     "Dm7 | % | % | % | % | % | % | %"),
    ("F lydian", "Fmaj7 | G/F | Fmaj7 | G/F | Fmaj7 | G/F | Fmaj7 | %"),
    ("E phrygian", "Em7 | Fmaj7 | Em7 | Fmaj7 | Em7 | Fmaj7 | Em7 | %"),
    ("C mixolydian", "C7 | Bb | C7 | Bb | C7 | Bb | C7 | %"),
    ("A aeolian", "Am7 | G | F | G | Am7 | G | F | G | Am7 | %"),
]  # fmt: skip


@pytest.mark.parametrize(("key", "bars"), MODAL)
def test_a_modal_tune_has_its_mode_and_nothing_that_resolves(key: str, bars: str) -> None:
    home = analysed(sheet_of(bars))
    assert str(home.key) == key
    for interval in INTERVALS:
        heard = analysed(moved(sheet_of(bars), interval))
        assert key_words(heard, interval.semitones) == key_words(home)
        readings = [reading for reading in heard.readings if reading is not None]
        assert all(reading.resolves_to is None for reading in readings)
        assert {reading.key.mode for reading in readings} == {home.key.mode}
        assert {area.kind for area in heard.areas} <= {"vamp", "pedal"}


def test_one_dominant_that_falls_makes_a_tune_tonal() -> None:
    bars = "Dm7 | % | % | % | % | % | % | % || Dm7 | % | % | % | % | % | % | A7"
    assert str(analysed(sheet_of(bars)).key) == "D minor"


def test_a_vamp_in_the_major_scale_is_major() -> None:
    bars = "Cmaj7 | Fmaj7 | Cmaj7 | Fmaj7 | Cmaj7 | Fmaj7 | Cmaj7 | %"
    assert str(analysed(sheet_of(bars)).key) == "C major"


@pytest.mark.parametrize("stated", ["D dorian", "Dm", "G mixolydian", "C", "Eb phrygian"])
@pytest.mark.parametrize("bars", [MODAL[1][1], SEVENTHS[0][1]])
def test_a_stated_key_wins(stated: str, bars: str) -> None:
    plain = analysed(sheet_of(bars))
    told = analysed(sheet_of(bars, f"Title: T\nKey: {stated}"))
    assert told.key == told.stated == parse_key(stated)
    assert told.heard is not None
    assert told.heard.tonic.pitch_class == plain.key.tonic.pitch_class
    assert key_of(timeline_of(sheet_of(bars, f"Title: T\nKey: {stated}"))) == told.key


def test_confidence_is_a_share_and_the_rival_is_another_key() -> None:
    sure = analysed(sheet_of("C6 | A7 | Dm7 | G7 | C6 | A7 | Dm7 G7 | C6"))
    unsure = analysed(sheet_of("Am7 | Cmaj7 | Am7 | Cmaj7"))
    assert 0 < unsure.confidence < sure.confidence <= 1
    assert unsure.confidence < 0.7
    assert sure.confidence > 0.9
    assert {str(unsure.heard), str(unsure.rival)} == {"A minor", "C major"}


def test_coming_home_takes_the_whole_cadence() -> None:
    """Four bars in the relative minor, then ii–V–I: all three chords are in the home key."""
    bars = "C6 | Dm7 G7 | C6 | % | Bm7b5 | E7 | Am6 | % | Dm7 G7 | Cmaj7 | Dm7 G7 | C6"
    for interval in INTERVALS:
        readings = analysed(moved(sheet_of(bars), interval)).readings
        keys = [reading.key for reading in readings if reading is not None]
        numbers = [(key.tonic.pitch_class - interval.semitones) % 12 for key in keys]
        assert numbers == [0, 0, 0, 0, 9, 9, 9, 0, 0, 0, 0, 0, 0]
