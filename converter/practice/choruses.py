"""The choruses of a tune or of an excerpt: bars, tempo, swing, count-in.

`excerpt` takes a `Timeline` and a `GripPlan` and gives the `PlayedBar`s of the form with one
chorus, or of the part from one bar number to another, in quarter notes from its start.
`chorus_bars` gives the bars of each of several choruses: the opening before the first and the
ending after the last are played once, and the last chorus leaves out the optional chords at its
end, where the chord before them goes on. `choruses` takes these bars and `Settings` and gives every
`Chorus` in order, in quarter notes from the start of the performance. When the tune begins with a
pickup and no count-in separates two choruses, the pickup of the second replaces the end of the last
bar of the first (common practice, no source).

A swing ratio is the length of the long eighth divided by that of the short eighth: 1 is even, 2 the
triplet feel. The ratio by tempo follows Friberg & Sundström, "Swing ratios and ensemble timing in
jazz performance: evidence for a common rhythmic pattern", *Music Perception* 19(3), 2002: about
3.5:1 when slow, even when very fast, the short eighth about 100 ms at medium and fast tempos. The
model here keeps the short eighth at 100 ms and the ratio between those bounds: 2:1 at 200 quarters
a minute, 1:1 from 300 on.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import islice
from typing import Final

from ...grammar.errors import MidneckError
from ...grammar.frozen import frozen
from ...grammar.key import Key
from ...grammar.limits import MAX_PERFORMED_PULSES
from ...grammar.sheet import USUAL_TEMPO, Bar, Meter, Sheet
from ..hand.grip import Grip
from ..hand.plan import GripPlan
from ..timeline import TimedBar, Timeline
from .performance import LONGEST_MINUTES, Settings, SettingsError
from .rhythm import ChordSpan, Pattern, find_pattern, pulse_quarters, usual_pattern

SHORT_EIGHTH_MS: Final = 100
SLOWEST_RATIO: Final = Fraction(7, 2)
EVEN: Final = Fraction(1)
_NUMBER: Final = r"[0-9]{1,4}(?:\.[0-9]{1,4})?"

#: Words of a feel whose eighths are even (common practice, no source).
EVEN_FEELS: Final = ("bossa", "latin", "samba", "straight", "even", "rock", "funk")


class SwingError(MidneckError, ValueError):
    """A text is not a swing ratio; the message lists the texts that are."""


def swing_by_tempo(quarters_a_minute: Fraction) -> Fraction:
    """The swing ratio at a tempo, 1 to 3.5. Friberg & Sundström 2002."""
    quarter_ms = 60_000 / quarters_a_minute
    ratio = (quarter_ms - SHORT_EIGHTH_MS) / SHORT_EIGHTH_MS
    return min(SLOWEST_RATIO, max(EVEN, ratio))


def read_swing(text: str) -> Fraction | None:
    """The ratio of a text such as `2:1`, `1.5`, `even` or `triplet`; None for `auto` (by tempo).

    Raises SwingError for any other text, and for a ratio outside 1 to 4.
    """
    named = {"auto": None, "even": EVEN, "straight": EVEN, "triplet": Fraction(2)}
    if text.lower() in named:
        return named[text.lower()]
    # Plain decimals only: an exponent could make a number of any size.
    match = re.fullmatch(rf"({_NUMBER})(?::({_NUMBER}))?", text.strip())
    long, short = (Fraction(0), Fraction(1)) if match is None else map(Fraction, match.groups("1"))
    ratio = long / short if short else Fraction(0)
    if not 1 <= ratio <= 4:
        raise SwingError(
            f"{text!r} is no swing: there are auto (by tempo), even, triplet, or a ratio from "
            "1:1 to 4:1 such as 1.5:1"
        )
    return ratio


def is_even_feel(feel: str) -> bool:
    """Whether a feel has even eighths; without a feel the eighths are swung."""
    return any(word in feel.lower() for word in EVEN_FEELS)


def swung(at: Fraction, ratio: Fraction) -> Fraction:
    """A time in quarters with its eighths swung: quarters stay, halves go to ratio/(1 + ratio)."""
    whole, part = divmod(at, 1)
    middle = ratio / (1 + ratio)
    half = Fraction(1, 2)
    if part <= half:
        return whole + part * 2 * middle
    return whole + middle + (part - half) * 2 * (1 - middle)


class ExcerptError(MidneckError, ValueError):
    """The tune does not have these bars; the message names those it has."""


@frozen
class PlayedBar:
    """A bar as it is played: its start and length in quarters, its chords and their grips.

    The `slot` of a span is its index in the written chords; `grips` has one entry for each span.
    `cycle` counts the bars since the section or the meter began. `marker` is the label of a section
    that begins here, `key` the key that the section or the header states for the bar.
    """

    bar: Bar
    at: Fraction
    length: Fraction
    spans: tuple[ChordSpan, ...]
    grips: tuple[Grip | None, ...]
    cycle: int
    marker: str = ""
    key: Key | None = None

    @property
    def meter(self) -> Meter:
        """The meter as written."""
        return self.bar.meter


def excerpt(
    timeline: Timeline, plan: GripPlan, bars: tuple[int, int] | None = None
) -> tuple[PlayedBar, ...]:
    """The bars of one chorus, or those from bar number `bars[0]` to the next playing of `bars[1]`.

    Raises ExcerptError when the tune does not play these bars in this order.
    """
    played = _all_bars(timeline, plan)
    if bars is not None:
        first, last = _bar_range(played, bars)
        played = played[first : last + 1]
    return _with_times(played)


def chorus_bars(
    timeline: Timeline, plan: GripPlan, count: int, bars: tuple[int, int] | None = None
) -> tuple[tuple[PlayedBar, ...], ...]:
    """The bars of each of `count` choruses, or of an excerpt as often. Raises ExcerptError."""
    if bars is not None:
        return (excerpt(timeline, plan, bars),) * count
    played, form = _all_bars(timeline, plan), timeline.form
    opening, ending = played[: form.first], played[form.stop :]
    chorus = played[form.first : form.stop]
    parts = [chorus] * (count - 1) + [_without_turnaround(chorus, timeline.sheet)]
    parts[0] = opening + parts[0]
    parts[-1] = parts[-1] + ending
    # The choruses between the first and the last are the same.
    middle = (_with_times(chorus),) * (count - 2) if count > 2 else ()
    ends = [_with_times(part) for part in (parts[0], *parts[1:][-1:])]
    return (ends[0], *middle, *ends[1:])


def _without_turnaround(bars: list[PlayedBar], sheet: Sheet) -> list[PlayedBar]:
    """The bars without the optional chords at their end; the chord before them goes on."""
    written = sheet.chords
    last = len(bars) - 1
    while (
        last >= 0
        and bars[last].spans
        and all(written[span.slot].optional for span in bars[last].spans)
    ):
        last -= 1
    spans = list(bars[last].spans) if last >= 0 else []
    while spans and written[spans[-1].slot].optional:
        spans.pop()
    if not spans:
        return bars
    held = replace(spans[-1], end=bars[last].length)
    grips = bars[last].grips[: len(spans)]
    through = replace(held, start=Fraction(0), push=False, hold=False)
    return [
        *bars[:last],
        replace(bars[last], spans=(*spans[:-1], held), grips=grips),
        *(
            replace(bar, spans=(replace(through, end=bar.length),), grips=grips[-1:])
            for bar in bars[last + 1 :]
        ),
    ]


def _all_bars(timeline: Timeline, plan: GripPlan) -> list[PlayedBar]:
    sheet = timeline.sheet
    labels = {section.first: section.label for section in sheet.sections if section.count}
    keys = [key or sheet.header.key for key in sheet.stated_keys]
    grips = iter(plan.playings or [plan.grips[index] for index in timeline.form.chords])
    return [
        PlayedBar(
            bar=sheet.bars[timed.index],
            at=Fraction(0),
            length=timed.length,
            spans=_spans(timed, sheet),
            grips=tuple(islice(grips, len(timed.chords))),
            cycle=0,
            marker=labels.get(timed.index, ""),
            key=keys[timed.index],
        )
        for timed in timeline.bars
    ]


def _spans(bar: TimedBar, sheet: Sheet) -> tuple[ChordSpan, ...]:
    """The chords of a bar, cut at the end of the bar."""
    written = sheet.chords
    spans = []
    for timed in bar.chords:
        if timed.start < bar.length:
            chord, end = written[timed.chord], min(bar.length, timed.start + timed.length)
            spans.append(
                ChordSpan(timed.chord, timed.start, end, True, timed.silent, chord.push, chord.hold)
            )
    return tuple(spans)


def _bar_range(played: list[PlayedBar], bars: tuple[int, int]) -> tuple[int, int]:
    numbers = [range(each.bar.number, each.bar.last_number + 1) for each in played]
    first = next((at for at, each in enumerate(numbers) if bars[0] in each), len(numbers))
    last = next((at for at in range(first, len(numbers)) if bars[1] in numbers[at]), None)
    if last is not None:
        return first, last
    raise ExcerptError(
        f"bars {bars[0]}–{bars[1]} are not played in this order; there are bars "
        f"{min(each[0] for each in numbers)} to {max(each[-1] for each in numbers)}"
    )


def _with_times(played: list[PlayedBar]) -> tuple[PlayedBar, ...]:
    """The bars with their times; a chord with the grip of the chord before it is not new."""
    at, cycle = Fraction(0), 0
    before: object = None
    result: list[PlayedBar] = []
    for played_bar in played:
        fresh = bool(played_bar.marker) or not result or result[-1].meter != played_bar.meter
        cycle = 0 if fresh or result[-1].bar.pickup else cycle + 1
        spans, before = _with_new_chords(played_bar.spans, played_bar.grips, before)
        result.append(replace(played_bar, at=at, cycle=cycle, spans=spans))
        at += played_bar.length
    return tuple(result)


def _with_new_chords(
    spans: tuple[ChordSpan, ...], grips: tuple[Grip | None, ...], before: object
) -> tuple[tuple[ChordSpan, ...], object]:
    marked = []
    for span, grip in zip(spans, grips, strict=False):
        marked.append(replace(span, new=grip != before))
        before = grip
    return tuple(marked), before


@frozen
class Chorus:
    """One chorus at one tempo, from `start` on; `start` and `count_in_start` in quarters.

    `overlaps`: its pickup replaces the end of the last bar of the chorus before.
    """

    bars: tuple[PlayedBar, ...]
    pattern: Pattern
    ratio: Fraction
    start: Fraction
    tempo: Fraction
    count_in_start: Fraction
    overlaps: bool = False

    @property
    def end(self) -> Fraction:
        """Where it ends, in quarters."""
        return self.start + self.bars[-1].at + self.bars[-1].length


def choruses(
    sheet: Sheet, parts: Sequence[tuple[PlayedBar, ...]], settings: Settings
) -> tuple[Chorus, ...]:
    """Every chorus, tempo by tempo; `parts` are the bars of the choruses at one tempo.

    Raises RhythmError when the rhythm does not fit the meter, SettingsError when the choruses
    together last longer than `LONGEST_MINUTES` or have more than `MAX_PERFORMED_PULSES`.
    """
    return tuple(_limited(_every_chorus(sheet, parts, settings)))


def _every_chorus(
    sheet: Sheet, parts: Sequence[tuple[PlayedBar, ...]], settings: Settings
) -> Iterator[Chorus]:
    meter = main_meter([bar.bar for bar in parts[0]])
    usual = usual_pattern(meter, sheet.header.feel)
    pattern = usual if settings.rhythm is None else find_pattern(settings.rhythm, meter)
    before: Chorus | None = None
    for beats in settings.ladder or (settings.tempo or sheet.header.tempo or USUAL_TEMPO,):
        tempo = beats * sheet.tempo_quarters
        ratio = settings.swing
        if ratio is None:
            ratio = _usual_ratio(sheet.header.feel, tempo, pattern)
        for count, bars in enumerate(parts):
            counted = _count_in(bars[0], settings.count_in) if count == 0 else Fraction(0)
            count_in_start = Fraction(0) if before is None else before.end
            overlap = Fraction(0) if before is None or counted else _overlap(bars[0], before)
            overlaps = overlap > 0
            count_in_start -= overlap
            before = Chorus(
                bars, pattern, ratio, count_in_start + counted, tempo, count_in_start, overlaps
            )
            yield before


def usual_swing(sheet: Sheet) -> Fraction:
    """The swing ratio of a tune played as its sheet says, without settings; even in meters whose
    pulse is not a quarter.
    """
    meter = main_meter(sheet.bars)
    if pulse_quarters(meter) != 1:
        return EVEN
    feel, tempo = sheet.header.feel, (sheet.header.tempo or USUAL_TEMPO) * sheet.tempo_quarters
    return _usual_ratio(feel, tempo, usual_pattern(meter, feel))


def _usual_ratio(feel: str, tempo: Fraction, pattern: Pattern) -> Fraction:
    return EVEN if pattern.even or is_even_feel(feel) else swing_by_tempo(tempo)


def main_meter(bars: Sequence[Bar]) -> Meter:
    """The meter of the first whole bar."""
    return next((bar.meter for bar in bars if not bar.pickup), bars[0].meter)


def _limited(each: Iterator[Chorus]) -> Iterator[Chorus]:
    """The choruses one by one. Raises SettingsError when together they last too long.

    Pulses are counted too, because a meter of short beats has many of them in a minute.
    """
    minutes = pulses = Fraction(0)
    for chorus in each:
        pulses += sum(bar.length / pulse_quarters(bar.meter) for bar in chorus.bars)
        if pulses > MAX_PERFORMED_PULSES:
            raise SettingsError(
                f"that has too many beats: at most {MAX_PERFORMED_PULSES:,} are played at once"
            )
        minutes += (chorus.end - chorus.count_in_start) / chorus.tempo
        if minutes > LONGEST_MINUTES:
            raise SettingsError(
                f"that lasts too long: at most {LONGEST_MINUTES} minutes are made at once"
            )
        yield chorus


def _overlap(first: PlayedBar, before: Chorus) -> Fraction:
    """The quarters of the last bar that a pickup replaces; 0 if the bar is not longer than it."""
    last = before.bars[-1]
    return first.length if first.bar.pickup and first.length < last.length else Fraction(0)


def _count_in(first: PlayedBar, bars: int) -> Fraction:
    """The quarters of the count-in: whole bars, plus the part of a bar before a pickup."""
    whole = first.meter.quarters
    rest = whole - first.length if first.bar.pickup and bars else Fraction(0)
    return bars * whole + rest
