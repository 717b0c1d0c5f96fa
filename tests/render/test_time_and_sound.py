"""A performance written as MIDI and as sound, judged by mido and by measuring.

Sources: Standard MIDI File 1.0 (tempo in µs per quarter: 120 → 500,000), General MIDI (jazz guitar
is program 27, sent as 26), ISO 16:1975 (A4 = 440 Hz); that 2:1 swing puts the Charleston's second
stroke at 1 2/3 beats is computed; four-to-the-bar and the Charleston: common practice, no source.
"""

from __future__ import annotations

import io
import wave
from fractions import Fraction

import mido
import numpy as np
import pytest
from midneck.converter.form import unfold
from midneck.converter.hand.planner import plan_hand
from midneck.converter.practice.performance import perform
from midneck.converter.practice.timing import Performance, Settings
from midneck.grammar.reader import read_sheet
from midneck.render.midi import write_midi
from midneck.render.sound.pluck import GUITAR, pluck
from midneck.render.sound.wav import write_wav

TUNE = "Title: Tram Stop\nKey: C\nTempo: 120\n\nA:\n| Dm7 | G7 | C6 | % ||\n"
RATE = 44_100


def played(text: str = TUNE, **wishes: object) -> Performance:
    sheet = read_sheet(text)
    form = unfold(sheet)
    return perform(sheet, form, plan_hand(sheet, form), Settings(count_in=0, **wishes))


def guitar_onsets(performance: Performance) -> list[Fraction]:
    return [stroke.at for stroke in performance.strokes if stroke.part == "guitar"]


def samples(data: bytes) -> np.ndarray:
    with wave.open(io.BytesIO(data)) as file:
        assert file.getframerate() == RATE
        return np.frombuffer(file.readframes(file.getnframes()), dtype="<i2") / 32768


def test_four_to_the_bar_strikes_every_beat() -> None:
    assert guitar_onsets(played(rhythm="four-to-the-bar")) == [Fraction(n) for n in range(16)]


@pytest.mark.parametrize(("swing", "second"), [(1, Fraction(3, 2)), (2, Fraction(5, 3))])
def test_the_charleston_falls_where_it_should(swing: int, second: Fraction) -> None:
    onsets = guitar_onsets(played(rhythm="charleston", swing=Fraction(swing)))
    assert onsets[:4] == [0, second, 4, 4 + second]


def test_silence_is_not_played() -> None:
    performance = played("A:\n| Dm7 | N.C. | C6 | % ||\n", rhythm="four-to-the-bar")
    assert [at for at in guitar_onsets(performance) if 4 <= at < 8] == []


def test_a_push_comes_an_eighth_early() -> None:
    text = "Feel: even eighths\n\nA:\n| Dm7 | G7(push) | C6 | % ||\n"
    early = played(text, rhythm="four-to-the-bar", swing=Fraction(1))
    assert Fraction(7, 2) in guitar_onsets(early)
    assert Fraction(4) not in guitar_onsets(early)


def test_repeats_and_choruses_last_as_long_as_the_form() -> None:
    text = "A:\n|: Dm7 |1. G7 :|2. C6 ||\n"
    assert played(text).length == 16
    assert played(text, choruses=3).length == 48


def test_midi_reads_back() -> None:
    performance = played()
    file = mido.MidiFile(file=io.BytesIO(write_midi(performance)))
    assert file.length == pytest.approx(8.0)  # 16 quarters at 120
    messages = [message for track in file.tracks for message in track]
    assert [m.tempo for m in messages if m.type == "set_tempo"] == [500_000]
    assert {m.program for m in messages if m.type == "program_change"} >= {26}
    assert any(m.type == "text" and "made by Midneck" in m.text for m in messages)
    on = sorted(m.note for m in messages if m.type == "note_on" and m.velocity)
    off = sorted(m.note for m in messages if m.type == "note_off")
    assert on == off


def test_midi_and_sound_are_the_same_every_time() -> None:
    assert write_midi(played()) == write_midi(played())
    assert write_wav(played()) == write_wav(played())


def test_the_peak_stays_under_one_decibel_below_full() -> None:
    peak = np.abs(samples(write_wav(played()))).max()
    assert 0.1 < peak < 10 ** (-1 / 20)


@pytest.mark.parametrize("midi", [40, 45, 50, 55, 59, 64, 74, 83])
def test_strings_are_in_tune_within_two_cents(midi: int) -> None:
    tone = np.asarray(pluck(midi, 1.5, 0.8, GUITAR), dtype=float)
    spectrum = np.abs(np.fft.rfft(tone * np.hanning(len(tone)), 1 << 20))
    hertz = 440.0 * 2.0 ** ((midi - 69) / 12.0)
    bins = np.arange(len(spectrum)) * RATE / (1 << 20)
    near = (bins > hertz * 0.97) & (bins < hertz * 1.03)
    found = bins[near][spectrum[near].argmax()]
    assert abs(1200 * np.log2(found / hertz)) < 2


def test_the_first_stroke_sounds_within_a_millisecond() -> None:
    performance = played(rhythm="half-notes", without=frozenset({"bass", "click"}), strum_ms=0)
    sound = np.abs(samples(write_wav(performance)))
    second = int(RATE * 1.0)  # beat 3 at 120 a minute
    loud = sound[second - RATE // 100 : second].max()
    after = sound[second : second + RATE // 1000]
    assert after.max() > 2 * loud


@pytest.mark.parametrize("meter", ["6/8", "12/8"])
def test_the_charleston_in_threes_takes_the_third_eighth(meter: str) -> None:
    """Pulse two and its third eighth: 3/2 + 2/2 quarters. Common practice, no source."""
    text = f"Time: {meter}\n\nA:\n| Dm7 | G7 | C6 | % ||\n"
    assert guitar_onsets(played(text, rhythm="charleston"))[:2] == [0, Fraction(5, 2)]
