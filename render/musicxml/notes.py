"""The notes of a stroke: a slash, a rest, or the voicing written out, on a staff or as tablature.

Guitar sounds an octave below its written notes: the clef says so, and pitches are those that sound.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

from ...converter.hand.grip import Grip, VoicedNote
from ...grammar.chord import Chord
from ...grammar.pitch import LETTER_SEMITONES, LETTERS, PitchName
from .cells import Cell
from .xml import add

#: The key signature from which on B is sharp.
_B_SHARP: Final = 7
_PLAIN_NAMES: Final = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


#: How a part is written: a slash a beat, notes on a staff, or fret numbers.
Writing = Literal["slashes", "notes", "tab"]


@dataclass(frozen=True, slots=True)
class Stroke:
    """What is struck, a rest where it is `silent`; a bar that repeats another has no `chord`."""

    cell: Cell
    chord: Chord | None
    grip: Grip | None
    hold: bool = False
    silent: bool = False


@dataclass(frozen=True, slots=True)
class Stave:
    """A part's staff: how it is written, the key signature in force, divisions of a quarter."""

    writing: Writing
    fifths: int
    divisions: int


def add_stroke(measure: ET.Element, stroke: Stroke, stave: Stave) -> None:
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
            _add_pitch(note, sounding_name(stroke.chord, held), held.midi)
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


def _finish(note: ET.Element, stroke: Stroke, stave: Stave, held: VoicedNote | None = None) -> None:
    cell = stroke.cell
    add(note, "duration", cell.quarters * stave.divisions)
    add(note, "voice", 1)
    if cell.value:
        add(note, "type", cell.value)
        for _ in range(cell.dots):
            add(note, "dot")
    if note.find("rest") is None and held is None:
        add(note, "stem", "none")
        add(note, "notehead", "slash")
    _add_notations(note, stroke, stave, held)


def _add_notations(note: ET.Element, stroke: Stroke, stave: Stave, held: VoicedNote | None) -> None:
    fretted = held if stave.writing == "tab" else None
    hold = stroke.hold and stroke.cell.starts and note.find("chord") is None
    if not hold and fretted is None:
        return
    notations = add(note, "notations")
    if fretted is not None:
        technical = add(notations, "technical")
        add(technical, "string", fretted.string)
        add(technical, "fret", fretted.fret)
    if hold:
        add(notations, "fermata")


def sounding_name(chord: Chord, note: VoicedNote) -> PitchName:
    """The name of a sounding note: as its chord spells it, else a plain one."""
    if note.tone is not None:
        return chord.spelled(note.tone)
    if chord.bass is not None and chord.bass.pitch_class == note.midi % 12:
        return chord.bass
    name = _PLAIN_NAMES[note.midi % 12]
    return PitchName(name[0], name.count("#") - name.count("b"))


def _add_middle_line(note: ET.Element, fifths: int) -> None:
    """The middle line of a treble clef that sounds an octave lower, as the key alters it."""
    pitch = add(note, "pitch")
    add(pitch, "step", "B")
    alteration = -1 if fifths < 0 else 1 if fifths >= _B_SHARP else 0
    if alteration:
        add(pitch, "alter", alteration)
    add(pitch, "octave", 3)


def _add_pitch(note: ET.Element, name: PitchName, midi: int) -> None:
    pitch = add(note, "pitch")
    add(pitch, "step", name.letter)
    if name.alteration:
        add(pitch, "alter", name.alteration)
    natural = midi - name.alteration - LETTER_SEMITONES[LETTERS.index(name.letter)]
    add(pitch, "octave", natural // 12 - 1)
