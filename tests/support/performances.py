"""Performances for tests, and where strokes are heard in their sound.

A stroke is heard in the slope of the sound (its difference from sample to sample), in which the
treble of a pluck outweighs whatever still rings.
"""

from __future__ import annotations

import io
import wave
from fractions import Fraction
from typing import Any

import numpy as np
from midneck.converter.hand.planner import plan_hand
from midneck.converter.practice.perform import perform
from midneck.converter.practice.performance import Part, Performance, Settings
from midneck.converter.timeline import timeline_of
from midneck.grammar.text.reader import read_sheet
from midneck.render.sound.audio import wav_bytes
from midneck.render.sound.strings import mix
from numpy.typing import NDArray
from scipy.ndimage import maximum_filter1d

RATE = 44_100
TUNE = "Title: Tram Stop\nKey: C\nTempo: 120\n\nA:\n| Dm7 | G7 | C6 | % ||\n"
Sound = NDArray[np.float64]


def played(text: str = TUNE, **settings: Any) -> Performance:
    """A tune performed, without a count-in unless one is wished."""
    sheet = read_sheet(text)
    timeline = timeline_of(sheet)
    return perform(timeline, plan_hand(timeline), Settings(**({"count_in": 0} | settings)))


def alone(text: str, part: Part, **settings: Any) -> Performance:
    """One part of a tune performed, all notes of a stroke at once."""
    others = frozenset({"guitar", "bass", "click"}) - {part}
    return played(text, without=others, strum_ms=0, **settings)


def onsets(performance: Performance, part: Part = "guitar") -> list[Fraction]:
    """Where the strokes of a part begin, in quarters."""
    return [stroke.at for stroke in performance.strokes if stroke.part == part]


def write_wav(performance: Performance) -> bytes:
    """A performance as a WAV file, played by our own strings."""
    return wav_bytes(mix(performance))


def samples(data: bytes) -> Sound:
    """The samples of a WAV file, −1 to 1."""
    with wave.open(io.BytesIO(data)) as file:
        assert file.getframerate() == RATE
        return np.frombuffer(file.readframes(file.getnframes()), dtype="<i2") / 32768


def heard(sound: Sound, rise: float = 1.3, dead_s: float = 0.03) -> Sound:
    """The seconds at which strokes begin, found in the sound alone.

    The slope passes `rise` times the most that it was in the 30 ms before (longer than a period of
    the lowest string), and two hundredths of its most anywhere; then there is a dead time.
    """
    slope = np.abs(np.diff(sound, prepend=0.0))
    before = round(0.03 * RATE)
    past = np.concatenate([np.zeros(before), slope])[: len(slope) + before - 1]
    most = maximum_filter1d(past, before, origin=-(before // 2))[: len(slope)]
    loud = np.flatnonzero(slope > np.maximum(rise * most, 0.02 * slope.max()))
    found: list[int] = []
    for place in loud:
        if not found or place - found[-1] > dead_s * RATE:
            found.append(int(place))
    return np.array(found) / RATE
