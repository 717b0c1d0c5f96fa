"""A performance as a standard MIDI file, read back with mido.

Sources: Standard MIDI Files 1.0 (tempo in µs per quarter: 120 → 500,000; key signatures of up to
seven signs; 24 clocks a quarter), General MIDI 1 (jazz guitar is program 27 and acoustic bass 33,
sent as 26 and 32; percussion on channel 10, sent as 9; high and low wood block are keys 76, 77).
"""

from __future__ import annotations

import io
from typing import Any

import mido
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from midneck.converter.practice.performance import Performance, SettingsError
from midneck.converter.practice.rhythm import RhythmError
from midneck.grammar.key import parse_key
from midneck.render.midi import TICKS, key_event_name, write_midi
from support.performances import TUNE, onsets, played
from support.sheets import sheet_texts

KEYS = [
    f"{letter}{sign} {mode}"
    for letter in "CDEFGAB"
    for sign in ("", "b", "#")
    for mode in ("major", "minor")
]


def read(performance: Performance, apart: bool = False) -> mido.MidiFile:
    return mido.MidiFile(file=io.BytesIO(write_midi(performance, apart)))


def timed(track: mido.MidiTrack) -> list[tuple[int, Any]]:
    """The messages of a track with their ticks from the beginning."""
    now, result = 0, []
    for message in track:
        now += message.time
        result.append((now, message))
    return result


def of_kind(file: mido.MidiFile, kind: str) -> list[tuple[int, Any]]:
    return [each for track in file.tracks for each in timed(track) if each[1].type == kind]


def test_a_track_for_each_part() -> None:
    file = read(played())
    assert file.type == 1
    names = [[m.name for m in track if m.type == "track_name"] for track in file.tracks]
    assert names == [["Tram Stop"], ["Guitar"], ["Bass"], ["Click"]]
    programs = {(m.channel, m.program) for _, m in of_kind(file, "program_change")}
    assert programs == {(0, 26), (8, 32)}
    channels = [{m.channel for m in track if m.type == "note_on"} for track in file.tracks]
    assert channels == [set(), {0}, {8}, {9}]
    assert {m.note for m in file.tracks[3] if m.type == "note_on"} <= {76, 77}


def test_a_part_that_is_left_out_has_no_track() -> None:
    file = read(played(without=frozenset({"bass", "click"})))
    assert len(file.tracks) == 2


def test_strings_apart_have_a_channel_each() -> None:
    performance = played()
    file = read(performance, apart=True)
    sounded = {(m.channel + 1, m.note) for m in file.tracks[1] if m.type == "note_on"}
    plucked = {
        (note.string, note.midi)
        for stroke in performance.strokes
        if stroke.part == "guitar"
        for note in stroke.notes
    }
    assert sounded == plucked
    assert len({string for string, _ in plucked}) >= 3
    guitars = {m.channel for m in file.tracks[1] if m.type == "program_change"}
    assert guitars == {string - 1 for string, _ in plucked if string is not None}


@pytest.mark.parametrize(("tempo", "micros"), [(120, 500_000), (60, 1_000_000), (97, 618_557)])
def test_tempo_is_in_microseconds_a_quarter(tempo: int, micros: int) -> None:
    assert [m.tempo for _, m in of_kind(read(played(tempo=tempo)), "set_tempo")] == [micros]


def test_a_dotted_beat_is_a_quarter_and_a_half() -> None:
    file = read(played("Time: 6/8\nTempo: 80\n\nA:\n| Dm7 | G7 ||\n"))
    assert [m.tempo for _, m in of_kind(file, "set_tempo")] == [500_000]
    ((_, meter),) = of_kind(file, "time_signature")
    assert (meter.numerator, meter.denominator, meter.clocks_per_click) == (6, 8, 36)


def test_a_meter_of_more_beats_than_a_byte_is_told_in_longer_ones() -> None:
    """A byte holds 255: 512 eighths are 128 halves, of 511 eighths half a beat is rounded up."""
    for beats, expected in ((512, (128, 2)), (511, (128, 2)), (256, (128, 4)), (255, (255, 8))):
        text = f"Time: {beats}/8\n\nA:\n| Dm7 ||\n"
        ((_, meter),) = of_kind(read(played(text)), "time_signature")
        assert (meter.numerator, meter.denominator) == expected


def test_a_ladder_changes_the_tempo_where_its_count_in_begins() -> None:
    file = read(played(ladder=(100, 120), count_in=1))
    assert [(tick / TICKS, m.tempo) for tick, m in of_kind(file, "set_tempo")] == [
        (0, 600_000),
        (20, 500_000),
    ]


def test_a_part_of_a_tune_is_in_the_key_that_is_stated_there() -> None:
    text = "Key: F\n\nA:\n| Gm7 | C7 ||\n\nB:\nKey: Ab\n| Bbm7 | Eb7 | Ab6 ||\n"
    file = read(played(text, bars=(4, 5), count_in=1))
    assert [(at, m.key) for at, m in of_kind(file, "key_signature")] == [(0, "Ab")]


def test_meters_keys_and_sections_stand_where_they_begin() -> None:
    text = (
        "Key: F\n\nA:\n| Gm7 | C7 ||\n\nB:\nKey: Ab\n| Bbm7 ||\n\n"
        "Time: 3/4\nC:\n| Eb7 | Ab6 ||\nA: again\n"
    )
    file = read(played(text))
    meters = [(at / TICKS, m.numerator, m.denominator) for at, m in of_kind(file, "time_signature")]
    assert meters == [(0, 4, 4), (12, 3, 4), (18, 4, 4)]
    keys = [(at / TICKS, m.key) for at, m in of_kind(file, "key_signature")]
    assert keys == [(0, "F"), (8, "Ab"), (18, "F")]
    marked = [(at / TICKS, m.text) for at, m in of_kind(file, "marker")]
    assert marked == [(0, "A"), (8, "B"), (12, "C"), (18, "A")]


@pytest.mark.parametrize("name", KEYS)
def test_every_key_has_a_signature(name: str) -> None:
    """mido's own count of signs against ours, those beyond seven by their other names."""
    key = parse_key(name)
    written = key_event_name(key)
    *_, signs, minor = mido.MetaMessage("key_signature", key=written).bytes()
    assert ((signs + 128) % 256 - 128 - key.fifths) % 12 == 0
    assert minor == (key.mode == "minor")
    if abs(key.fifths) <= 7:
        assert written.removesuffix("m") == str(key.tonic)


def test_notes_begin_and_end_with_their_strokes() -> None:
    performance = played(strum_ms=0, rhythm="four-to-the-bar")
    (notes,) = [timed(t) for t in read(performance).tracks if t.name == "Guitar"]
    begun = sorted({tick for tick, m in notes if m.type == "note_on"})
    assert begun == [at * TICKS for at in onsets(performance)]
    ended = sorted({tick for tick, m in notes if m.type == "note_off"})
    strokes = [stroke for stroke in performance.strokes if stroke.part == "guitar"]
    assert ended == [round((stroke.at + stroke.length) * TICKS) for stroke in strokes]


def test_no_note_of_a_wide_strum_outlasts_its_stroke() -> None:
    """At 399 a short chord lasts 75 ms; the third note of this strum would begin after 80."""
    performance = played(strum_ms=40, rhythm="four-to-the-bar", tempo=399)
    (notes,) = [timed(t) for t in read(performance).tracks if t.name == "Guitar"]
    strokes = [stroke for stroke in performance.strokes if stroke.part == "guitar"]
    ended = sorted({tick for tick, m in notes if m.type == "note_off"})
    assert ended == [round((stroke.at + stroke.length) * TICKS) for stroke in strokes]


@pytest.mark.slow
@given(text=sheet_texts(), apart=st.booleans(), tempo=st.sampled_from([20, 120, 399]))
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_notes_never_overlap_and_the_file_lasts_as_long_as_the_form(
    text: str, apart: bool, tempo: int
) -> None:
    try:
        performance = played(text, tempo=tempo, choruses=2, strum_ms=40)
    except (RhythmError, SettingsError):
        return
    file = read(performance, apart)
    for track in file.tracks:
        sounding: set[tuple[int, int]] = set()
        events = timed(track)
        for _, message in events:
            if message.type == "note_on":
                assert (message.channel, message.note) not in sounding
                sounding.add((message.channel, message.note))
            elif message.type == "note_off":
                sounding.remove((message.channel, message.note))
        assert not sounding
        assert events[-1][0] == round(performance.length * TICKS)
    # mido's length in seconds; its tempos are whole microseconds.
    assert file.length == pytest.approx(float(performance.seconds(performance.length)), rel=1e-5)


def test_the_file_says_who_made_it_and_is_the_same_every_time() -> None:
    data = write_midi(played())
    assert b"made by Midneck" in data
    assert data == write_midi(played(TUNE))


def test_a_title_beyond_latin_letters_is_written_all_the_same() -> None:
    file = read(played("Title: Łódź – at six\n\nA:\n| C6 ||\n"))
    assert file.tracks[0].name == "?ód? ? at six"
