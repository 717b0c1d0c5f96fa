"""The installed FluidSynth plays a SoundFont: guitar notes at their frequency, as long as planned.

Skipped where the program or a SoundFont is missing: `test_sound_fluid.py` tests what surrounds
it with a stand-in. Source of frequencies: ISO 16:1975 (A4 = 440 Hz) and equal temperament.
"""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import numpy as np
import pytest
from midneck.converter.practice.performance import Performance, Stroke
from midneck.render.sound.fluidsynth import PROGRAM, fluid_mix
from support.performances import RATE, TUNE, Sound, alone

#: The environment variable that names a SoundFont for this test, and where Debian installs some.
NAMED, INSTALLED = "MIDNECK_SOUNDFONT", Path("/usr/share/sounds/sf2")
#: What is left out of a stroke for its attack; the length that it is padded to, 0.17 Hz a bin.
ATTACK_S, BINS = 0.05, 1 << 18


def soundfont() -> Path:
    """The SoundFont that the environment names, else the smallest that is installed."""
    if shutil.which(PROGRAM) is None:
        pytest.skip(f"the program {PROGRAM} is not installed")
    if NAMED in os.environ:
        return Path(os.environ[NAMED])
    found = [path for path in INSTALLED.glob("*.sf2") if path.is_file()]
    if not found:
        pytest.skip(f"no SoundFont in {INSTALLED}, and {NAMED} names none")
    return min(found, key=lambda path: path.stat().st_size)


def hertz(midi: float) -> float:
    """The frequency of a MIDI number."""
    return float(440.0 * 2.0 ** ((midi - 69) / 12.0))


def spectrum_of(sound: Sound, start_s: float, end_s: float) -> Sound:
    """The magnitudes of the spectrum of a stretch of sound, in `BINS` / 2 + 1 bins."""
    part = sound[round(start_s * RATE) : round(end_s * RATE)]
    return np.abs(np.fft.rfft(part * np.hanning(len(part)), BINS))


def peak_near(spectrum: Sound, midi: float) -> tuple[float, float]:
    """The strongest bin within 60 cents of a note: cents above the note, and its magnitude."""
    low, high = (round(hertz(midi + side) * BINS / RATE) for side in (-0.6, 0.6))
    peak = low + int(spectrum[low : high + 1].argmax())
    return 1200 * float(np.log2(peak * RATE / BINS / hertz(midi))), float(spectrum[peak])


@pytest.fixture(scope="module")
def performance() -> Performance:
    """The guitar alone, slowly and without a count-in."""
    return alone(TUNE, "guitar", tempo=60)


@pytest.fixture(scope="module")
def sound(performance: Performance) -> Sound:
    return np.asarray(fluid_mix(performance, soundfont()), dtype=float)


def seconds(performance: Performance, stroke: Stroke) -> tuple[float, float]:
    """When a stroke begins and ends."""
    end = stroke.at + stroke.length
    return float(performance.seconds(stroke.at)), float(performance.seconds(end))


def test_the_notes_of_every_stroke_are_heard_in_tune(
    performance: Performance, sound: Sound
) -> None:
    """Within ten cents, and louder than the semitones beside them, which are not played."""
    assert len(performance.strokes) > 8
    for stroke in performance.strokes:
        start_s, end_s = seconds(performance, stroke)
        spectrum = spectrum_of(sound, start_s + ATTACK_S, end_s)
        for note in stroke.notes:
            cents, level = peak_near(spectrum, note.midi)
            beside = [peak_near(spectrum, note.midi + side)[1] for side in (-1, 1)]
            assert abs(cents) < 10
            assert level > 2 * max(beside)


def test_each_stroke_is_as_long_as_planned(performance: Performance, sound: Sound) -> None:
    """It sounds to its end, and a fifth of a second later less than a hundredth is left of it."""
    for stroke in performance.strokes:
        _, end_s = seconds(performance, stroke)
        end, later = round(end_s * RATE), round((end_s + 0.2) * RATE)
        before = np.abs(sound[end - RATE // 20 : end]).max()
        assert before > 0.05
        assert np.abs(sound[later : later + RATE // 20]).max() < before / 100


def test_the_sound_is_as_long_as_the_tune_and_a_second_to_ring(
    performance: Performance, sound: Sound
) -> None:
    assert len(sound) == round((float(performance.seconds(performance.length)) + 1) * RATE)
