"""A tune as a schedule for a player: the same times as the performance, loops and count-ins."""

from __future__ import annotations

import io
import wave

import numpy as np
import pytest
from midneck.converter.make import make_chart
from midneck.converter.practice.performance import SettingsError
from midneck.grammar.text.reader import read_sheet
from midneck.render.desk.player_panel import section_bars
from midneck.render.sound.schedule import Schedule, SoundError, note_wav, schedule
from support.performances import TUNE, played


def scheduled(text: str = TUNE, tempo: int | None = None) -> Schedule:
    return schedule(make_chart(read_sheet(text)), tempo)


def test_every_stroke_of_the_performance_is_there_at_its_second() -> None:
    performance = played(click="all")
    expected = [
        (float(performance.seconds(stroke.at)), stroke.part) for stroke in performance.strokes
    ]
    assert [(stroke.at, stroke.part) for stroke in scheduled().strokes] == expected


def test_bars_follow_one_another() -> None:
    """Four quarters at 120 a minute last two seconds (by the meaning of a tempo)."""
    bars = scheduled().bars
    assert [(bar.number, bar.at, bar.length) for bar in bars] == [
        (1, 0.0, 2.0), (2, 2.0, 2.0), (3, 4.0, 2.0), (4, 6.0, 2.0),
    ]  # fmt: skip


def test_a_rest_has_the_numbers_of_its_bars() -> None:
    bars = scheduled("Tempo: 120\n\nA:\n| C | -3- |\nB:\n| F |\n").bars
    assert [(bar.number, bar.last_number) for bar in bars] == [(1, 1), (2, 4), (5, 5)]
    sheet = read_sheet("A:\n| C | -3- |\nB:\n| F |\n")
    assert section_bars(sheet) == [("A", 1, 4), ("B", 5, 5)]


def test_another_tempo_scales_the_bars() -> None:
    bars = scheduled(tempo=60).bars
    assert [bar.at for bar in bars] == [0.0, 4.0, 8.0, 12.0]
    assert scheduled(tempo=60).tempo == 60


def test_a_bar_of_clicks_leads_to_every_bar() -> None:
    for bar in scheduled().bars:
        assert [stroke.at for stroke in bar.count_in] == [-2.0, -1.5, -1.0, -0.5]
        strong = [stroke.notes[0].sound for stroke in bar.count_in]
        assert strong[0] != strong[1] == strong[2] == strong[3]


def test_a_tempo_out_of_range_is_refused() -> None:
    with pytest.raises(SettingsError):
        scheduled(tempo=5000)


def test_every_sound_of_a_schedule_is_a_wav_that_does_not_clip() -> None:
    sounds = scheduled().sounds
    assert {name.split("-")[0] for name in sounds} == {"guitar", "bass", "click"}
    for name in sounds:
        with wave.open(io.BytesIO(note_wav(name))) as file:
            samples = np.frombuffer(file.readframes(file.getnframes()), "<i2")
        assert 3000 < np.abs(samples.astype(int)).max() < 32767


@pytest.mark.parametrize(
    "name",
    ["", "guitar", "guitar-60", "drum-60-10", "guitar-999-10", "guitar-60-0", "guitar-60-16",
     "guitar-６０-10", "guitar--6-10", "../etc/passwd", "guitar-60-10-1"],
)  # fmt: skip
def test_a_sound_that_is_none_is_refused(name: str) -> None:
    with pytest.raises(SoundError):
        note_wav(name)
