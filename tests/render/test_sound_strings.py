"""The sound of our own strings, measured: pitch, level, damping, clicks, the same every time.

Sources: ISO 16:1975 (A4 = 440 Hz) and equal temperament; MIDI numbers of guitar strings in standard
tuning are common practice, no source.
"""

from __future__ import annotations

import numpy as np
import pytest
from midneck.render.sound.strings import BASS, GUITAR, StringTone, pluck
from scipy.signal import butter, sosfilt
from support.charts import example_texts
from support.performances import RATE, TUNE, alone, played, samples, write_wav


def cents_off(midi: int, tone: StringTone) -> float:
    """How far the strongest partial near the fundamental lies from equal temperament.

    The spectrum of 1.5 s is 2**18 bins wide: 0.17 Hz a bin, 3.5 cents at E2; a parabola through the
    peak and its neighbours finds its place between them.
    """
    sound = np.asarray(pluck(midi, 1.5, 0.8, tone), dtype=float)
    spectrum = np.abs(np.fft.rfft(sound * np.hanning(len(sound)), 1 << 18))
    hertz = 440.0 * 2.0 ** ((midi - 69) / 12.0)
    bins = np.arange(len(spectrum)) * RATE / (1 << 18)
    near = np.flatnonzero((bins > hertz * 0.97) & (bins < hertz * 1.03))
    peak = near[spectrum[near].argmax()]
    left, top, right = np.log(spectrum[peak - 1 : peak + 2])
    exact = peak + 0.5 * (left - right) / (left - 2 * top + right)
    return float(1200 * np.log2(exact * RATE / (1 << 18) / hertz))


def test_every_fret_of_every_string_is_in_tune_within_two_cents() -> None:
    """E2 to fret 24 of E4: MIDI 40 to 88."""
    worst = max(range(40, 89), key=lambda midi: abs(cents_off(midi, GUITAR)))
    assert abs(cents_off(worst, GUITAR)) < 2


def test_the_bass_is_in_tune_within_two_cents() -> None:
    worst = max(range(28, 52), key=lambda midi: abs(cents_off(midi, BASS)))
    assert abs(cents_off(worst, BASS)) < 2


@pytest.mark.parametrize("tempo", [60, 120, 160])
def test_letting_a_string_go_makes_no_click(tempo: int) -> None:
    """Above 5 kHz, where a click would be heard, there is no more once the hand is lifted than in
    the 15 ms before, which is a period of the lowest string; a fade of 9 samples makes 11 times it.
    """
    performance = alone(TUNE, "guitar", rhythm="four-to-the-bar", tempo=tempo)
    high = butter(6, 5000, "high", fs=RATE, output="sos")
    treble = np.abs(sosfilt(high, samples(write_wav(performance))))
    for stroke in performance.strokes:
        end = round(performance.seconds(stroke.at + stroke.length) * RATE)
        before = treble[end - round(0.015 * RATE) : end].max()
        assert treble[end : end + round(0.08 * RATE)].max() < 1.5 * before


def test_damped_strings_are_silent() -> None:
    """At 120 a short chord ends after a quarter of a second and is gone 70 ms later."""
    sound = samples(write_wav(alone(TUNE, "guitar", rhythm="four-to-the-bar")))
    for beat in range(16):
        start = round((beat / 2 + 0.25 + 0.07) * RATE)
        assert not sound[start + 1 : round((beat + 1) / 2 * RATE) - 1].any()
        assert np.abs(sound[round(beat / 2 * RATE) :][:400]).max() > 0.1


def test_a_file_ends_in_silence() -> None:
    sound = samples(write_wav(played()))
    assert len(sound) == 9 * RATE
    assert not sound[round(8.1 * RATE) :].any()
    assert sound[: round(8.05 * RATE)].any()


@pytest.mark.slow
@pytest.mark.parametrize("name", sorted(example_texts()))
def test_level_and_peak_are_moderate(name: str) -> None:
    """Peak under −1 dBFS; −20 dBFS root mean square, or less where the peaks allow no more."""
    sound = samples(write_wav(played(example_texts()[name], count_in=1)))
    level = 20 * np.log10(np.sqrt(np.mean(sound**2)))
    assert 20 * np.log10(np.abs(sound).max()) < -1
    assert -22 < level < -19.9


def test_the_bass_is_heard_under_the_guitar() -> None:
    """Where the short chords are damped the bass goes on: 3 to 12 dB under the chord."""
    sound = samples(write_wav(played(without=frozenset({"click"}), rhythm="four-to-the-bar")))
    chord, bass = (
        np.sqrt(np.mean(np.concatenate([sound[at : at + 4000] for at in places]) ** 2))
        for places in (
            [round(beat / 2 * RATE) + 1000 for beat in range(0, 16, 2)],
            [round((beat / 2 + 0.33) * RATE) for beat in range(0, 16, 2)],
        )
    )
    assert 3 < 20 * np.log10(chord / bass) < 12


def test_the_same_performance_gives_the_same_bytes() -> None:
    assert write_wav(played()) == write_wav(played())


def test_nothing_to_hear_is_silence() -> None:
    sound = samples(write_wav(alone("Tempo: 60\n\nA:\n| N.C. ||\n", "guitar")))
    assert len(sound) == 5 * RATE
    assert not sound.any()
