"""The chords of each written bar: where they start, how long they last, what continues.

A bar that begins without a harmony goes on with the chord before it, written out again, as a
chart must show it. What comes before the first harmony is N.C. After a bracketed ending the next
one goes on from the bar before the first of them, not from the end of the other ending.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from ..chord import NO_CHORD, Chord
from ..pitch import Interval
from ..sheet import Frets, Place, SheetChord
from ..transpose import transpose_chord
from .harmony import read_harmony
from .measure import Measure, Placed
from .node import Node
from .numerals import Signature
from .spans import Span


@dataclass(frozen=True, slots=True)
class _Event:
    """From `position` (quarters) on this chord sounds, None for silence."""

    position: Fraction
    chord: Chord | None
    place: Place
    push: bool = False
    pin: Frets | None = None


@dataclass(slots=True)
class ChordReader:
    """Reads the bars in order; `warnings` gathers what could not be said, with its bar."""

    shift: Interval
    key: Signature | None = None
    warnings: list[str] = field(default_factory=list)
    frames: bool = False
    _now: Chord | None = None
    _before_endings: Chord | None = None
    _spilled: list[_Event] = field(default_factory=list)

    def read(self, measure: Measure, span: Span, number: int, last: bool) -> list[SheetChord]:
        """The chords of one bar; `number` is its number, `last` that no bar follows."""
        self.key = measure.key or self.key
        self._continue_over_endings(measure)
        events = self._events(measure, span, number, last)
        if not events or events[0].position > 0:
            place = measure.place
            events.insert(0, _Event(Fraction(0), self._now, place))
        self._now = events[-1].chord
        events = [e for e, before in zip(events, [None, *events], strict=False) if _new(e, before)]
        return _sheet_chords(events, span, measure)

    def has_events(self, measure: Measure) -> bool:
        """Whether the bar says anything of its own."""
        silent = any(mark.kind == "silence" for mark in measure.marks)
        return bool(measure.harmonies or self._spilled or silent)

    def _continue_over_endings(self, measure: Measure) -> None:
        numbers = measure.barlines.endings
        if numbers and min(numbers) <= 1:
            self._before_endings = self._now
        elif numbers:
            self._now = self._before_endings

    def _events(self, measure: Measure, span: Span, number: int, last: bool) -> list[_Event]:
        found = [*self._spilled, *(self._event(placed, number) for placed in measure.harmonies)]
        self._spilled = []
        said = {event.position for event in found}
        found += [
            _Event(mark.position, None, mark.place)
            for mark in measure.marks
            if mark.kind == "silence" and mark.position not in said
        ]
        inside = [event for event in found if event.position < span.length]
        for event in (event for event in found if event.position >= span.length):
            self._spill(event, inside, span, number, last)
        return self._one_a_place(sorted(inside, key=lambda event: event.position), number)

    def _event(self, placed: Placed, number: int) -> _Event:
        harmony = read_harmony(placed.node, self.key)
        self.warnings += [f"bar {number}: {remark}" for remark in harmony.remarks]
        chord = harmony.chord
        if chord is not None:
            chord = transpose_chord(chord, self.shift)
        frame = placed.node.find("frame")
        pin = None if frame is None else _pin(frame)
        self.frames = self.frames or (frame is not None and pin is None)
        return _Event(placed.position, chord, placed.node.place, placed.push, pin)

    def _spill(
        self, event: _Event, inside: list[_Event], span: Span, number: int, last: bool
    ) -> None:
        """A harmony that stands past the end of its bar."""
        if not last:
            position = event.position - span.length
            self._spilled.append(replace(event, position=position))
            return
        before = max((other.position for other in inside), default=Fraction(0))
        inside.append(replace(event, position=(before + span.length) / 2))
        self.warnings.append(f"bar {number}: a harmony past the end of the bar is moved into it")

    def _one_a_place(self, events: list[_Event], number: int) -> list[_Event]:
        kept: list[_Event] = []
        for event in events:
            if kept and kept[-1].position == event.position:
                dropped = kept.pop().chord
                if dropped != event.chord:
                    self.warnings.append(
                        f"bar {number}: {_text(dropped)} and {_text(event.chord)} stand in one"
                        f" place; {_text(event.chord)} is kept"
                    )
            kept.append(event)
        return kept


def _new(event: _Event, before: _Event | None) -> bool:
    """Whether an event says more than that silence goes on."""
    return before is None or event.chord is not None or before.chord is not None


def _text(chord: Chord | None) -> str:
    return NO_CHORD if chord is None else str(chord)


def _sheet_chords(events: Sequence[_Event], span: Span, measure: Measure) -> list[SheetChord]:
    ends = [event.position for event in events[1:]] + [span.length]
    unit = Fraction(span.meter.unit, 4)
    return [
        SheetChord(
            chord=event.chord,
            text=_text(event.chord),
            place=event.place,
            start=event.position * unit,
            beats=(end - event.position) * unit,
            pin=event.pin,
            push=event.push,
            hold=any(event.position <= at < end for at in measure.fermatas),
        )
        for event, end in zip(events, ends, strict=True)
    ]


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
