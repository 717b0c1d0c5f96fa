"""What each sound is made of, octave by octave: its timbre as it was last judged by ear.

A change of a tone's values shows as decibels here. Levels are of the first second, in bands from
40 Hz to 20.48 kHz; the order of strong and weak, of high and low is checked beside them.
"""

from __future__ import annotations

import numpy as np
import pytest
from midneck.converter.practice.performance import CLICK_STRONG, CLICK_WEAK
from midneck.render.sound.strings import BASS, RATE, SoundKey, pluck, sound

#: The lowest band begins here, in hertz, and each next one an octave higher.
LOWEST_HZ, OCTAVES = 40, 9
#: Decibels of power in each band; part, MIDI number, class of strength.
BANDS: dict[SoundKey, tuple[float, ...]] = {
    ("guitar", 40, 12): (20.1, 34.0, 41.4, 39.4, 42.5, 39.4, 27.5, -4.6, -19.8),
    ("guitar", 59, 12): (3.9, 11.1, 43.7, 46.9, 47.5, 42.6, 28.9, -4.7, -21.8),
    ("guitar", 76, 12): (3.3, 7.8, 12.1, 28.6, 50.6, 50.7, 32.8, -2.4, -16.7),
    ("guitar", 59, 6): (-5.2, 2.0, 34.6, 37.7, 38.0, 31.3, 11.7, -24.1, -37.2),
    ("bass", 28, 12): (45.9, 49.3, 47.2, 41.1, 14.9, -1.2, -13.0, -21.0, -31.3),
    ("bass", 43, 12): (31.0, 54.2, 53.3, 38.2, 15.3, -1.0, -13.9, -18.1, -25.7),
    ("bass", 43, 6): (21.8, 44.8, 42.5, 16.9, 0.2, -12.9, -28.9, -32.9, -38.1),
    ("click", CLICK_STRONG, 12): (13.7, 16.8, 19.9, 23.6, 31.2, 44.3, 36.5, 17.1, 7.6),
    ("click", CLICK_WEAK, 12): (17.3, 20.4, 23.7, 28.6, 44.3, 25.6, 36.4, 11.5, 3.9),
}


def bands(key: SoundKey) -> list[float]:
    """The decibels of a sound in each octave."""
    size = 1 << 17
    power = np.abs(np.fft.rfft(sound(key, 1.0), size)) ** 2
    hertz = np.arange(len(power)) * RATE / size
    edges = LOWEST_HZ * 2 ** np.arange(OCTAVES + 1)
    parts = (power[(hertz >= low) & (hertz < 2 * low)].sum() for low in edges[:-1])
    return [float(10 * np.log10(part)) for part in parts]


@pytest.mark.parametrize("key", BANDS, ids=lambda key: "-".join(map(str, key)))
def test_a_sound_has_its_timbre(key: SoundKey) -> None:
    assert bands(key) == pytest.approx(BANDS[key], abs=0.06)


def test_a_bass_string_falls_by_60_decibels_in_its_time() -> None:
    """The fundamental between 0.3 and 1.3 s, by projection on it: 60 dB in 2.2 s."""
    samples = pluck(33, 2.0, 0.8, BASS)
    levels = []
    for start in (0.3, 1.3):
        window = samples[round(start * RATE) :][: round(20 * RATE / 55)]
        turning = np.exp(-2j * np.pi * 55 / RATE * np.arange(len(window)))
        levels.append(np.abs(np.sum(window * turning)))
    assert 20 * np.log10(levels[0] / levels[1]) == pytest.approx(60 / 2.2, rel=0.02)


def test_a_click_is_over_in_40_milliseconds() -> None:
    for midi in (CLICK_STRONG, CLICK_WEAK):
        samples = sound(("click", midi, 12), 1.0)
        assert len(samples) == round(0.04 * RATE)
        assert np.abs(samples[-20:]).max() < 1e-4 * np.abs(samples).max()


@pytest.mark.parametrize("part", ["guitar", "bass"])
def test_each_class_of_strength_is_louder_than_the_one_below(part: str) -> None:
    levels = [np.abs(sound((part, 45, strength), 0.3)).max() for strength in range(1, 16)]
    assert levels == sorted(levels)
    assert levels[-1] > 10 * levels[0]
