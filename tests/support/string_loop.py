"""The string of `render/sound/strings.py` run as a recursive filter by scipy, sample by sample."""

from __future__ import annotations

import numpy as np
from midneck.render.sound.strings import RATE, Loop, StringTone, excitation, tuned_loop
from numpy.typing import NDArray
from scipy.signal import lfilter

Samples = NDArray[np.float64]


def plucked(midi: int, seconds: float, strength: float, tone: StringTone) -> Samples:
    """What `pluck` gives, by `scipy.signal.lfilter`: excitation, loop, body, rolled-off treble."""
    count = int(np.ceil(seconds * RATE))
    hertz = 440.0 * 2.0 ** ((midi - 69) / 12.0)
    sound = looped(picked(midi, hertz, strength, tone, count), tuned_loop(hertz, tone))
    return np.asarray(rolled_off(bodied(sound, tone), tone) * strength**1.5)


def picked(midi: int, hertz: float, strength: float, tone: StringTone, count: int) -> Samples:
    """The pulse of the pick, less its echo from the near end of the string."""
    pulse = excitation(midi, strength, tone)
    sound = np.zeros(count)
    sound[: len(pulse)] = pulse
    late = max(1, round(tone.pick * RATE / hertz))
    sound[late : late + len(pulse)] -= pulse
    return sound


def looped(sound: Samples, loop: Loop) -> Samples:
    """One over one minus the loop, as the difference equation that it is."""
    allpass = np.array([1.0, loop.allpass])
    once = loop.loss * np.convolve([1.0 - loop.stretch, loop.stretch], allpass[::-1])
    bottom = np.zeros(loop.delay + len(once))
    bottom[:2] += allpass
    bottom[loop.delay :] -= once
    return np.asarray(lfilter(allpass, bottom, sound))


def bodied(sound: Samples, tone: StringTone) -> Samples:
    """The direct sound and the resonances beside it."""
    total = sound.copy()
    for frequency, quality, gain in tone.body:
        omega = 2.0 * np.pi * frequency / RATE
        radius = np.exp(-omega / (2.0 * quality))
        bottom = [1.0, -2.0 * radius * np.cos(omega), radius**2]
        total += lfilter([gain * (1.0 - radius), 0.0, -gain * (1.0 - radius)], bottom, sound)
    return total


def rolled_off(sound: Samples, tone: StringTone) -> Samples:
    """Two poles at the top of the tone."""
    pole = np.exp(-2.0 * np.pi * tone.top_hz / RATE)
    once = lfilter([1.0 - pole], [1.0, -pole], sound)
    return np.asarray(lfilter([1.0 - pole], [1.0, -pole], once))
