"""A performance as samples: plucked strings by the Karplus–Strong algorithm, mixed.

The instrument where no SoundFont is named. Takes a `Performance`, gives mono samples at
44,100 a second, float32, the peak below −1 dBFS at a moderate level. A stroke at t seconds begins
at sample round(t × 44,100). Times are seconds, frequencies hertz, samples of one string float64.

A string is a loop: a delay of N samples, a two-point average with decay stretching, a loss, and an
allpass for the fraction of a sample between N and the period. The pick adds a comb for its place on
the string and a lowpass for its strength. The loop is linear and constant in time, so its sound is
the excitation divided by one minus the loop in the frequency domain; evaluated on a circle a little
outside the unit circle, the time aliasing is below −100 dB. The samples are those of a recursive
filter, computed in a fraction of the time.

Sources: K. Karplus & A. Strong, "Digital synthesis of plucked-string and drum timbres", and D.
Jaffe & J. Smith, "Extensions of the Karplus–Strong plucked-string algorithm", both *Computer Music
Journal* 7(2), 1983.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ...converter.practice.performance import CLICK_STRONG, Performance, Stroke, StruckNote
from ...grammar.frozen import frozen

#: Samples a second.
RATE: Final = 44_100
Samples = NDArray[np.float64]
Spectrum = NDArray[np.complex128]

#: The attenuation of time aliasing, as a negative exponent: e^−11.5 is −100 dB.
_WRAP: Final = 11.5


@frozen
class StringTone:
    """The properties of a string, its body and its pick.

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


@frozen
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
    """The samples of one string from its stroke on; `strength`, 0 to 1, adds treble and level."""
    size = _fast_size(int(np.ceil((seconds + 0.05) * RATE)))
    shrink = -_WRAP / size * np.arange(size)
    # The logarithm of z^-1 on the circle; n times this is the logarithm of a delay of n samples.
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
    """The pulse of the pick with a little noise; a softer stroke has a wider pulse."""
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


Mix = NDArray[np.float32]

#: The highest peak: a little under −1 dBFS (0.891).
PEAK: Final = 0.85
#: The root mean square level of a performance: −20 dBFS.
LEVEL: Final = 0.1
#: The seconds in which a damped string fades, because a hand does not stop it at once.
DAMP_S: Final = 0.07
#: The maximum length of a note in seconds; the strings have faded by then.
LONGEST_S: Final = 5.0
#: The seconds of sound after the last bar.
TAIL_S: Final = 1.0

#: Gains that make the bass 7 dB quieter than the guitar, and the click a little louder than both.
GAINS: Final = {"guitar": 1.0, "bass": 6.3, "click": 0.11}

#: Samples of a chunk.
_CHUNK: Final = 1 << 20

#: Part, MIDI pitch and class of strength; notes with the same key have the same sound.
SoundKey = tuple[str, int, int]


def mix(performance: Performance) -> Mix:
    """The samples of a whole performance."""
    lengths = _longest(performance)
    notes = {key: sound(key, longest) for key, longest in sorted(lengths.items())}
    total: Mix = np.zeros(sample_count(performance), np.float32)
    for stroke in performance.strokes:
        for note in stroke.notes:
            _add_note(total, notes[sound_key(stroke, note)], *_span(performance, stroke, note))
    return levelled(total)


def sample_count(performance: Performance) -> int:
    """The number of samples of a performance, including `TAIL_S` after the last bar."""
    return round((float(performance.seconds(performance.length)) + TAIL_S) * RATE)


def sound_key(stroke: Stroke, note: StruckNote) -> SoundKey:
    """The sound of a note; eight velocities are one class of strength."""
    return stroke.part, note.midi, stroke.velocity // 8


def _span(performance: Performance, stroke: Stroke, note: StruckNote) -> tuple[int, int]:
    """The sample at which a note begins and the number of samples until it is damped."""
    start = performance.seconds(stroke.at) + note.late_ms / 1000
    end = performance.seconds(stroke.at + stroke.length)
    first = round(start * RATE)
    return first, max(round(end * RATE) - first, 1)


def _longest(performance: Performance) -> dict[SoundKey, float]:
    """The maximum length of each sound, its damping included, in seconds."""
    lengths: dict[SoundKey, float] = {}
    for stroke in performance.strokes:
        for note in stroke.notes:
            key = sound_key(stroke, note)
            _, count = _span(performance, stroke, note)
            seconds = min(count / RATE, LONGEST_S) + DAMP_S
            lengths[key] = max(lengths.get(key, 0.0), seconds)
    return lengths


def sound(key: SoundKey, seconds: float) -> Samples:
    """The samples of one sound at the level that it has in a mix, undamped for `seconds`."""
    part, midi, velocity_class = key
    if part == "click":
        return _wood_block(midi) * (velocity_class * 8 / 127.0) * GAINS[part]
    tone = GUITAR if part == "guitar" else BASS
    return pluck(midi, seconds, velocity_class * 8 / 127.0, tone) * GAINS[part]


def _wood_block(midi: int) -> Samples:
    """A small wood block: two damped modes, 40 ms."""
    time = np.arange(round(0.04 * RATE)) / RATE
    low = 1500.0 if midi == CLICK_STRONG else 1000.0
    modes = np.sin(2 * np.pi * low * time) + 0.4 * np.sin(2 * np.pi * 2.71 * low * time)
    return np.asarray(modes * np.exp(-time / 0.006) * np.cos(np.pi * time / 0.08) ** 2)


def _add_note(total: Mix, sound: Samples, first: int, count: int) -> None:
    """Add a note at its sample, damped after `count` samples."""
    fade = round(DAMP_S * RATE)
    last = min(len(sound), count + fade)
    kept = sound[:last].copy()
    falling = last - min(count, last - min(fade, last))
    kept[last - falling :] *= 0.5 + 0.5 * np.cos(np.pi * np.arange(1, falling + 1) / falling)
    room = min(last, len(total) - first)
    total[first : first + room] += kept[:room].astype(np.float32)


def levelled(total: Mix) -> Mix:
    """The samples at `LEVEL`, or lower if a peak would exceed `PEAK`; changed in place."""
    peak = max(float(total.max(initial=0.0)), -float(total.min(initial=0.0)))
    if peak == 0.0:
        return total
    power = sum(float(np.sum(np.square(chunk, dtype=np.float64))) for chunk in chunks(total))
    level = float(np.sqrt(power / len(total)))
    total *= np.float32(min(LEVEL / level, PEAK / peak))
    return total


def chunks(samples: Mix) -> Iterator[Mix]:
    """The samples in chunks, so that sums over an hour of them take little memory."""
    for start in range(0, len(samples), _CHUNK):
        yield samples[start : start + _CHUNK]
