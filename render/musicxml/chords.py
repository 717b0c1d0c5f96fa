"""A chord as a `<harmony>`, and its grip as the `<frame>` in it.

The kind has the name in MusicXML, its `text` is the symbol that the chart prints; degrees that are
in the text are not printed again. Added degrees are altered relative to a dominant chord, altered
ones relative to the kind (MusicXML 4.0, `degree-alter`). In a frame strings count from 1, the
highest; a muted string has no note; a barre starts at its lowest-pitched string. The frame of a
grip that the player has fixed has an id that begins with `pin`.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from typing import Final

from ...converter.hand.grip import Barre, Grip
from ...grammar.chord import NO_CHORD, Chord
from ...grammar.musicxml.chords import against_dominant
from ...grammar.pitch import PitchName
from ...grammar.quality import KIND_TONES, DegreeChange
from .xml import add

_TYPES: Final = {"add": "add", "alter": "alter", "omit": "subtract"}
#: The rows of an ordinary frame.
_FRAME_FRETS: Final = 4


def add_chord(harmony: ET.Element, chord: Chord | None) -> None:
    """Add root, kind, bass and degrees; None is N.C., for which the schema requires a root too."""
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
