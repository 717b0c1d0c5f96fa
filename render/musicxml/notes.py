"""What a bar holds in MusicXML: strokes and their notes, chord symbols and the frames of grips.

A bar has one stroke a beat, and one at the start of each chord; in 6/8, 9/8 and 12/8 a beat is a
dotted quarter. A stroke is a slash, a rest, or a voicing on a staff or as tablature. Lengths are in
quarters, exact. A guitar sounds an octave below its written notes: the clef has the octave sign,
and pitches are sounding pitches.

A chord is a `<harmony>`: its kind has the name in MusicXML and its `text` is the symbol as it was
typed; degrees that are in the text are not printed again. Added degrees are altered relative
to a dominant chord, altered ones relative to the kind (MusicXML 4.0, `degree-alter`). In a
`<frame>` strings count from 1, the highest; a muted string has no note; a barre starts at its
lowest-pitched string. The frame of a grip that the player has fixed has an id that begins with
`pin`.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import Final, Literal

from ...converter.hand.grip import Barre, Grip, VoicedNote, sounding_pitch
from ...grammar.chord import NO_CHORD, Chord
from ...grammar.chord_parser import ChordError, parse_chord
from ...grammar.frozen import frozen
from ...grammar.musicxml.chords import against_dominant
from ...grammar.pitch import PitchName
from ...grammar.quality import KIND_TONES, DegreeChange
from ...grammar.sheet import Bar, SheetChord
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


@frozen
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


@lru_cache(maxsize=1024)
def _values(length: Fraction) -> tuple[tuple[Fraction, str, int], ...]:
    """(length, note value, dots) of the notes that fill a length; value "" if no notes can."""
    if _SHORTEST.denominator % length.denominator:
        return ((length, "", 0),)
    notes: list[tuple[Fraction, str, int]] = []
    for quarters, name, dots in _VALUES:
        while length >= quarters:
            notes.append((quarters, name, dots))
            length -= quarters
    return tuple(notes)


@frozen
class ScoreStroke:
    """The content of a slot: a chord with its grip, or a rest if `silent`.

    `hold`: with a fermata.
    """

    slot: StrokeSlot
    chord: Chord | None
    grip: Grip | None
    hold: bool = False
    silent: bool = False


@frozen
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


_TYPES: Final = {"add": "add", "alter": "alter", "omit": "subtract"}
#: A root as it is typed.
_ROOT: Final = re.compile(r"\s*[A-G](?:bb|b|##|#|♭♭|♭|♯♯|♯|x)?")
#: The rows of an ordinary frame.
_FRAME_FRETS: Final = 4


def add_chord(harmony: ET.Element, written: SheetChord) -> None:
    """Add root, kind, bass and degrees; for N.C. the schema requires a root too."""
    chord = written.chord
    if chord is None:
        root = add(harmony, "root")
        add(root, "root-step", "C", text="")
        add(harmony, "kind", "none", text=NO_CHORD)
        return
    _add_harmony_pitch(harmony, "root", chord.root)
    add(harmony, "kind", chord.kind, text=kind_text(chord, written.text))
    if chord.bass is not None:
        _add_harmony_pitch(harmony, "bass", chord.bass)
    for change in chord.changes:
        degree = add(harmony, "degree", print_object="no")
        add(degree, "degree-value", change.degree)
        add(degree, "degree-alter", degree_alter(chord.kind, change))
        add(degree, "degree-type", _TYPES[change.type])


def kind_text(chord: Chord, typed: str) -> str:
    """The symbol without root and bass, as it was typed where it was typed for this chord."""
    upper = Chord(chord.root, chord.kind, chord.changes)
    root = _ROOT.match(typed)
    text = typed[root.end() :].strip() if root is not None else ""
    if chord.bass is not None:
        text = text.rpartition("/")[0].strip()
    try:
        same = parse_chord(f"{chord.root}{text}") == upper
    except ChordError:
        same = False
    return text if same else str(upper).removeprefix(str(chord.root))


def degree_alter(kind: str, change: DegreeChange) -> int:
    """The alteration of a degree as MusicXML defines it."""
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
    """The end of a barre (`start`, `stop`) at the indices of its first and last sounding string."""
    ends: dict[int, str] = {}
    for barre in grip.barres:
        held = [index for index in range(len(grip.frets)) if _held(grip, index, barre)]
        if len(held) > 1:
            ends[held[0]], ends[held[-1]] = "start", "stop"
    return ends


def _held(grip: Grip, index: int, barre: Barre) -> bool:
    return grip.frets[index] == barre.fret and grip.fingers[index] == barre.finger
