"""The times through a tune: each with its tempo, its swing, its count-in and where it begins.

Takes the bars of one time through and `Settings`, gives every `Chorus` in order. Times are quarter
notes from the very beginning. When the tune begins with a pickup and no count-in comes between, the
next chorus begins in the last bar of the one before: the pickup takes the place of that bar's end
(common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from ...grammar.sheet import USUAL_TEMPO, Bar, Meter, Sheet
from .passage import PlayedBar
from .pulses import pulse_quarters
from .rhythm import Pattern, find_pattern, usual_pattern
from .swing import EVEN, is_even_feel, swing_by_tempo
from .timing import LONGEST_MINUTES, Settings, SettingsError


@dataclass(frozen=True, slots=True)
class Chorus:
    """One time through at one tempo, from `start` on (quarters); its count-in begins at `entry`.

    `within`: its pickup lies within the last bar of the chorus before.
    """

    bars: tuple[PlayedBar, ...]
    pattern: Pattern
    ratio: Fraction
    start: Fraction
    tempo: Fraction
    entry: Fraction
    within: bool = False

    @property
    def end(self) -> Fraction:
        """Where it ends, in quarters."""
        return self.start + self.bars[-1].at + self.bars[-1].length


def choruses(sheet: Sheet, bars: tuple[PlayedBar, ...], settings: Settings) -> tuple[Chorus, ...]:
    """Every time through, tempo by tempo.

    Raises RhythmError when the rhythm does not fit the meter, SettingsError when all of them last
    too long.
    """
    return tuple(_limited(_each(sheet, bars, settings)))


def _each(sheet: Sheet, bars: tuple[PlayedBar, ...], settings: Settings) -> Iterator[Chorus]:
    meter = _main_meter([one.bar for one in bars])
    usual = usual_pattern(meter, sheet.header.feel)
    pattern = usual if settings.rhythm is None else find_pattern(settings.rhythm, meter)
    overlap = _overlap(bars)
    before: Chorus | None = None
    for beats in settings.ladder or (settings.tempo or sheet.header.tempo or USUAL_TEMPO,):
        tempo = beats * sheet.tempo_quarters
        ratio = settings.swing
        if ratio is None:
            ratio = _usual_ratio(sheet.header.feel, tempo, pattern)
        for count in range(settings.choruses):
            counted = _count_in(bars[0], settings.count_in) if count == 0 else Fraction(0)
            entry = Fraction(0) if before is None else before.end
            within = before is not None and not counted and overlap > 0
            entry -= overlap if within else 0
            before = Chorus(bars, pattern, ratio, entry + counted, tempo, entry, within)
            yield before


def usual_swing(sheet: Sheet) -> Fraction:
    """The swing ratio of a tune played as its sheet says, without wishes; even in meters whose
    pulse is not a quarter.
    """
    meter = _main_meter(sheet.bars)
    if pulse_quarters(meter) != 1:
        return EVEN
    feel, tempo = sheet.header.feel, (sheet.header.tempo or USUAL_TEMPO) * sheet.tempo_quarters
    return _usual_ratio(feel, tempo, usual_pattern(meter, feel))


def _usual_ratio(feel: str, tempo: Fraction, pattern: Pattern) -> Fraction:
    return EVEN if pattern.even or is_even_feel(feel) else swing_by_tempo(tempo)


def _main_meter(bars: Sequence[Bar]) -> Meter:
    """The meter of the first whole bar."""
    return next((bar.meter for bar in bars if not bar.pickup), bars[0].meter)


def _limited(each: Iterator[Chorus]) -> Iterator[Chorus]:
    """The choruses as they come, refused once they last too long, before a stroke is made."""
    minutes = Fraction(0)
    for chorus in each:
        minutes += (chorus.end - chorus.entry) / chorus.tempo
        if minutes > LONGEST_MINUTES:
            raise SettingsError(
                f"that lasts too long: at most {LONGEST_MINUTES} minutes are made at once"
            )
        yield chorus


def _overlap(bars: tuple[PlayedBar, ...]) -> Fraction:
    """How much of the last bar the pickup takes: nothing when that bar is no longer than it."""
    first, last = bars[0], bars[-1]
    return first.length if first.bar.pickup and first.length < last.length else Fraction(0)


def _count_in(first: PlayedBar, bars: int) -> Fraction:
    """Whole bars of count-in, and before a pickup the part of its bar that it leaves open."""
    whole = first.meter.quarters
    rest = whole - first.length if first.bar.pickup and bars else Fraction(0)
    return bars * whole + rest
