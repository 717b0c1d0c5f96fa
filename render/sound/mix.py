"""A performance as samples: every note plucked, damped where it ends, and set at its sample.

Takes a `Performance`, gives mono samples at 44,100 a second, float32, peak below −1 dBFS at a
moderate level. A stroke at t seconds begins at sample round(t × 44,100).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ...converter.practice.timing import CLICK_STRONG, Performance, Stroke, StruckNote
from .pluck import BASS, GUITAR, RATE, Samples, pluck

Mix = NDArray[np.float32]

#: The highest peak: a little under −1 dBFS (0.891).
PEAK: Final = 0.85
#: The level of the whole, root mean square: −20 dBFS.
LEVEL: Final = 0.1
#: How long a damped string takes to fall silent: the hand is lifted, not cut off.
DAMP_S: Final = 0.07
#: No note rings longer; the strings have died away by then.
LONGEST_S: Final = 5.0
#: What is left to ring after the last bar.
TAIL_S: Final = 1.0

#: The bass 7 dB below the guitar in loudness, so that each is heard; the click a tick above both.
GAINS: Final = {"guitar": 1.0, "bass": 6.3, "click": 0.11}

_BLOCK: Final = 1 << 20

Key = tuple[str, int, int]


def mix(performance: Performance) -> Mix:
    """The whole performance."""
    lengths = _longest(performance)
    notes = {key: _voice(key, longest) for key, longest in sorted(lengths.items())}
    total: Mix = np.zeros(sample_count(performance), np.float32)
    for stroke in performance.strokes:
        for note in stroke.notes:
            _set(total, notes[_key(stroke, note)], *_span(performance, stroke, note))
    return levelled(total)


def sample_count(performance: Performance) -> int:
    """How many samples a performance lasts, what rings after the last bar included."""
    return round((float(performance.seconds(performance.length)) + TAIL_S) * RATE)


def _key(stroke: Stroke, note: StruckNote) -> Key:
    """What notes that sound alike share: part, pitch and a class of strength (eight velocities)."""
    return stroke.part, note.midi, stroke.velocity // 8


def _span(performance: Performance, stroke: Stroke, note: StruckNote) -> tuple[int, int]:
    """The sample at which a note begins and the number of samples until it is damped."""
    start = performance.seconds(stroke.at) + note.late_ms / 1000
    end = performance.seconds(stroke.at + stroke.length)
    first = round(start * RATE)
    return first, max(round(end * RATE) - first, 1)


def _longest(performance: Performance) -> dict[Key, float]:
    """How long each kind of note must ring at most, its damping included, in seconds."""
    lengths: dict[Key, float] = {}
    for stroke in performance.strokes:
        for note in stroke.notes:
            key = _key(stroke, note)
            _, count = _span(performance, stroke, note)
            seconds = min(count / RATE, LONGEST_S) + DAMP_S
            lengths[key] = max(lengths.get(key, 0.0), seconds)
    return lengths


def _voice(key: Key, seconds: float) -> Samples:
    part, midi, velocity_class = key
    if part == "click":
        return _block(midi) * (velocity_class * 8 / 127.0) * GAINS[part]
    tone = GUITAR if part == "guitar" else BASS
    return pluck(midi, seconds, velocity_class * 8 / 127.0, tone) * GAINS[part]


def _block(midi: int) -> Samples:
    """A small wood block: two damped modes, 40 ms."""
    time = np.arange(round(0.04 * RATE)) / RATE
    low = 1500.0 if midi == CLICK_STRONG else 1000.0
    modes = np.sin(2 * np.pi * low * time) + 0.4 * np.sin(2 * np.pi * 2.71 * low * time)
    return np.asarray(modes * np.exp(-time / 0.006) * np.cos(np.pi * time / 0.08) ** 2)


def _set(total: Mix, sound: Samples, first: int, count: int) -> None:
    """Add a note at its sample, damped after `count` samples."""
    fade = round(DAMP_S * RATE)
    last = min(len(sound), count + fade)
    kept = sound[:last].copy()
    falling = last - min(count, last - min(fade, last))
    kept[last - falling :] *= 0.5 + 0.5 * np.cos(np.pi * np.arange(1, falling + 1) / falling)
    room = min(last, len(total) - first)
    total[first : first + room] += kept[:room].astype(np.float32)


def levelled(total: Mix) -> Mix:
    """At a moderate level, or lower where the peaks would pass the limit."""
    peak = max(float(total.max(initial=0.0)), -float(total.min(initial=0.0)))
    if peak == 0.0:
        return total
    power = sum(float(np.sum(np.square(block, dtype=np.float64))) for block in blocks(total))
    level = float(np.sqrt(power / len(total)))
    total *= np.float32(min(LEVEL / level, PEAK / peak))
    return total


def blocks(samples: Mix) -> Iterator[Mix]:
    """The samples piece by piece: what is worked out from an hour of them should not be held."""
    for start in range(0, len(samples), _BLOCK):
        yield samples[start : start + _BLOCK]
