"""A performance as a standard MIDI file.

Takes a `Performance`, gives the bytes of a format-1 file: a conductor track (tempo, meter, key,
section markers), then a track for each part. Programs are General MIDI's, counted there from 1 and
sent from 0: Electric Guitar (jazz) 27, Acoustic Bass 33; the click is on channel 10 (sent as 9).
The same performance gives the same bytes.
"""

from __future__ import annotations

from fractions import Fraction
from io import BytesIO
from typing import TYPE_CHECKING, Any, Final

from ..converter.practice.performance import PARTS, Performance, Stroke, StruckNote
from ..converter.practice.rhythm import pulse_quarters
from ..grammar.foreign_text import harmless
from ..grammar.key import Key
from ..grammar.pitch import Interval
from ..grammar.sheet import PARTS_A_QUARTER, Meter
from ..grammar.transpose import transpose_key
from .stamps import SIGNATURE

if TYPE_CHECKING:
    import mido

#: Ticks a quarter: every chord begins at one, and the usual swing ratios are exact.
TICKS: Final = PARTS_A_QUARTER
GUITAR_CHANNEL: Final = 0
#: The first channel after those of eight strings.
BASS_CHANNEL: Final = 8
CLICK_CHANNEL: Final = 9
PROGRAMS: Final = {"guitar": 26, "bass": 32}
NAMES: Final = {"guitar": "Guitar", "bass": "Bass", "click": "Click"}


#: A message at its tick; events of one tick are sorted by the number between.
TimedEvent = tuple[int, int, Any]


def write_midi(
    performance: Performance, strings_apart: bool = False, mark: str = SIGNATURE
) -> bytes:
    """The performance as a MIDI file; `strings_apart` gives each guitar string its own channel.

    String 1 is then on channel 1, string 6 on channel 6. `mark` is the text of the program that
    made it.
    """
    import mido

    file = mido.MidiFile(type=1, ticks_per_beat=TICKS)
    file.tracks.append(_track(_conductor(performance, mark), performance))
    for part in PARTS:
        strokes = [stroke for stroke in performance.strokes if stroke.part == part]
        if strokes:
            events = [*_opening(part, strokes, strings_apart)]
            for stroke in strokes:
                events += _notes(performance, stroke, strings_apart)
            file.tracks.append(_track(events, performance))
    buffer = BytesIO()
    file.save(file=buffer)
    return buffer.getvalue()


def _conductor(performance: Performance, mark: str) -> list[TimedEvent]:
    from mido import MetaMessage, bpm2tempo

    # Within one tick: names, then meter and key, then tempo, then markers.
    events: list[TimedEvent] = [(0, 0, MetaMessage("text", text=mark))]
    if performance.title:
        events.append((0, 0, MetaMessage("track_name", name=_latin(performance.title))))
    for at, meter in performance.meters:
        events.append((_ticks(at), 1, _signature(meter)))
    for at, key in performance.keys:
        events.append((_ticks(at), 1, MetaMessage("key_signature", key=key_event_name(key))))
    for at, tempo in performance.tempi:
        events.append((_ticks(at), 2, MetaMessage("set_tempo", tempo=bpm2tempo(float(tempo)))))
    for at, text in performance.markers:
        events.append((_ticks(at), 3, MetaMessage("marker", text=_latin(text))))
    return events


#: The most that a byte of a MIDI file holds.
_MOST: Final = 255


def _signature(meter: Meter) -> mido.MetaMessage:
    """The time signature; of a meter of too many beats in longer ones, and no more than fit."""
    from mido import MetaMessage

    beats, unit = meter.beats, meter.unit
    while beats > _MOST and unit > 1:
        beats, unit = -(-beats // 2), unit // 2
    # A quarter is 24 MIDI clocks; this sets the metronome of other programs to the pulse.
    clocks = max(1, int(24 * pulse_quarters(meter)))
    return MetaMessage(
        "time_signature",
        numerator=min(beats, _MOST),
        denominator=unit,
        clocks_per_click=clocks,
    )


def _opening(part: str, strokes: list[Stroke], strings_apart: bool) -> list[TimedEvent]:
    from mido import Message, MetaMessage

    events: list[TimedEvent] = [(0, 0, MetaMessage("track_name", name=NAMES[part]))]
    if part in PROGRAMS:
        channels = sorted(
            {_channel(stroke, note, strings_apart) for stroke in strokes for note in stroke.notes}
        )
        for channel in channels:
            program = Message("program_change", channel=channel, program=PROGRAMS[part])
            events.append((0, 0, program))
    return events


def _notes(performance: Performance, stroke: Stroke, strings_apart: bool) -> list[TimedEvent]:
    from mido import Message

    events: list[TimedEvent] = []
    end = _ticks(stroke.at + stroke.length)
    for note in stroke.notes:
        struck = _ticks(stroke.at + _strum_delay(performance, stroke, note))
        # A wide strum does not delay the end of a note, because the next stroke may repeat it.
        start, stop = min(struck, end - 1), end
        channel = _channel(stroke, note, strings_apart)
        on = Message("note_on", channel=channel, note=note.midi, velocity=stroke.velocity)
        events.append((start, 5, on))
        off = Message("note_off", channel=channel, note=note.midi, velocity=64)
        # Sorted before the notes that begin on the same tick.
        events.append((stop, 4, off))
    return events


def _strum_delay(performance: Performance, stroke: Stroke, note: StruckNote) -> Fraction:
    """The delay of a note within its strum, in quarters."""
    tempo = next(tempo for at, tempo in reversed(performance.tempi) if at <= stroke.at)
    return Fraction(note.late_ms, 60_000) * tempo


def _channel(stroke: Stroke, note: StruckNote, strings_apart: bool) -> int:
    if stroke.part == "click":
        return CLICK_CHANNEL
    if stroke.part == "bass":
        return BASS_CHANNEL
    return note.string - 1 if strings_apart and note.string is not None else GUITAR_CHANNEL


def _track(events: list[TimedEvent], performance: Performance) -> mido.MidiTrack:
    from mido import MetaMessage, MidiTrack

    track, now = MidiTrack(), 0
    for tick, _, message in sorted(events, key=lambda event: event[:2]):
        message.time = tick - now
        track.append(message)
        now = tick
    end = max(now, _ticks(performance.length))
    track.append(MetaMessage("end_of_track", time=end - now))
    return track


def _ticks(at: Fraction) -> int:
    return round(at * TICKS)


def key_event_name(key: Key) -> str:
    """The name of a key in its event; that of the enharmonic key beyond seven sharps or flats.

    The event knows major and minor alone: D dorian is written as A minor, with the same signature.
    Source of both limits: Standard MIDI Files 1.0, the key signature event.
    """
    return transpose_key(key.plain, Interval(0, 0)).short


def _latin(text: str) -> str:
    """Text in Latin 1, the encoding of the file; other characters become question marks."""
    return harmless(text).encode("latin-1", "replace").decode("latin-1")
