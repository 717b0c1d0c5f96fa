"""The analysis as a whole: whose key it takes, how it treats repeats, silence and stated keys."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

import pytest
from midneck.converter.harmony.analysis import AREA_KINDS, Analysis, Role, Summary, summarise
from midneck.converter.prose.facts import heading_key
from midneck.grammar.key import Key
from midneck.grammar.pitch import PitchName
from midneck.grammar.text.reader import read_sheet
from support.harmony import analysed, sheet_of

TURN = "F6 D7 | Gm7 C7 | F6 D7 | Gm7 C7 | F6 | % | Gm7 C7 | F6"


def romans(analysis: Analysis) -> list[str]:
    return [reading.roman for reading in analysis.readings if reading is not None]


def test_the_header_key_wins_and_what_the_chords_say_is_reported() -> None:
    analysis = analysed(sheet_of(TURN, "Title: T\nKey: C"))
    assert str(analysis.key) == str(analysis.stated) == "C major"
    assert str(analysis.heard) == "F major"
    assert heading_key(analysis) == "C major (the chords say F major)"


def test_the_header_key_settles_a_doubt() -> None:
    vague = "Dm7 | Am7 | Dm7 | Am7"
    keys = {str(analysed(sheet_of(vague, f"Title: T\nKey: {key}")).key) for key in ("Dm", "Am")}
    assert keys == {"D minor", "A minor"}


def test_without_a_header_key_nothing_is_stated_and_nothing_noted() -> None:
    analysis = analysed(sheet_of(TURN))
    assert analysis.stated is None
    assert analysis.notes == ()


def test_a_close_call_is_said() -> None:
    analysis = analysed(sheet_of("Am7 | Cmaj7 | Am7 | Cmaj7"))
    notes = {
        "The key is a close call: C major, or else A minor.",
        "The key is a close call: A minor, or else C major.",
    }
    assert len(analysis.notes) == 1
    assert analysis.notes[0] in notes


def test_a_stated_section_key_is_obeyed_and_said() -> None:
    sheet = sheet_of(TURN)
    stated = replace(sheet.sections[0], key=Key(PitchName("B", -1)))
    analysis = analysed(replace(sheet, sections=(stated,)))
    assert {str(r.key) for r in analysis.readings if r is not None} == {"Bb major"}
    assert "The sheet states Bb major for a part of the tune; read so." in analysis.notes


def test_a_stated_key_holds_from_its_section_on() -> None:
    sheet = sheet_of("C6 | G7 | C6 | % || Fm7 | Bb7 | Cm7 | % || Fm7 | Bb7 | Cm7 | %")
    first, second, third = sheet.sections
    second = replace(second, key=Key(PitchName("E", -1)))
    analysis = analysed(replace(sheet, sections=(first, second, third)))
    keys = [str(r.key) for r in analysis.readings if r is not None]
    assert keys[:3] == ["C major"] * 3
    assert set(keys[3:]) == {"Eb major"}


def test_silence_has_no_reading_and_does_not_break_a_cadence() -> None:
    analysis = analysed(sheet_of("Dm7 | N.C. | G7 | C6"))
    assert analysis.readings[1] is None
    assert [area.kind for area in analysis.areas] == ["ii-V-I"]
    assert analysis.areas[0].chords == (0, 2, 3)


def test_a_sheet_of_silence_takes_its_header_s_key() -> None:
    analysis = analysed(sheet_of("N.C. | %", "Title: T\nKey: Eb"))
    assert str(analysis.key) == "Eb major"
    assert analysis.readings == (None,)
    assert analysis.notes == ("There is no chord.",)


def test_with_two_endings_a_dominant_aims_at_what_follows_it_most_often() -> None:
    text = "Title: T\n\nA:\n|: F6 | D7 |1. Gm7 | C7 :|2. Gm7 C7 | F6 ||\n"
    readings = analysed(read_sheet(text)).readings
    goals = [reading.resolves_to for reading in readings if reading is not None]
    assert goals == [None, 2, None, 0, None, 6, None]


def test_areas_of_a_repeat_are_listed_once() -> None:
    text = "Title: T\n\nA:\n|: Dm7 | G7 | C6 | % :|\n"
    assert [area.kind for area in analysed(read_sheet(text)).areas] == ["ii-V-I"]


def test_an_area_round_the_loop_ends_at_the_top() -> None:
    area = analysed(sheet_of("C6 | Am7 | Dm7 | G7")).areas[-1]
    assert (area.kind, area.chords, area.bars) == ("ii-V-I", (2, 3, 0), (3, 1))


def test_brief_applied_motion_keeps_the_key_and_a_stay_changes_it() -> None:
    brief = analysed(sheet_of("C6 | % | Gm7 C7 | Fmaj7 | Dm7 | G7 | C6 | %"))
    stay = analysed(
        sheet_of("C6 | Dm7 G7 | C6 | % || Bm7 | E7 | Amaj7 | % | Bm7 | E7 | Amaj7 | G7")
    )
    assert {str(r.key) for r in brief.readings if r is not None} == {"C major"}
    assert str(stay.readings[6].key) == "A major"  # type: ignore[union-attr]


def test_a_doubtful_reading_has_a_smaller_margin_than_a_plain_one() -> None:
    readings = analysed(
        sheet_of("C6 | Dm7 G7 | C6 | % | Gm7 | C7 | Fmaj7 | % | Dm7 | G7 | C6 | %")
    ).readings
    plain, doubtful = readings[0], readings[4]
    assert plain is not None
    assert doubtful is not None
    assert plain.margin > doubtful.margin
    assert {str(doubtful.key), str(doubtful.runner_up)} == {"C major", "F major"}


@pytest.mark.parametrize(
    "bars", [TURN, "C7 | F7 | C7 | % | F7 | F#dim7 | C7 | A7 | Dm7 | G7 | C7 | G7"]
)
def test_roles_and_kinds_are_the_documented_ones(bars: str) -> None:
    analysis = analysed(sheet_of(bars))
    assert {r.role for r in analysis.readings if r is not None} <= set(get_args(Role))
    assert {area.kind for area in analysis.areas} <= set(AREA_KINDS)


def test_keys_are_spelled_as_the_writer_spells() -> None:
    sharp, flat = (
        analysed(sheet_of("G#m7 | C#7 | F#6 | %")),
        analysed(sheet_of("Abm7 | Db7 | Gb6 | %")),
    )
    assert (str(sharp.key), str(flat.key)) == ("F# major", "Gb major")


def test_a_summary_counts_over_several_tunes_and_joins_enharmonic_keys() -> None:
    tunes = [
        analysed(sheet_of(bars))
        for bars in ("G#m7 | C#7 | F#6", "Abm7 | Db7 | Gb6", "Dm7 | G7 | C6")
    ]
    sharp, plain = Key(PitchName("F", 1)), Key(PitchName("C"))
    assert summarise(tunes) == Summary(
        3, ((sharp, 6), (plain, 3)), ((sharp, 2), (plain, 1)), (("ii-V-I", 3),)
    )


def test_numerals_stay_relative_to_the_local_key() -> None:
    analysis = analysed(sheet_of("C6 | A7 | Dm7 | G7 | C6 | Fm6 | C6 | %"))
    assert romans(analysis) == ["I6", "V7/ii", "ii7", "V7", "I6", "iv6", "I6"]


def test_one_seventh_chord_for_long_is_a_i_at_rest() -> None:
    analysis = analysed(sheet_of(" | ".join(["C7"] * 12)))
    assert str(analysis.key) == "C mixolydian"
    assert set(romans(analysis)) == {"I7"}
    assert all(r.resolves_to is None for r in analysis.readings if r is not None)


def test_one_seventh_chord_for_long_that_falls_is_a_v() -> None:
    analysis = analysed(sheet_of(" | ".join(["C7"] * 12 + ["Fm"] * 4)))
    assert str(analysis.key) == "F minor"
    assert romans(analysis)[0] == "V7"
