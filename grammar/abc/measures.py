"""The measures of the voices of an ABC tune, with their chords at exact onsets.

`TuneReader` takes the fields and the lines of music of a tune body in order; gives a `Measure` for
each measure of each voice. Notes count only as time that passes: lengths (ABC 2.1, 4.3), broken
rhythm (4.4), rests (4.5), tuplets (4.13) and stacks (4.17) are counted, grace notes are not. A
chord symbol (4.18) sounds from the note that follows it; in a measure without notes the symbols
share the measure evenly. Lengths and onsets are in quarter notes.
"""

from __future__ import annotations

import re
from dataclasses import field, replace
from fractions import Fraction
from typing import Final

from ..chord import Chord
from ..chord_parser import ChordError, parse_chord
from ..errors import Problem, SourcePosition
from ..frozen import frozen, mutable
from ..limits import MAX_ABC_QUARTERS, MAX_BARS, MAX_MISTAKES, MAX_REST_BARS
from ..mistakes import mistake
from ..score.measure import Barlines, Mark, MarkKind, Time, marks_of_words
from ..score.placement import Onset
from .fields import StatedKey, read_key, read_meter, read_unit
from .tokens import Item, music_items, passes_of, read_bar_line


@frozen
class Measure:
    """One measure of a voice: what stands in it, as `score.measure.WrittenMeasure` has it."""

    position: SourcePosition
    length: Fraction
    sounding: bool
    time: Time | None
    key: StatedKey | None
    chords: tuple[Onset, ...]
    marks: tuple[Mark, ...]
    fermatas: tuple[Fraction, ...]
    barlines: Barlines
    rest_bars: int = 0

    @property
    def implicit(self) -> bool:
        """Whether the tune marks it as no whole measure; ABC has no sign for that."""
        return False

    @property
    def states_key(self) -> bool:
        """Whether a key is stated in it."""
        return self.key is not None

    @property
    def has_chords(self) -> bool:
        """Whether a chord symbol stands in it."""
        return bool(self.chords)


@mutable
class _Waiting:
    """A symbol or mark in a measure: it stands before the note of index `note` of its layer."""

    layer: int
    note: int
    position: SourcePosition
    chord: Chord | None = None
    text: str = ""
    mark: MarkKind | None = None
    value: str = ""


@mutable
class _Draft:
    """A measure while it is read: the lengths of the notes of each layer, what waits on them."""

    position: SourcePosition
    layers: list[list[Fraction]] = field(default_factory=lambda: [[]])
    waiting: list[_Waiting] = field(default_factory=list)
    fermatas: list[tuple[int, int]] = field(default_factory=list)
    sounding: bool = False
    time: Time | None = None
    key: StatedKey | None = None
    opens: bool = False
    endings: tuple[int, ...] = ()
    rest_bars: int = 0

    @property
    def is_empty(self) -> bool:
        """Whether neither time passes in it nor a chord stands in it."""
        chords = any(each.mark is None for each in self.waiting)
        return not (any(self.layers) or chords or self.rest_bars)

    def onset(self, layer: int, note: int) -> Fraction:
        """Where the note of an index begins, or the end of its layer."""
        return sum(self.layers[layer][:note], Fraction(0))


@mutable
class _Rhythm:
    """Broken rhythm and tuplets in force: factors for the notes that follow."""

    broken: Fraction = Fraction(1)
    tuplet: Fraction = Fraction(1)
    tuplet_notes: int = 0

    def length(self, length: Fraction) -> Fraction:
        """The length of the next note."""
        length, self.broken = length * self.broken, Fraction(1)
        if self.tuplet_notes:
            self.tuplet_notes -= 1
            length *= self.tuplet
        return length


@mutable
class Voice:
    """The measures of one voice so far, and the state of its reader."""

    name: str
    meter: Time | None
    unit: Fraction
    measures: list[Measure] = field(default_factory=list)
    draft: _Draft | None = None
    rhythm: _Rhythm = field(default_factory=_Rhythm)
    in_ending: bool = False

    @property
    def chords(self) -> int:
        """The number of chord symbols."""
        return sum(len(measure.chords) for measure in self.measures)


#: The decorations of form (4.14) and the marks that they are.
_DECORATIONS: Final[dict[str, tuple[MarkKind, str]]] = {
    "segno": ("segno", ""), "coda": ("sign", ""), "dacoda": ("to_coda", ""),
    "fine": ("fine", ""), "dacapo": ("dacapo", ""),
}  # fmt: skip
#: What letters stand for where the tune does not say otherwise (4.14).
_SHORTHANDS: Final = {"H": "fermata", "S": "segno", "O": "coda"}
_SILENCE: Final = re.compile(r"n\.?\s?c\.?|no chord|tacet", re.IGNORECASE)
_ANNOTATION: Final = "^_<>@"
#: Marks that stand at the end of the bar before them, when no music follows.
_CLOSING: Final = ("dacapo", "dalsegno", "fine", "to_coda")


@mutable
class TuneReader:
    """Reads the body of a tune line by line; private to the reader of tunes.

    `warnings` collects what no sheet can hold, `problems` the mistakes. `left_out` counts
    annotations.
    """

    meter: Time | None
    unit: Fraction
    problems: list[Problem] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    voices: dict[str, Voice] = field(default_factory=dict)
    shorthands: dict[str, str] = field(default_factory=lambda: dict(_SHORTHANDS))
    left_out: int = 0
    _voice: Voice = field(init=False)
    _line: int = 0

    def __post_init__(self) -> None:
        self._voice = self._voice_named("")

    def add_field(self, name: str, value: str, position: SourcePosition) -> None:
        """A field in the tune body, on a line of its own or inline (3.2)."""
        voice = self._voice
        if name == "V":
            self._voice = self._voice_named((value.split() or [""])[0])
        elif name == "K":
            key = read_key(value)
            if key is None:
                self.problems.append(mistake("abc-key", position, value.strip()))
            else:
                self._draft(position).key = key
        elif name == "M":
            time = read_meter(value)
            if time is None:
                self.problems.append(mistake("abc-meter", position, value.strip()))
            else:
                self._draft(position).time = voice.meter = time
        elif name == "L":
            voice.unit = read_unit(value) or voice.unit
        elif name == "P" and value.strip():
            self._mark("rehearsal", position, value.strip()[:12])
        elif name == "U":
            self.add_shorthand(value)

    def add_shorthand(self, value: str) -> None:
        """A letter that stands for a decoration (`U:`, 4.16)."""
        letter, _, name = value.partition("=")
        if len(letter.strip()) == 1:
            self.shorthands[letter.strip()] = name.strip().strip("!+")

    def add_line(self, text: str, line: int) -> None:
        """A line of music."""
        self._line = line
        for item in music_items(text):
            if len(self.problems) <= MAX_MISTAKES and self._room_left():
                self._add(item)

    def finish(self) -> None:
        """The end of the tune closes the last measure of every voice."""
        for voice in self.voices.values():
            self._voice = voice
            if voice.draft is not None:
                self._close("|]", voice.draft.position)

    def _room_left(self) -> bool:
        if len(self._voice.measures) <= MAX_BARS:
            return True
        if not any(problem.label == "too-many-bars" for problem in self.problems):
            position = SourcePosition(self._line, 1)
            self.problems.append(mistake("too-many-bars", position, most=MAX_BARS))
        return False

    def _voice_named(self, name: str) -> Voice:
        known = self.voices.get(name)
        if known is not None:
            return known
        only = self.voices.get("")
        if only is not None and not only.measures and only.draft is None:
            del self.voices[""]
        voice = Voice(name, self.meter, self.unit)
        self.voices[name] = voice
        return voice

    def _draft(self, position: SourcePosition) -> _Draft:
        voice = self._voice
        if voice.draft is None:
            voice.draft = _Draft(position)
        return voice.draft

    def _add(self, item: Item) -> None:
        position = SourcePosition(self._line, item.column)
        if item.kind in ("note", "rest", "stack"):
            self._add_note(item, position)
        elif item.kind == "symbol":
            self._add_symbol(item.text[1:-1].strip(), SourcePosition(self._line, item.column + 1))
        elif item.kind == "bar_line":
            self._close(item.text, position)
            if item.numbers:
                self._begin_ending(item.numbers, position)
        elif item.kind == "ending":
            self._begin_ending(item.numbers, position)
        elif item.kind == "bar_rest":
            self._rest(item, position)
        elif item.kind == "tuplet":
            self._tuplet(item.text)
        elif item.kind == "broken":
            self._break(item.text)
        elif item.kind == "overlay":
            self._draft(position).layers.append([])
        elif item.kind == "field":
            self.add_field(item.text[1], item.text[3:-1], position)
        elif item.kind in ("decoration", "shorthand"):
            self._decorate(item, position)
        else:
            self.problems.append(mistake("abc-unknown", position, item.text))

    def _add_note(self, item: Item, position: SourcePosition) -> None:
        draft = self._draft(position)
        length = self._voice.rhythm.length(item.length * self._voice.unit)
        draft.layers[-1].append(length)
        draft.sounding = draft.sounding or item.kind != "rest"
        if sum(draft.layers[-1]) > MAX_ABC_QUARTERS:
            self.problems.append(mistake("abc-long-bar", position, item.text))
            draft.layers[-1].clear()

    def _add_symbol(self, text: str, position: SourcePosition) -> None:
        """A chord symbol (4.18); annotations (4.19) only where they are signs of the form."""
        placed = text[:1] in _ANNOTATION
        content = text[1:].strip() if placed else text
        marks = [(kind, value) for kind, value in marks_of_words(content) if kind != "text"]
        if _SILENCE.fullmatch(content):
            self._wait(_Waiting(*self._next(position), position, None, content))
        elif marks:
            for kind, value in marks:
                self._mark(kind, position, value)
        elif placed or content[:1] not in tuple("ABCDEFGHabcdefgh"):
            self.left_out += bool(content)
        else:
            self._add_chord(content, position)

    def _add_chord(self, text: str, position: SourcePosition) -> None:
        try:
            chord = parse_chord(text)
        except ChordError as error:
            self.problems.append(error.problem(position))
        else:
            self._wait(_Waiting(*self._next(position), position, chord, text))

    def _next(self, position: SourcePosition) -> tuple[int, int]:
        layers = self._draft(position).layers
        return len(layers) - 1, len(layers[-1])

    def _wait(self, waiting: _Waiting) -> None:
        self._draft(waiting.position).waiting.append(waiting)

    def _mark(self, kind: MarkKind, position: SourcePosition, value: str = "") -> None:
        layer, note = self._next(position)
        self._wait(_Waiting(layer, note, position, mark=kind, value=value))

    def _decorate(self, item: Item, position: SourcePosition) -> None:
        name = self.shorthands.get(item.text, "") if len(item.text) == 1 else item.text[1:-1]
        known = _DECORATIONS.get(name.lower())
        if name.lower() == "fermata":
            self._draft(position).fermatas.append(self._next(position))
        elif known is not None:
            self._mark(known[0], position, known[1])
        else:
            for kind, value in marks_of_words(_spaced(name)):
                if kind in ("dacapo", "dalsegno"):
                    self._mark(kind, position, value)

    def _begin_ending(self, numbers: str, position: SourcePosition) -> None:
        draft = self._draft(position)
        draft.endings = passes_of(numbers)
        self._voice.in_ending = True

    def _rest(self, item: Item, position: SourcePosition) -> None:
        """A rest of whole measures (4.5): the measures after the first are empty."""
        count = int(item.length)
        if not 1 <= count <= MAX_REST_BARS or item.length.denominator != 1:
            self.problems.append(mistake("bad-rest", position, item.text, most=MAX_REST_BARS))
            return
        self._draft(position).rest_bars = count

    def _tuplet(self, text: str) -> None:
        """`(p:q:r`: p notes in the time of q for the next r (4.13)."""
        given = [int(part) if part else 0 for part in text[1:].split(":")]
        notes, time, count = [*given, 0, 0][:3]
        meter = None if self._voice.meter is None else self._voice.meter.meter
        usual = {2: 3, 3: 2, 4: 3, 6: 2, 8: 3}.get(notes)
        time = time or usual or (3 if meter is not None and meter.compound else 2)
        if notes:
            rhythm = self._voice.rhythm
            rhythm.tuplet, rhythm.tuplet_notes = Fraction(time, notes), count or notes

    def _break(self, text: str) -> None:
        """`>` lengthens the note before it and shortens the next, `<` the other way (4.4)."""
        draft = self._voice.draft
        if draft is None or not draft.layers[-1]:
            return
        short = Fraction(1, 2 ** len(text))
        long = 2 - short
        before, after = (long, short) if text[0] == ">" else (short, long)
        draft.layers[-1][-1] *= before
        self._voice.rhythm.broken = after

    def _close(self, text: str, position: SourcePosition) -> None:
        """A bar line: the end of the measure before it and the start of the next."""
        voice = self._voice
        closes, opens, double = read_bar_line(text)
        draft, voice.draft = voice.draft, None
        ends = bool(closes or opens or double)
        if draft is not None and not draft.is_empty:
            voice.measures += self._closed(draft, closes, ends, double)
        elif voice.measures:
            self._extend_last(draft, closes, ends, double)
        if ends:
            voice.in_ending = False
        if draft is not None and draft.is_empty:
            self._carry(draft, position)
        if opens:
            self._draft(position).opens = True

    def _closed(self, draft: _Draft, closes: int, ends: bool, double: bool) -> list[Measure]:
        voice = self._voice
        length = max(sum(layer, Fraction(0)) for layer in draft.layers)
        barlines = Barlines(
            opens=draft.opens,
            times=closes,
            endings=draft.endings,
            ending_stops=voice.in_ending and ends,
            double=double,
        )
        voice.rhythm = _Rhythm()
        first = Measure(
            draft.position, length, draft.sounding, draft.time, draft.key,
            self._onsets(draft, length), _marks(draft),
            tuple(draft.onset(*at) for at in draft.fermatas), barlines, draft.rest_bars,
        )  # fmt: skip
        rest = Measure(
            draft.position, Fraction(0), False, None, None, (), (), (), Barlines()
        )  # fmt: skip
        if draft.rest_bars < 2:
            return [first]
        last = Barlines(times=closes, ending_stops=barlines.ending_stops, double=double)
        return [
            replace(first, barlines=Barlines(opens=draft.opens, endings=draft.endings)),
            *[rest] * (draft.rest_bars - 2),
            replace(rest, barlines=last),
        ]

    def _onsets(self, draft: _Draft, length: Fraction) -> tuple[Onset, ...]:
        chords = [each for each in draft.waiting if each.mark is None]
        if length:
            onsets = [draft.onset(each.layer, each.note) for each in chords]
        else:
            whole = _bar_quarters(self._voice.meter)
            onsets = [whole * at / len(chords) for at in range(len(chords))]
        return tuple(
            Onset(onset, each.chord, each.position, each.text)
            for onset, each in zip(onsets, chords, strict=True)
        )

    def _extend_last(self, draft: _Draft | None, closes: int, ends: bool, double: bool) -> None:
        """A bar line right after another one belongs to the same end of the measure before it."""
        voice = self._voice
        last = voice.measures[-1]
        lines = replace(
            last.barlines,
            times=last.barlines.times or closes,
            ending_stops=last.barlines.ending_stops or (voice.in_ending and ends),
            double=last.barlines.double or double,
        )
        closing = () if draft is None else tuple(m for m in _marks(draft) if m.kind in _CLOSING)
        at_end = tuple(Mark(m.kind, last.length, m.position, m.value) for m in closing)
        voice.measures[-1] = replace(last, barlines=lines, marks=(*last.marks, *at_end))

    def _carry(self, draft: _Draft, position: SourcePosition) -> None:
        """What stood between two bar lines, without music, belongs to the next measure."""
        following = self._draft(position)
        following.time, following.key = draft.time, draft.key
        following.opens, following.endings = draft.opens, draft.endings
        first = not self._voice.measures
        kept = (w for w in draft.waiting if first or w.mark not in _CLOSING)
        following.waiting = [replace(waiting, layer=0, note=0) for waiting in kept]
        if draft.endings:
            self._voice.in_ending = True


def _marks(draft: _Draft) -> tuple[Mark, ...]:
    return tuple(
        Mark(each.mark, draft.onset(each.layer, each.note), each.position, each.value)
        for each in draft.waiting
        if each.mark is not None
    )


def _spaced(name: str) -> str:
    """The words of a decoration such as `D.C.alfine`."""
    return re.sub(r"(?i)(?<=[.\s])(al)(?=fine|coda)", r" \1 ", name)


def _bar_quarters(time: Time | None) -> Fraction:
    return Fraction(4) if time is None or time.meter is None else time.meter.quarters
