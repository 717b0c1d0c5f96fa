"""From a `<harmony>` to a chord: kind, degrees, bass, and what could not be said.

Degrees follow MusicXML 4.0: an added degree is altered against a dominant chord (major and
perfect intervals, but a minor seventh), an altered one against the chord's kind. Roots given as a
function or a numeral are worked out from the key in force. Stacked chords (one written over
another) become the lower chord with the notes of the upper one added.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from ..chord import Chord
from ..pitch import LETTERS, PitchName, Tone
from ..quality import KIND_TONES, changes_to
from ..transpose import plain_name
from .degrees import read_degrees
from .node import Node
from .numerals import Signature, function_root, numeral_root

#: Kinds that files carry though the standard spells them otherwise.
_KIND_NAMES: Final = {kind.lower(): kind for kind in KIND_TONES} | {
    "minor-major": "major-minor",
    "major-11": "major-11th",
    "half-diminished-seventh": "half-diminished",
    "dominant-seventh": "dominant",
    "augmented-dominant": "augmented-seventh",
    "": "major",
}
#: Tensions by semitones above the root, for the notes of an upper chord.
_TENSIONS: Final = {
    1: (9, -1),
    2: (9, 0),
    3: (9, 1),
    4: (3, 0),
    5: (11, 0),
    6: (11, 1),
    7: (5, 0),
    8: (13, -1),
    9: (13, 0),
    10: (7, -1),
    11: (7, 0),
}
_STARTS: Final = ("root", "function", "numeral")


@dataclass(frozen=True, slots=True)
class Harmony:
    """What a `<harmony>` says: its chord, None for silence, and `remarks` on what it lost."""

    chord: Chord | None
    remarks: tuple[str, ...] = ()


def read_harmony(node: Node, key: Signature | None) -> Harmony:
    """The chord of a `<harmony>` under the key signature in force."""
    groups = _groups(node)
    if not groups:
        return Harmony(None, ("a harmony without a root is read as N.C.",))
    below: Chord | None = None
    remarks: list[str] = []
    for group in reversed(groups):
        found = _read_group(group, key, below)
        remarks += found.remarks
        if found.chord is None:
            continue
        if below is not None and group[0].name == "root":
            below = _stack(found.chord, below, remarks)
        else:
            below = found.chord
    return Harmony(below, tuple(remarks))


def _groups(node: Node) -> list[list[Node]]:
    groups: list[list[Node]] = []
    for child in node.children:
        if child.name in _STARTS:
            groups.append([child])
        elif groups:
            groups[-1].append(child)
    return groups


def _read_group(group: list[Node], key: Signature | None, below: Chord | None) -> Harmony:
    parts = {child.name: child for child in reversed(group)}
    remarks: list[str] = []
    kind = _kind(parts.get("kind"), remarks)
    if kind == "none":
        return Harmony(None)
    root = _root(group[0], key, below)
    if root is None:
        return Harmony(None, (f"the root of {_shown(group)} cannot be read; it is read as N.C.",))
    degrees = [child for child in group if child.name == "degree"]
    changes = read_degrees(degrees, kind, remarks)
    bass = _bass(parts, Chord(root, kind, changes))
    if remarks:
        remarks = [f"{_shown(group)}: {remark}" for remark in remarks]
    return Harmony(Chord(root, kind, changes, bass), tuple(remarks))


def _shown(group: list[Node]) -> str:
    parts = {child.name: child for child in reversed(group)}
    kind = parts.get("kind")
    word = "" if kind is None else kind.attributes.get("text") or kind.text
    step = group[0].text_of("root-step") or group[0].text or group[0].text_of("numeral-root")
    return f"{step} {word}".strip() or "a harmony"


def _kind(node: Node | None, remarks: list[str]) -> str:
    text = "" if node is None else node.text
    kind = _KIND_NAMES.get(text.lower().replace(" ", "-"))
    if kind is None:
        remarks.append(f"the kind {text!r} is not one that MusicXML names; only its notes are kept")
        return "other"
    return kind


def _root(node: Node, key: Signature | None, below: Chord | None) -> PitchName | None:
    if node.name == "function":
        return function_root(node.text, key, None if below is None else below.root)
    if node.name == "numeral":
        return numeral_root(node, key)
    return _pitch(node, "root")


def _pitch(node: Node, name: str) -> PitchName | None:
    step = node.text_of(f"{name}-step").upper()
    alteration = node.number_of(f"{name}-alter")
    if len(step) != 1 or step not in LETTERS or alteration.denominator != 1:
        return None
    return PitchName(step, int(alteration)) if abs(alteration) <= 2 else None


def _bass(parts: dict[str, Node], chord: Chord) -> PitchName | None:
    """The written bass, or the tone that an `<inversion>` puts there."""
    bass: PitchName | None = None
    if "bass" in parts:
        bass = _pitch(parts["bass"], "bass")
        if bass is None:
            raise parts["bass"].fault("the bass of a harmony is not a note")
    elif "inversion" in parts:
        turn = int(parts["inversion"].number())
        bass = chord.spelled(chord.tones[turn]) if 0 < turn < len(chord.tones) else None
        if bass is not None and abs(bass.alteration) > 2:
            bass = plain_name(bass)
    return None if bass == chord.root else bass


def _stack(upper: Chord, lower: Chord, remarks: list[str]) -> Chord:
    """The lower chord with the upper one's notes as added degrees."""
    tones = set(lower.tones)
    taken = {tone.semitones % 12 for tone in tones} | {0}
    for pitch_class in upper.pitch_classes:
        above = (pitch_class - lower.root.pitch_class) % 12
        if above not in taken:
            tones.add(Tone(*_TENSIONS[above]))
    remarks.append(f"the chord on {upper.root} over the one on {lower.root} is kept as added notes")
    changes = changes_to(frozenset(KIND_TONES[lower.kind]), frozenset(tones))
    return Chord(lower.root, lower.kind, changes, lower.bass)
