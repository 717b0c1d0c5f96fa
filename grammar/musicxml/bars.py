"""From the measures of a part to the bars of a sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from ..key import Key
from ..pitch import Interval
from ..sheet import Bar, SheetChord
from ..transpose import interval_for
from .chords import ChordReader
from .form import read_form
from .measure import Measure
from .score import Part
from .signs import Edges, Signs
from .spans import Span, read_spans


@dataclass(frozen=True, slots=True)
class Read:
    """The bars of a part, where each stands in its measures, and what was lost."""

    bars: tuple[Bar, ...]
    spans: tuple[Span, ...]
    warnings: tuple[str, ...]


def read_bars(part: Part) -> Read:
    """The written bars of a part."""
    measures = part.measures
    spans = read_spans(measures)
    pickup = spans[0].pickup
    numbers = [index + (0 if pickup else 1) for index in range(len(spans))]
    signs, form_warnings = read_form([_edges(measures, span) for span in spans], numbers)
    filler = _Filler(measures, ChordReader(part_shift(part)))
    bars = tuple(
        filler.bar(span, number, sign, number == numbers[-1])
        for span, number, sign in zip(spans, numbers, signs, strict=True)
    )
    warnings = [*_odd(spans, numbers), *form_warnings, *filler.chords.warnings]
    if filler.chords.frames:
        warnings.append("chord frames are left out: the grips are planned anew")
    return Read(bars, spans, tuple(warnings))


def part_shift(part: Part) -> Interval:
    """From what is written to what sounds, octaves left out.

    Where the sounding key would need more than seven accidentals, all takes its other name.
    """
    said = (measure.transposition for measure in part.measures)
    shift = next((each for each in said if each is not None), Interval(0, 0))
    signature = part.measures[0].key
    if signature is None:
        return shift
    home = signature.key
    plain = abs(Key(home.tonic.up(shift), home.mode).fifths) <= 7
    return shift if plain else interval_for(home, shift.semitones)


def _edges(measures: Sequence[Measure], span: Span) -> Edges:
    first = measures[span.measure]
    last = measures[span.measure + max(span.rest_bars, 1) - 1]
    lines = first.barlines
    if last is not first:
        end = last.barlines
        lines = replace(lines, times=end.times, ending_stops=end.ending_stops, double=end.double)
    return Edges(span, lines, first.marks)


def _odd(spans: Sequence[Span], numbers: Sequence[int]) -> list[str]:
    return [
        f"bar {number}: its length does not fit the time signature; it is read as {span.meter}"
        for span, number in zip(spans, numbers, strict=True)
        if span.odd
    ]


@dataclass(slots=True)
class _Filler:
    """Fills bars with chords, in order."""

    measures: Sequence[Measure]
    chords: ChordReader
    repeat_of: int = 0
    bars: list[Bar] = field(default_factory=list)

    def bar(self, span: Span, number: int, signs: Signs, last: bool) -> Bar:
        measure = self.measures[span.measure]
        if measure.repeat_of is not None:
            self.repeat_of = measure.repeat_of
        chords: Sequence[SheetChord] = ()
        simile = 0 if self.chords.has_events(measure) else self._simile(span)
        if not span.rest_bars and not simile:
            chords = self.chords.read(measure, span, number, last)
        bar = Bar(
            number, span.meter, tuple(chords), measure.place, simile=simile,
            rest_bars=span.rest_bars, pickup=span.pickup,
            **{name: getattr(signs, name) for name in Signs.__slots__},
        )  # fmt: skip
        self.bars.append(bar)
        return bar

    def _simile(self, span: Span) -> int:
        """1 or 2 where the bar repeats the one or two before it, 0 where it does not."""
        count = self.repeat_of
        if count not in (1, 2) or len(self.bars) < count:
            return 0
        before = self.bars[-count]
        fits = before.meter == span.meter and not before.pickup and not before.rest_bars
        return count if fits else 0
