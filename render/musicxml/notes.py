"""The strokes of a bar and their notes: slashes, rests, or voicings on a staff or as tablature.

A bar has one stroke a beat, and one at the start of each chord; in 6/8, 9/8 and 12/8 a beat is a
dotted quarter. Lengths are in quarters, exact. A guitar sounds an octave below its written notes:
the clef has the octave sign, and pitches are sounding pitches.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Final, Literal

from ...converter.hand.grip import Grip, VoicedNote, sounding_pitch
from ...grammar.chord import Chord
from ...grammar.pitch import PitchName
from ...grammar.sheet import Bar
from .xml import add

#: The notation of a part: a slash a beat, notes on a staff, or fret numbers.
Writing = Literal["slashes", "notes", "tab"]

_NAMES: Final = ("whole", "half", "quarter", "eighth", "16th", "32nd", "64th")
#: Note values in quarters, longest first, with their dots.
_VALUES: Final = tuple(
    sorted(
        (
            (Fraction(4, 2**power) * dotted, name, dots)
            for power, name in enumerate(_NAMES)
            for dots, dotted in enumerate((Fraction(1), Fraction(3, 2)))
        ),
        reverse=True,
    )
)

#: The shortest note value, a 64th; a length that is not a multiple of it has no note value.
_SHORTEST: Final = Fraction(1, 16)
#: The minimum number of sharps in a key signature in which B is sharp.
_B_SHARP: Final = 7


@dataclass(frozen=True, slots=True)
class StrokeSlot:
    """One stroke of `quarters`: the index of its chord in the bar, or None, and its note value.

    `starts`: the chord begins here. `value` is "" for a length without a note value.
    """

    chord: int | None
    starts: bool
    quarters: Fraction
    value: str
    dots: int


def stroke_slots(bar: Bar) -> tuple[StrokeSlot, ...]:
    """The strokes that fill a bar, in order."""
    unit = Fraction(4, bar.meter.unit)
    total = bar.quarters
    starts = {chord.start * unit: index for index, chord in enumerate(bar.chords)}
    beat = 3 * unit if bar.meter.compound else unit
    grid = {beat * count for count in range(int(total / beat) + 1)}
    edges = sorted(edge for edge in {Fraction(0), *grid, *starts} if edge < total)
    edges.append(total)
    slots: list[StrokeSlot] = []
    chord: int | None = None
    for edge, after in pairwise(edges):
        chord = starts.get(edge, chord)
        for at, (quarters, value, dots) in enumerate(_values(after - edge)):
            slots.append(StrokeSlot(chord, edge in starts and at == 0, quarters, value, dots))
    return tuple(slots)


def _values(length: Fraction) -> Iterator[tuple[Fraction, str, int]]:
    """(length, note value, dots) of the notes that fill a length; value "" if no notes can."""
    if _SHORTEST.denominator % length.denominator:
        yield length, "", 0
        return
    for quarters, name, dots in _VALUES:
        while length >= quarters:
            yield quarters, name, dots
            length -= quarters


@dataclass(frozen=True, slots=True)
class ScoreStroke:
    """The content of a slot: a chord with its grip, or a rest if `silent`.

    `hold`: with a fermata.
    """

    slot: StrokeSlot
    chord: Chord | None
    grip: Grip | None
    hold: bool = False
    silent: bool = False


@dataclass(frozen=True, slots=True)
class Stave:
    """A part's staff: its notation, the key signature in force, divisions of a quarter."""

    writing: Writing
    fifths: int
    divisions: int


def add_stroke(measure: ET.Element, stroke: ScoreStroke, stave: Stave) -> None:
    """The notes of one stroke."""
    voiced = stroke.grip.voicing.notes if stroke.grip is not None else ()
    if stroke.silent or (stave.writing == "tab" and not voiced):
        note = add(measure, "note", **({} if stroke.silent else {"print_object": "no"}))
        add(note, "rest")
        _finish(note, stroke, stave)
    elif stroke.chord is not None and stave.writing != "slashes" and voiced:
        for index, held in enumerate(voiced):
            note = add(measure, "note")
            if index:
                add(note, "chord")
            _add_note_pitch(note, *sounding_pitch(held, stroke.chord))
            _finish(note, stroke, stave, held)
    else:
        note = add(measure, "note")
        _add_middle_line(note, stave.fifths)
        _finish(note, stroke, stave)


def add_full_rest(measure: ET.Element, quarters: Fraction, stave: Stave) -> None:
    """A rest that fills its bar."""
    note = add(measure, "note")
    add(note, "rest", measure="yes")
    add(note, "duration", quarters * stave.divisions)
    add(note, "voice", 1)


def _finish(
    note: ET.Element, stroke: ScoreStroke, stave: Stave, held: VoicedNote | None = None
) -> None:
    slot = stroke.slot
    add(note, "duration", slot.quarters * stave.divisions)
    add(note, "voice", 1)
    if slot.value:
        add(note, "type", slot.value)
        for _ in range(slot.dots):
            add(note, "dot")
    if note.find("rest") is None and held is None:
        add(note, "stem", "none")
        add(note, "notehead", "slash")
    _add_notations(note, stroke, stave, held)


def _add_notations(
    note: ET.Element, stroke: ScoreStroke, stave: Stave, held: VoicedNote | None
) -> None:
    fretted = held if stave.writing == "tab" else None
    hold = stroke.hold and stroke.slot.starts and note.find("chord") is None
    if not hold and fretted is None:
        return
    notations = add(note, "notations")
    if fretted is not None:
        technical = add(notations, "technical")
        add(technical, "string", fretted.string)
        add(technical, "fret", fretted.fret)
    if hold:
        add(notations, "fermata")


def _add_middle_line(note: ET.Element, fifths: int) -> None:
    """Add the pitch of the middle line, with the alteration of the key signature."""
    pitch = add(note, "pitch")
    add(pitch, "step", "B")
    alteration = -1 if fifths < 0 else 1 if fifths >= _B_SHARP else 0
    if alteration:
        add(pitch, "alter", alteration)
    add(pitch, "octave", 3)


def _add_note_pitch(note: ET.Element, name: PitchName, octave: int) -> None:
    pitch = add(note, "pitch")
    add(pitch, "step", name.letter)
    if name.alteration:
        add(pitch, "alter", name.alteration)
    add(pitch, "octave", octave)
