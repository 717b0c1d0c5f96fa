"""A simple bass to play against: roots and fifths, one for each group of pulses.

Takes a played bar, gives strokes. Where a chord begins its root sounds (or the bass that its
symbol names), then fifth and root in turn. Common practice, no source. Notes lie from E1 (MIDI
28), the lowest string of a double bass.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from ...grammar.chord import Chord
from ...grammar.sheet import Sheet
from .falling import ChordSpan
from .passage import PlayedBar
from .pulses import group_starts, pulse_count, pulse_quarters
from .timing import Stroke, StruckNote

LOWEST: Final = 28
BASS_VELOCITY: Final = 82


def bass_strokes(sheet: Sheet, one: PlayedBar, start: Fraction) -> Iterator[Stroke]:
    """The bass of a bar that begins at `start` (quarters); nothing under N.C."""
    pulse = pulse_quarters(one.meter)
    groups = [place * pulse for place in group_starts(pulse_count(one.meter))]
    for span in one.spans:
        chord = sheet.chords[span.slot].chord
        if chord is None:
            continue
        times = [span.start] if span.hold else _times(span, groups)
        for turn, (at, end) in enumerate(zip(times, [*times[1:], span.end], strict=True)):
            # A tenth of a pulse of silence lets each note speak.
            length = end - at - pulse / 10
            note = StruckNote(bass_note(chord, turn))
            yield Stroke(start + at, length, "bass", BASS_VELOCITY, (note,), span.slot)


def _times(span: ChordSpan, groups: list[Fraction]) -> list[Fraction]:
    return [span.start, *(at for at in groups if span.start < at < span.end)]


def bass_note(chord: Chord, turn: int) -> int:
    """The MIDI number of the `turn`-th bass note on a chord: its root or bass, then its fifth."""
    base = chord.root if chord.bass is None else chord.bass
    root = LOWEST + (base.pitch_class - LOWEST) % 12
    fifths = [tone for tone in chord.tones if tone.degree == 5]
    if turn % 2 == 0 or not fifths or chord.bass is not None:
        return root
    return LOWEST + (chord.root.pitch_class + fifths[0].semitones - LOWEST) % 12
