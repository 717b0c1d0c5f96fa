"""What stands in a measure: the elements of XML, strokes and their notes, chords and frames."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Final, Literal

from ...converter.hand.grip import Barre, Grip, VoicedNote, sounding_pitch
from ...grammar.chord import NO_CHORD, Chord
from ...grammar.musicxml.chords import against_dominant
from ...grammar.pitch import PitchName
from ...grammar.quality import KIND_TONES, DegreeChange
from ...grammar.sheet import Bar

# Elements of MusicXML, built in the order in which the schema wants them, and their bytes.

Value = str | int | Fraction | None

_DOCTYPE: Final = (
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN"'
    ' "http://www.musicxml.org/dtds/partwise.dtd">'
)
#: Everything outside the characters that XML 1.0 allows.
_NOT_XML: Final = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def clean(text: str) -> str:
    """The text without characters that XML cannot hold."""
    return _NOT_XML.sub("", text)


def add(
    parent: ET.Element, name: str, value: Value = None, /, **attributes: str | int
) -> ET.Element:
    """A new last child of `parent`; underscores in attribute names stand for hyphens."""
    said = {key.replace("_", "-"): clean(str(said)) for key, said in attributes.items()}
    child = ET.SubElement(parent, name, said)
    if value is not None:
        child.text = clean(_shown(value))
    return child


def _shown(value: str | int | Fraction) -> str:
    if isinstance(value, Fraction) and value.denominator != 1:
        return f"{float(value):.6f}".rstrip("0")
    return str(value)


def to_bytes(score: ET.Element) -> bytes:
    """The document in UTF-8, indented; the same element gives the same bytes."""
    ET.indent(score)
    body = ET.tostring(score, encoding="unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{_DOCTYPE}\n{body}\n'.encode()


# A bar divided into strokes: one slash a beat, and one wherever a chord begins.
#
# Lengths are in quarters, exact. In 6/8, 9/8 and 12/8 a beat is a dotted quarter.

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

#: The shortest note value, a 64th: lengths that it does not measure are left without one.
_SHORTEST: Final = Fraction(1, 16)


@dataclass(frozen=True, slots=True)
class StrokeSlot:
    """One stroke of `quarters`: the chord (its index in the bar, None for none), the note value.

    `starts`: the chord begins here. `value` is "" for a length that no note value has.
    """

    chord: int | None
    starts: bool
    quarters: Fraction
    value: str
    dots: int


def stroke_slots(bar: Bar) -> tuple[StrokeSlot, ...]:
    """The strokes of a bar in order; they fill it."""
    unit = Fraction(4, bar.meter.unit)
    total = bar.quarters
    starts = {chord.start * unit: index for index, chord in enumerate(bar.chords)}
    beat = 3 * unit if bar.meter.compound else unit
    grid = {beat * count for count in range(int(total / beat) + 1)}
    edges = sorted(edge for edge in {Fraction(0), *grid, *starts} if edge < total)
    edges.append(total)
    cells: list[StrokeSlot] = []
    chord: int | None = None
    for edge, after in pairwise(edges):
        chord = starts.get(edge, chord)
        for at, (quarters, value, dots) in enumerate(_values(after - edge)):
            cells.append(StrokeSlot(chord, edge in starts and at == 0, quarters, value, dots))
    return tuple(cells)


def _values(length: Fraction) -> Iterator[tuple[Fraction, str, int]]:
    """Note values that make up a length, longest first; "" for a length that none can make up."""
    if _SHORTEST.denominator % length.denominator:
        yield length, "", 0
        return
    for quarters, name, dots in _VALUES:
        while length >= quarters:
            yield quarters, name, dots
            length -= quarters


# The notes of a stroke: a slash, a rest, or the voicing written out, on a staff or as tablature.
#
# Guitar sounds an octave below its written notes: the clef says so, and pitches are those that
# sound.

#: The key signature from which on B is sharp.
_B_SHARP: Final = 7


#: How a part is written: a slash a beat, notes on a staff, or fret numbers.
Writing = Literal["slashes", "notes", "tab"]


@dataclass(frozen=True, slots=True)
class WrittenStroke:
    """What is struck, a rest where it is `silent`; a bar that repeats another has no `chord`."""

    cell: StrokeSlot
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


def add_stroke(measure: ET.Element, stroke: WrittenStroke, stave: Stave) -> None:
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
    note: ET.Element, stroke: WrittenStroke, stave: Stave, held: VoicedNote | None = None
) -> None:
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


def _add_notations(
    note: ET.Element, stroke: WrittenStroke, stave: Stave, held: VoicedNote | None
) -> None:
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


def _add_middle_line(note: ET.Element, fifths: int) -> None:
    """The middle line of a treble clef that sounds an octave lower, as the key alters it."""
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


# A chord and its grip as a `<harmony>` with its `<frame>`.
#
# The kind is MusicXML's own name, its `text` the symbol as the chart prints it; degrees that the
# text already says are not printed again. Added degrees are altered against a dominant chord,
# altered ones against the kind (MusicXML 4.0, `degree-alter`). In a frame strings count from 1, the
# highest; a muted string has no note; a barre starts at its lowest-pitched string. The frame of a
# grip that the player has fixed has an id that begins with `pin`; so has, with `push`, a harmony
# that is struck an eighth before its beat: an `<offset>` across the bar line makes some programs
# lose the symbol.

_TYPES: Final = {"add": "add", "alter": "alter", "omit": "subtract"}
#: The rows of an ordinary frame.
_FRAME_FRETS: Final = 4


def add_chord(harmony: ET.Element, chord: Chord | None) -> None:
    """Root, kind, bass and degrees; None is N.C., which the schema wants to have a root too."""
    if chord is None:
        root = add(harmony, "root")
        add(root, "root-step", "C", text="")
        add(harmony, "kind", "none", text=NO_CHORD)
        return
    _add_harmony_pitch(harmony, "root", chord.root)
    add(harmony, "kind", chord.kind, text=kind_text(chord))
    if chord.bass is not None:
        _add_harmony_pitch(harmony, "bass", chord.bass)
    for change in chord.changes:
        degree = add(harmony, "degree", print_object="no")
        add(degree, "degree-value", change.degree)
        add(degree, "degree-alter", degree_alter(chord.kind, change))
        add(degree, "degree-type", _TYPES[change.type])


def kind_text(chord: Chord) -> str:
    """The symbol without root and bass."""
    return str(Chord(chord.root, chord.kind, chord.changes)).removeprefix(str(chord.root))


def degree_alter(kind: str, change: DegreeChange) -> int:
    """The alteration of a degree as MusicXML counts it."""
    if change.type == "omit":
        return 0
    if change.type == "alter":
        own = {tone.degree: tone.alteration for tone in KIND_TONES[kind]}
        return change.alteration - own.get(change.degree, 0)
    return change.alteration - against_dominant(change.degree)


def _add_harmony_pitch(parent: ET.Element, name: str, pitch: PitchName) -> None:
    element = add(parent, name)
    add(element, f"{name}-step", pitch.letter)
    if pitch.alteration:
        add(element, f"{name}-alter", pitch.alteration)


def add_frame(harmony: ET.Element, grip: Grip, pin: str = "") -> None:
    """The grid of a grip; `pin` is the frame's id where the player fixed the grip."""
    count = len(grip.frets)
    pressed = [fret for fret in grip.frets if fret]
    first = 1 if max(pressed, default=0) <= _FRAME_FRETS else min(pressed)
    frame = add(harmony, "frame", **({"id": pin} if pin else {}))
    add(frame, "frame-strings", count)
    add(frame, "frame-frets", max(_FRAME_FRETS, max(pressed, default=0) - first + 1))
    if first > 1:
        add(frame, "first-fret", first)
    barres = _barre_ends(grip)
    for index, (fret, finger) in enumerate(zip(grip.frets, grip.fingers, strict=True)):
        if fret is None:
            continue
        note = add(frame, "frame-note")
        add(note, "string", count - index)
        add(note, "fret", fret)
        if finger is not None:
            add(note, "fingering", finger)
        if index in barres:
            add(note, "barre", type=barres[index])


def _barre_ends(grip: Grip) -> dict[int, str]:
    """For the first and last sounding string of each barre, from the lowest, where it is."""
    ends: dict[int, str] = {}
    for barre in grip.barres:
        held = [index for index in range(len(grip.frets)) if _held(grip, index, barre)]
        if len(held) > 1:
            ends[held[0]], ends[held[-1]] = "start", "stop"
    return ends


def _held(grip: Grip, index: int, barre: Barre) -> bool:
    return grip.frets[index] == barre.fret and grip.fingers[index] == barre.finger
