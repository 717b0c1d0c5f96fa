"""A tune as a schedule in seconds for a player that mixes by itself, and the sounds that it needs.

`schedule` takes a chart and a tempo and gives one chorus: its bars as they are played, with the
clicks that count in to each, and its strokes. A player starts at any bar, loops, mutes a part and
changes the tempo without new samples; `note_wav` gives the samples of one sound as a WAV file.
Times are seconds from the first bar line.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from typing import Final

import numpy as np

from ...converter.chart import CompingChart
from ...converter.hand.grip import Grip
from ...converter.practice.choruses import PlayedBar, excerpt
from ...converter.practice.perform import GUITAR_VELOCITY, count_in_strokes, perform
from ...converter.practice.performance import PARTS, Performance, Settings, Stroke
from ...grammar.errors import MidneckError
from ...grammar.frozen import frozen
from ...grammar.sheet import USUAL_TEMPO
from .audio import wav_bytes
from .strings import Mix, SoundKey, sound, sound_key

#: The seconds of one sound; a string has fallen by 50 dB then.
SOUND_S: Final = 2.2
#: Brings the loudest sound of a mix near full scale, so that 16 bits are used.
NOTE_GAIN: Final = 6.0
#: The MIDI numbers and classes of strength (velocity by eight) that a sound can have.
MIDI_NUMBERS: Final = range(21, 109)
STRENGTHS: Final = range(1, 16)


class SoundError(MidneckError, ValueError):
    """There is no such sound."""


@frozen
class ScheduledNote:
    """One sound by the name that `note_wav` takes, `late` seconds after its stroke."""

    sound: str
    late: float = 0.0


@frozen
class ScheduledStroke:
    """A stroke of a part; the strings are damped `length` seconds after it."""

    at: float
    length: float
    part: str
    notes: tuple[ScheduledNote, ...]


@frozen
class ScheduledBar:
    """One playing of the bar with a `number`; `chords` are (time, index of the written chord).

    A rest of several bars has their numbers up to `last_number`. `count_in`: the clicks that lead
    to it, at times before its start (negative).
    """

    number: int
    last_number: int
    at: float
    length: float
    chords: tuple[tuple[float, int], ...]
    count_in: tuple[ScheduledStroke, ...]


@frozen
class Schedule:
    """One chorus at a `tempo`, in the sheet's own beats a minute; `length` in seconds."""

    tempo: int
    length: float
    bars: tuple[ScheduledBar, ...]
    strokes: tuple[ScheduledStroke, ...]

    @property
    def sounds(self) -> tuple[str, ...]:
        """The names of its sounds, each once."""
        clicks = [stroke for bar in self.bars for stroke in bar.count_in]
        every = (note.sound for stroke in (*self.strokes, *clicks) for note in stroke.notes)
        return tuple(sorted(set(every)))


def schedule(chart: CompingChart, tempo: int | None = None, rhythm: str | None = None) -> Schedule:
    """The schedule of a chart; None for the tempo that its sheet names and for its usual rhythm.

    Raises SettingsError for a tempo out of range or a tune that lasts too long, RhythmError for a
    rhythm that does not fit the meter.
    """
    settings = Settings(tempo=tempo, count_in=0, click="all", rhythm=rhythm)
    performance = perform(chart.timeline, chart.plan, settings)
    beats = tempo or chart.sheet.header.tempo or USUAL_TEMPO
    quarter_s = 60 / (beats * chart.sheet.tempo_quarters)
    bars = excerpt(chart.timeline, chart.plan)
    return Schedule(
        beats,
        float(performance.seconds(performance.length)),
        tuple(_bar(performance, bar, quarter_s) for bar in bars),
        tuple(_stroke(performance, stroke) for stroke in performance.strokes if stroke.notes),
    )


def _bar(performance: Performance, bar: PlayedBar, quarter_s: Fraction) -> ScheduledBar:
    at, end = performance.seconds(bar.at), performance.seconds(bar.at + bar.length)
    chords = tuple(
        (float(performance.seconds(bar.at + span.start)), span.slot) for span in bar.spans
    )
    return ScheduledBar(
        bar.bar.number,
        bar.bar.last_number,
        float(at),
        float(end - at),
        chords,
        _count_in(bar, quarter_s),
    )


def _count_in(bar: PlayedBar, quarter_s: Fraction) -> tuple[ScheduledStroke, ...]:
    """A bar of clicks, and those that a pickup lacks of its own bar."""
    whole = bar.meter.quarters
    length = whole + (whole - bar.length if bar.bar.pickup else 0)
    return tuple(
        ScheduledStroke(
            float((stroke.at - length) * quarter_s),
            float(stroke.length * quarter_s),
            "click",
            _notes(stroke),
        )
        for stroke in count_in_strokes(bar.meter, Fraction(0), length)
    )


def _stroke(performance: Performance, stroke: Stroke) -> ScheduledStroke:
    at, end = performance.seconds(stroke.at), performance.seconds(stroke.at + stroke.length)
    return ScheduledStroke(float(at), float(end - at), stroke.part, _notes(stroke))


def _notes(stroke: Stroke) -> tuple[ScheduledNote, ...]:
    return tuple(
        ScheduledNote(_name(sound_key(stroke, note)), note.late_ms / 1000) for note in stroke.notes
    )


def _name(key: SoundKey) -> str:
    return "-".join(map(str, key))


def grip_sounds(grip: Grip) -> tuple[str, ...]:
    """The names of the sounds of a grip, one for each note from the lowest up."""
    return tuple(_name(("guitar", note.midi, GUITAR_VELOCITY // 8)) for note in grip.voicing.notes)


@lru_cache(maxsize=128)
def note_wav(name: str) -> bytes:
    """The sound with this name (`guitar-60-10`: part, MIDI number, strength) as a WAV file.

    Raises SoundError when there is none.
    """
    samples = sound(_key(name), SOUND_S) * NOTE_GAIN
    mix: Mix = np.clip(samples, -1.0, 1.0).astype(np.float32)
    return wav_bytes(mix)


def _key(name: str) -> SoundKey:
    """The sound of a name. Raises SoundError."""
    part, *numbers = name.split("-")
    short = all(number.isascii() and number.isdecimal() and len(number) <= 3 for number in numbers)
    if part in PARTS and len(numbers) == 2 and short:
        midi, strength = map(int, numbers)
        if midi in MIDI_NUMBERS and strength in STRENGTHS:
            return part, midi, strength
    raise SoundError(f"there is no sound {name!r}")
