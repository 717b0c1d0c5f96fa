"""The chords of each written bar, from `<harmony>` elements, with their beats.

`read_degrees` and `read_harmony` take XML and give a chord; `ChordReader` takes the measures of a
part in order and gives the `SheetChord`s of each bar. Onsets are in quarter notes from the bar
line.

Degrees (MusicXML 4.0, `degree-alter`): for `alter` and `subtract` the alteration is against the
degree that the kind has, for `add` against a dominant chord; `DegreeChange.alteration` is against
the major scale. Roots given as a function or a numeral are computed from the key in force. A chord
written over another becomes the lower chord with the notes of the upper one added.

What a chord cannot hold becomes a remark, and then a warning with its bar.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import field, replace
from typing import Final

from ..chord import Chord
from ..chord_parser import ChordError, parse_chord
from ..frozen import frozen, mutable
from ..pitch import ADDED_TONES, LETTERS, Interval, PitchName, Tone, plain_name
from ..quality import KIND_TONES, DegreeChange, changes_to
from ..score.form import MeasureSpan
from ..score.placement import BarPlace, ChordPlacer, Onset
from ..sheet import Frets, SheetChord
from ..transpose import transpose_chord
from .measure import Measure, Placed
from .numerals import Signature, function_root, numeral_root
from .xml import Node

_TYPES: Final = ("add", "alter", "subtract")
#: A tension and the chord tone an octave below it are used as one degree.
_TWINS: Final = {2: 9, 9: 2, 4: 11, 11: 4, 6: 13, 13: 6}
_FOLDED: Final = {8: 1, 10: 3, 12: 5, 14: 7}


@frozen
class _WrittenDegree:
    """One degree as it is written: `alteration` is against what its `type` refers to."""

    degree: int
    alteration: int
    type: str


def against_dominant(degree: int) -> int:
    """The alteration of a dominant chord's degree against the major scale."""
    return -1 if degree == 7 else 0


def read_degrees(
    nodes: Iterable[Node], kind: str, remarks: list[str], *, lenient: bool = False
) -> tuple[DegreeChange, ...]:
    """The changes that `nodes` make to `kind`, by degree; what cannot be named to `remarks`.

    `lenient`: an altered fifth that is added to a plain one takes its place.
    """
    own = frozenset(KIND_TONES[kind])
    wanted = set(own)
    for node in nodes:
        for value, alteration, type_ in _triples(node):
            degree = _WrittenDegree(_FOLDED.get(value, value), alteration, type_)
            _change(wanted, degree, own, remarks, lenient=lenient)
    if not wanted:
        remarks.append("it leaves out every degree; they are kept")
        return ()
    return changes_to(own, frozenset(wanted))


def _triples(node: Node) -> Iterator[tuple[int, int, str]]:
    """Value, alteration and type; files that put several degrees into one element are read too."""
    value = alteration = None
    for child in node.children:
        if child.name == "degree-value":
            value = _whole(child)
        elif child.name == "degree-alter":
            alteration = _whole(child) if child.text else 0
        elif child.name == "degree-type" and value is not None:
            yield value, alteration or 0, child.text
            value = alteration = None


def _whole(node: Node) -> int:
    found = node.number()
    if found.denominator != 1 or abs(found) > 14:
        raise node.fault(f"<{node.name}> should hold a small whole number")
    return int(found)


def _has_name(tone: Tone) -> bool:
    """Whether a symbol can name the tone: an unaltered root, others with at most two signs."""
    if tone.degree == 1:
        return tone.alteration == 0
    return -2 <= tone.alteration <= 2 + against_dominant(tone.degree)


def _change(
    wanted: set[Tone],
    written: _WrittenDegree,
    own: frozenset[Tone],
    remarks: list[str],
    *,
    lenient: bool = False,
) -> None:
    """Apply one degree to the `wanted` tones; `own` are the tones of the kind."""
    degree, alteration = written.degree, written.alteration
    if not 1 <= degree <= 13 or abs(alteration) > 2 or written.type not in _TYPES:
        remarks.append(f"the degree {degree} ({written.type or 'no type'}) cannot be read")
        return
    present = {tone.degree: tone for tone in own}
    if written.type == "subtract":
        gone = present.get(degree) or present.get(_TWINS.get(degree, 0))
        if gone is None:
            remarks.append(f"it leaves out a degree {degree} that it does not have")
        else:
            wanted.discard(gone)
        return
    altered = present.get(degree) if written.type == "alter" else None
    against = against_dominant(degree) if altered is None else altered.alteration
    tone = Tone(degree, against + alteration)
    if not _has_name(tone):
        remarks.append(f"its degree {degree} ({alteration:+}) has no name and is left as it was")
        return
    if lenient and written.type == "add" and degree == 5 and alteration:
        wanted.discard(Tone(5, 0))
    wanted.discard(altered or tone)
    wanted.add(tone)


#: Spellings of kinds in files, in small letters, and the kinds of the standard.
_KIND_NAMES: Final = {kind.lower(): kind for kind in KIND_TONES} | {
    "minor-major": "major-minor",
    "major-11": "major-11th",
    "half-diminished-seventh": "half-diminished",
    "dominant-seventh": "dominant",
    "augmented-dominant": "augmented-seventh",
    "": "major",
}
#: Kinds that programs write and the standard lacks, and what they mean (from memory).
_OTHER_KINDS: Final = {
    "suspended-fourth-seventh": "7sus4",
    "suspended-fourth-ninth": "9sus4",
    "dominant-suspended-fourth": "7sus4",
    "dominant-seventh-suspended-fourth": "7sus4",
    "suspended": "sus4",
    "sixth-ninth": "6/9",
    "major-sixth-ninth": "6/9",
    "minor-sixth-ninth": "m6/9",
    "minor-seventh-flat-five": "m7b5",
    "augmented-major-seventh": "maj7#5",
    "diminished-major-seventh": "dim(maj7)",
    "dominant-flat-ninth": "7b9",
    "dominant-sharp-ninth": "7#9",
    "altered": "7alt",
}
_STARTS: Final = ("root", "function", "numeral")


@frozen
class Harmony:
    """The chord of a `<harmony>`, None for silence, and `remarks` on what it lost.

    `text`: its symbol as a reader of the score sees it, "" where that is no symbol of this chord.
    """

    chord: Chord | None
    remarks: tuple[str, ...] = ()
    text: str = ""


def read_harmony(node: Node, key: Signature | None) -> Harmony:
    """The chord of a `<harmony>` under the key signature in force."""
    groups = _groups(node)
    if not groups:
        return Harmony(None, ("a harmony without a root is read as N.C.",))
    below: Chord | None = None
    remarks: list[str] = []
    text = ""
    for group in reversed(groups):
        found = _read_group(group, key, below)
        remarks += found.remarks
        if found.chord is None:
            continue
        text = found.text
        if below is not None and group[0].name == "root":
            below, text = _stack(found.chord, below, remarks), ""
        else:
            below = found.chord
    return Harmony(below, tuple(remarks), text)


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
    kind = parts.get("kind")
    if kind is not None and _kind_name(kind) == "none":
        return Harmony(None)
    root = _root(group[0], key, below)
    if root is None:
        return Harmony(None, (f"the root of {_shown(group)} cannot be read; it is read as N.C.",))
    symbol = None if kind is None else kind.attributes.get("text")
    seen = None if symbol is None else _parsed(f"{root}{symbol.strip()}")
    degrees = [child for child in group if child.name == "degree"]
    chord = _chord(root, kind, degrees, seen, remarks)
    bass = _bass(parts, chord)
    whole = replace(chord, bass=bass)
    text = f"{root}{(symbol or '').strip()}" + (f"/{bass}" if bass is not None else "")
    remarks = [f"{_shown(group)}: {remark}" for remark in remarks]
    return Harmony(whole, tuple(remarks), text if symbol and _parsed(text) == whole else "")


def _chord(
    root: PitchName,
    kind: Node | None,
    degrees: list[Node],
    seen: Chord | None,
    remarks: list[str],
) -> Chord:
    """The chord by its kind and degrees, or by its symbol where that says more.

    `seen` is the chord that the symbol names, None where it names none. Programs write kinds that
    say less than the symbol, or that the standard does not have; a musician reads the symbol.
    """
    own: list[str] = []
    strict = _by_kind(root, kind, degrees, own, lenient=False)
    if seen is not None and strict is not None and _same(strict, seen):
        return strict
    if seen is not None and kind is not None and not kind.attributes["text"].strip():
        seen = None  # an empty text hides what the kind says
    own.clear()
    literal = _by_kind(root, kind, degrees, own, lenient=True)
    if literal is None:
        name = "" if kind is None else kind.text
        if seen is not None:
            remarks.append(f"the kind {name!r} is not one that MusicXML names; read as {seen}")
            return seen
        remarks.append(f"the kind {name!r} is not one that MusicXML names; only its notes are kept")
        literal = Chord(root, "other", read_degrees(degrees, "other", remarks))
    remarks += own
    if seen is None or literal.tones == seen.tones:
        return seen or _plain(literal)
    more = set(literal.tones) < set(seen.tones)
    less = set(seen.tones) < set(literal.tones)
    if more or not (degrees or less):
        remarks.append(f"its kind says {literal} and its symbol {seen}; read as {seen}")
        return seen
    return literal


def _by_kind(
    root: PitchName, node: Node | None, degrees: list[Node], remarks: list[str], *, lenient: bool
) -> Chord | None:
    """The chord by its kind and degrees, None for a kind that nobody knows.

    `lenient`: an altered fifth that is added to a plain one takes its place, as in `m7b5` written
    as a minor seventh with an added flat fifth.
    """
    name = "major" if node is None else _kind_name(node)
    other = _OTHER_KINDS.get(name)
    if other is not None:
        base = _parsed(f"{root}{other}")
        return base if not degrees else None
    kind = _KIND_NAMES.get(name)
    if kind is None:
        return None
    return Chord(root, kind, read_degrees(degrees, kind, remarks, lenient=lenient))


def _same(chord: Chord, seen: Chord) -> bool:
    """Whether two chords have the same tones, or the same symbol where one has a 2 for a 9."""
    return chord.tones == seen.tones or str(chord) == str(seen)


def _plain(chord: Chord) -> Chord:
    """The chord by a kind without degrees, where one names its tones.

    A minor seventh with a flat fifth is half-diminished.
    """
    named = _parsed(str(chord))
    plain = named is not None and not named.changes and named.tones == chord.tones
    return named if named is not None and plain else chord


def _parsed(symbol: str) -> Chord | None:
    """The chord that a symbol names, None where it names none."""
    try:
        return parse_chord(symbol)
    except ChordError:
        return None


def _kind_name(node: Node) -> str:
    return node.text.lower().replace(" ", "-")


def _shown(group: list[Node]) -> str:
    parts = {child.name: child for child in reversed(group)}
    kind = parts.get("kind")
    word = "" if kind is None else kind.attributes.get("text") or kind.text
    step = group[0].text_of("root-step") or group[0].text or group[0].text_of("numeral-root")
    return f"{step} {word}".strip() or "a harmony"


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
    """The written bass, or the tone that an `<inversion>` makes the bass."""
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
            tones.add(ADDED_TONES[above])
    remarks.append(f"the chord on {upper.root} over the one on {lower.root} is kept as added notes")
    changes = changes_to(frozenset(KIND_TONES[lower.kind]), frozenset(tones))
    return Chord(lower.root, lower.kind, changes, lower.bass)


@mutable
class ChordReader:
    """Reads the bars in order; `warnings` collects what no sheet can hold, with its bar.

    `shift`: from written to sounding notes. `frames`: a chord frame without a pin was left out.
    """

    shift: Interval
    key: Signature | None = None
    warnings: list[str] = field(default_factory=list)
    frames: bool = False
    placer: ChordPlacer = field(init=False)

    def __post_init__(self) -> None:
        self.placer = ChordPlacer(self.warnings)

    def read(
        self, measure: Measure, span: MeasureSpan, number: int, last: bool
    ) -> list[SheetChord]:
        """The chords of one bar; `number` is its number, `last` that no bar follows."""
        self.key = measure.key or self.key
        found = [self._onset(placed, number) for placed in measure.harmonies]
        taken = {each.onset for each in found}
        found += [
            Onset(mark.onset, None, mark.position)
            for mark in measure.marks
            if mark.kind == "silence" and mark.onset not in taken
        ]
        lines, position = measure.barlines, measure.position
        bar = BarPlace(span, number, last, lines, position, measure.fermatas)
        return self.placer.place(found, bar)

    def has_events(self, measure: Measure) -> bool:
        """Whether a chord or silence begins in the bar."""
        silent = any(mark.kind == "silence" for mark in measure.marks)
        return bool(measure.harmonies or self.placer.waiting or silent)

    def _onset(self, placed: Placed, number: int) -> Onset:
        harmony = read_harmony(placed.node, self.key)
        self.warnings += [f"bar {number}: {remark}" for remark in harmony.remarks]
        chord, text = harmony.chord, harmony.text
        if chord is not None and self.shift != Interval(0, 0):
            chord, text = transpose_chord(chord, self.shift), ""
        frame = placed.node.find("frame")
        pin = None if frame is None else _pin(frame)
        self.frames = self.frames or (frame is not None and pin is None)
        return Onset(placed.onset, chord, placed.node.position, text, placed.push, pin)


def _pin(frame: Node) -> Frets | None:
    """The frets of a frame that a player has fixed (its id begins with `pin`), string 6 first."""
    if not frame.attributes.get("id", "").startswith("pin"):
        return None
    strings = int(frame.number_of("frame-strings", 6))
    if not 1 <= strings <= 12:
        raise frame.fault("a frame has 1 to 12 strings")
    frets = {int(n.number_of("string")): _fret(n) for n in frame.all("frame-note")}
    return tuple(frets.get(string) for string in range(strings, 0, -1))


def _fret(note: Node) -> int:
    fret = note.number_of("fret")
    if fret < 0 or fret.denominator != 1:
        raise note.fault("a fret is a whole number from 0 on")
    return int(fret)
