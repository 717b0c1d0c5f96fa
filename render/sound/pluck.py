"""One plucked string, by the Karplus–Strong algorithm with its extensions, in closed form.

Sources: K. Karplus & A. Strong, "Digital synthesis of plucked-string and drum timbres", and D.
Jaffe & J. Smith, "Extensions of the Karplus–Strong plucked-string algorithm", both *Computer Music
Journal* 7(2), 1983. The loop is a delay of N samples, a two-point average with decay stretching, a
loss, and an allpass that supplies the fraction of a sample by which N misses the period. The pick
adds a comb for its place on the string and a lowpass for its strength.

The loop is linear and constant in time, so its sound is the excitation divided by one minus the
loop in the frequency domain; on a circle a little outside the unit circle what wraps round in time
falls below −100 dB. That gives the same samples as running the loop as a recursive filter would,
in a fraction of the time. Times are seconds, frequencies hertz, samples float64.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

RATE: Final = 44_100
Samples = NDArray[np.float64]
Spectrum = NDArray[np.complex128]

#: How far what wraps round in time is pushed down: e^−11.5 is −100 dB.
_WRAP: Final = 11.5


@dataclass(frozen=True, slots=True)
class StringTone:
    """How a string is built and picked.

    `decay_s`: seconds to fall by 60 dB at the fundamental. `stretch`: 0.5 the plain average, less
    keeps the treble longer. `pick`: place of the pick, as a part of the string's length. `pick_ms`:
    width of the pick's pulse when struck hard. `body`: resonances as (Hz, Q, gain). `top_hz`: where
    the treble is rolled off.
    """

    decay_s: float
    stretch: float
    pick: float
    pick_ms: float
    body: tuple[tuple[float, float, float], ...]
    top_hz: float


#: An archtop guitar, its tone rolled off (values by ear and spectrum, no source).
GUITAR: Final = StringTone(
    2.6, 0.32, 0.19, 0.32, ((105.0, 6.0, 0.5), (215.0, 7.0, 0.45), (410.0, 6.0, 0.2)), 2600.0
)
#: A double bass, plucked with the finger.
BASS: Final = StringTone(2.2, 0.45, 0.27, 2.5, ((62.0, 4.0, 0.5), (105.0, 5.0, 0.4)), 1100.0)


@dataclass(frozen=True, slots=True)
class Loop:
    """The string's loop: `delay` samples, loss, stretch, the allpass coefficient for the rest."""

    delay: int
    loss: float
    stretch: float
    allpass: float


def hertz(midi: int) -> float:
    """Equal temperament on A4 = 440 Hz (ISO 16:1975)."""
    return float(440.0 * 2.0 ** ((midi - 69) / 12.0))


def tuned_loop(frequency: float, tone: StringTone) -> Loop:
    """The loop whose fundamental is `frequency` exactly and falls by 60 dB in `tone.decay_s`."""
    omega = 2.0 * np.pi * frequency / RATE
    average = (1.0 - tone.stretch) + tone.stretch * np.exp(-1j * omega)
    rest = RATE / frequency + float(np.angle(average)) / omega
    # The allpass delays best between 0.1 and 1.1 samples (Jaffe & Smith).
    delay = int(rest - 0.1)
    fraction = rest - delay
    allpass = float(np.sin((1.0 - fraction) * omega / 2.0) / np.sin((1.0 + fraction) * omega / 2.0))
    loss = 10.0 ** (-3.0 / (frequency * tone.decay_s)) / abs(average)
    return Loop(delay, min(loss, 0.99999), tone.stretch, allpass)


def pluck(midi: int, seconds: float, strength: float, tone: StringTone) -> Samples:
    """The sound of one string from its stroke on; `strength`, 0 to 1, adds treble and level."""
    size = _fast_size(int(np.ceil((seconds + 0.05) * RATE)))
    shrink = -_WRAP / size * np.arange(size)
    # The logarithm of z^-1 on the circle: n times it is the logarithm of a delay of n samples.
    sample = np.asarray(-_WRAP / size - 2j * np.pi / size * np.arange(size // 2 + 1), np.complex128)
    inverse = np.exp(sample)
    pulse = excitation(midi, strength, tone)
    spectrum = np.fft.rfft(pulse * np.exp(shrink[: len(pulse)]), size)
    # The echo from the near end of the string.
    spectrum *= 1.0 - np.exp(max(1, round(tone.pick * RATE / hertz(midi))) * sample)
    spectrum *= _loop_response(tuned_loop(hertz(midi), tone), sample, inverse)
    spectrum *= _body(tone, inverse)
    samples = np.fft.irfft(spectrum, size) * np.exp(-shrink)
    return np.asarray(samples[: int(np.ceil(seconds * RATE))] * strength**1.5)


def _loop_response(loop: Loop, sample: Spectrum, inverse: Spectrum) -> Spectrum:
    """One over one minus the loop."""
    average = (1.0 - loop.stretch) + loop.stretch * inverse
    allpass = (loop.allpass + inverse) / (1.0 + loop.allpass * inverse)
    return np.asarray(1.0 / (1.0 - loop.loss * average * allpass * np.exp(loop.delay * sample)))


def excitation(midi: int, strength: float, tone: StringTone) -> Samples:
    """The pick: a short pulse with a little noise, the wider the softer it strikes."""
    width = max(3, int(tone.pick_ms * (2.0 - strength) * RATE / 1000.0))
    pulse = np.hanning(width + 2)[1:-1]
    # The same noise for the same note, so that the same input gives the same bytes.
    noise = np.random.default_rng(midi).standard_normal(width) * pulse
    return np.asarray(pulse / pulse.sum() + 0.08 * strength * noise / width)


def _body(tone: StringTone, inverse: Spectrum) -> Spectrum:
    """The body's resonances beside the direct sound, then the rolled-off treble (two poles)."""
    response = np.ones(inverse.shape, dtype=np.complex128)
    for frequency, quality, gain in tone.body:
        omega = 2.0 * np.pi * frequency / RATE
        radius = np.exp(-omega / (2.0 * quality))
        bottom = 1.0 - 2.0 * radius * np.cos(omega) * inverse + radius**2 * inverse**2
        response += gain * (1.0 - radius) * (1.0 - inverse**2) / bottom
    pole = np.exp(-2.0 * np.pi * tone.top_hz / RATE)
    return np.asarray(response * ((1.0 - pole) / (1.0 - pole * inverse)) ** 2)


def _fast_size(least: int) -> int:
    """The next size of which the transform is fast: a power of two, or three quarters of one."""
    power = 1 << max(10, (least - 1).bit_length())
    return 3 * power // 4 if 3 * power // 4 >= least else power
