"""Chord symbols at their onsets, shared out over the written bars of a score.

`ChordPlacer` takes the chords of each measure in order as `Onset`s and gives the `SheetChord`s of
each bar. Onsets are in quarter notes from the bar line, beats in those of the bar's meter.

A bar that begins without a symbol begins with the chord before it, which a chart must show. What
comes before the first symbol is N.C. The chord before a second or later ending is that of the bar
before the endings. What no sheet can hold becomes a warning with its bar.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import field, replace
from fractions import Fraction

from ..chord import NO_CHORD, Chord
from ..errors import SourcePosition
from ..frozen import frozen, mutable
from ..sheet import Frets, SheetChord
from .form import MeasureSpan
from .measure import Barlines, on_grid


@frozen
class Onset:
    """A chord that sounds from `onset` on, None for silence; `text` is its symbol as written."""

    onset: Fraction
    chord: Chord | None
    position: SourcePosition
    text: str = ""
    push: bool = False
    pin: Frets | None = None

    @property
    def symbol(self) -> str:
        """Its symbol as written, or its canonical text."""
        return self.text or (NO_CHORD if self.chord is None else str(self.chord))


@frozen
class BarPlace:
    """The bar that chords are placed in: its span, its number, its bar lines and its position.

    `last`: no bar follows. `fermatas`: the onsets of fermatas in it.
    """

    span: MeasureSpan
    number: int
    last: bool
    barlines: Barlines
    position: SourcePosition
    fermatas: tuple[Fraction, ...] = ()


@mutable
class ChordPlacer:
    """Places the chords of bars in order; `warnings` collects what no sheet can hold."""

    warnings: list[str] = field(default_factory=list)
    _now: Chord | None = None
    _text: str = ""
    _before_endings: tuple[Chord | None, str] = (None, "")
    _spilled: list[Onset] = field(default_factory=list)

    @property
    def waiting(self) -> bool:
        """Whether chords past the end of the bar before wait for this one."""
        return bool(self._spilled)

    def place(self, onsets: Iterable[Onset], bar: BarPlace) -> list[SheetChord]:
        """The chords of the next bar."""
        self._continue_over_endings(bar.barlines)
        events = self._inside(onsets, bar)
        if not events or events[0].onset > 0:
            events.insert(0, Onset(Fraction(0), self._now, bar.position, self._text))
        self._now, self._text = events[-1].chord, events[-1].text
        pairs = zip(events, [None, *events], strict=False)
        return _sheet_chords([each for each, before in pairs if _is_new(each, before)], bar)

    def _continue_over_endings(self, barlines: Barlines) -> None:
        numbers = barlines.endings
        if numbers and min(numbers) <= 1:
            self._before_endings = self._now, self._text
        elif numbers:
            self._now, self._text = self._before_endings

    def _inside(self, onsets: Iterable[Onset], bar: BarPlace) -> list[Onset]:
        """The chords that begin inside the bar, one for each onset, in order."""
        length = bar.span.length
        events = [*self._spilled, *onsets]
        self._spilled = []
        inside = [event for event in events if event.onset < length]
        for event in (event for event in events if event.onset >= length):
            self._spill(event, inside, bar)
        placed = [self._on_grid(event, bar.number) for event in inside]
        return self._one_per_onset(sorted(placed, key=lambda event: event.onset), bar.number)

    def _on_grid(self, event: Onset, number: int) -> Onset:
        """The chord where a sheet can state its onset, with a warning if that is elsewhere."""
        onset = on_grid(event.onset)
        if onset != event.onset:
            self.warnings.append(f"bar {number}: {event.symbol} is moved to the 64th before it")
        return replace(event, onset=onset)

    def _spill(self, event: Onset, inside: list[Onset], bar: BarPlace) -> None:
        """Move a chord past the end of its bar to the next bar; of the last bar, into the bar."""
        if not bar.last:
            self._spilled.append(replace(event, onset=event.onset - bar.span.length))
            return
        before = max((other.onset for other in inside), default=Fraction(0))
        inside.append(replace(event, onset=(before + bar.span.length) / 2))
        self.warnings.append(
            f"bar {bar.number}: a harmony past the end of the bar is moved into it"
        )

    def _one_per_onset(self, events: list[Onset], number: int) -> list[Onset]:
        kept: list[Onset] = []
        for event in events:
            if kept and kept[-1].onset == event.onset:
                dropped = kept.pop()
                if dropped.chord != event.chord:
                    self.warnings.append(
                        f"bar {number}: {dropped.symbol} and {event.symbol} stand in one"
                        f" place; {event.symbol} is kept"
                    )
            kept.append(event)
        return kept


def _is_new(event: Onset, before: Onset | None) -> bool:
    """Whether an event begins a chord or a silence, and does not only continue silence."""
    return before is None or event.chord is not None or before.chord is not None


def _sheet_chords(events: Sequence[Onset], bar: BarPlace) -> list[SheetChord]:
    ends = [event.onset for event in events[1:]] + [bar.span.length]
    unit = Fraction(bar.span.meter.unit, 4)
    return [
        SheetChord(
            chord=event.chord,
            text=event.symbol,
            position=event.position,
            start=event.onset * unit,
            beats=(end - event.onset) * unit,
            pin=event.pin,
            push=event.push,
            hold=any(event.onset <= at < end for at in bar.fermatas),
        )
        for event, end in zip(events, ends, strict=True)
    ]
