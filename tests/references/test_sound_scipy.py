"""The string in closed form against the same string run as a recursive filter.

Source: scipy, `signal.lfilter`. What wraps round in time is pushed down to −100 dB, which is what
the two may differ by.
"""

from __future__ import annotations

import numpy as np
import pytest
from midneck.render.sound.strings import BASS, GUITAR, pluck
from support.string_loop import plucked


@pytest.mark.parametrize("strength", [0.3, 0.8])
@pytest.mark.parametrize("midi", [40, 47, 55, 64, 76, 88])
def test_the_guitar_string_is_the_loop(midi: int, strength: float) -> None:
    ours, theirs = (way(midi, 1.0, strength, GUITAR) for way in (pluck, plucked))
    assert np.abs(ours - theirs).max() < 1e-5 * np.abs(theirs).max()


@pytest.mark.parametrize("midi", [28, 35, 43])
def test_the_bass_string_is_the_loop(midi: int) -> None:
    ours, theirs = (way(midi, 1.0, 0.6, BASS) for way in (pluck, plucked))
    assert np.abs(ours - theirs).max() < 1e-5 * np.abs(theirs).max()


def test_a_string_falls_by_60_decibels_in_its_time() -> None:
    """The fundamental between 0.3 and 1.3 s, by projection on it: 60 dB in 2.6 s, 23.1 in one."""
    sound = pluck(45, 2.0, 0.8, GUITAR)
    levels = []
    for start in (0.3, 1.3):
        window = sound[round(start * 44_100) :][:8018]  # 20 periods of 110 Hz
        turning = np.exp(-2j * np.pi * 110 / 44_100 * np.arange(len(window)))
        levels.append(np.abs(np.sum(window * turning)))
    assert 20 * np.log10(levels[0] / levels[1]) == pytest.approx(60 / 2.6, rel=0.02)
