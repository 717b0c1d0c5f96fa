"""A performance as a value: the timed strokes of guitar, bass and click, tempos, meters, markers.

Musical time is in quarter notes from the start of the performance, count-in included, as exact
fractions with the swing applied; `Performance.seconds` converts it to exact seconds. Only the
spread of a strum is in milliseconds, because it does not depend on the tempo. Velocities run from 1
to 127 as in MIDI.
"""

from __future__ import annotations

from dataclasses import field
from fractions import Fraction
from typing import Final, Literal

from ...grammar.errors import MidneckError
from ...grammar.frozen import frozen
from ...grammar.key import Key
from ...grammar.sheet import TEMPOS, Meter
from .rhythm import PATTERNS, no_rhythm, plain_name

Part = Literal["guitar", "bass", "click"]
PARTS: Final[tuple[Part, ...]] = ("guitar", "bass", "click")
Click = Literal["all", "2and4", "none"]
CLICKS: Final[tuple[Click, ...]] = ("all", "2and4", "none")

#: General MIDI percussion keys for the click: high wood block for a bar's first pulse, low for
#: the other pulses.
CLICK_STRONG: Final = 76
CLICK_WEAK: Final = 77


@frozen
class StruckNote:
    """A note of a stroke: its MIDI number, its string (None on bass and click), its delay in ms."""

    midi: int
    string: int | None = None
    late_ms: int = 0


@frozen
class Stroke:
    """One stroke of one part: `at` and `length` in quarters; the sound is damped at its end.

    `chord` is the index of the written chord, None for the click.
    """

    at: Fraction
    length: Fraction
    part: Part
    velocity: int
    notes: tuple[StruckNote, ...]
    chord: int | None = None


@frozen
class Performance:
    """The strokes in order of time; `length` in quarters.

    `tempi`, `meters`, `keys` and `markers` hold (quarters, value), the first at 0; tempos are in
    quarters a minute.
    """

    title: str
    strokes: tuple[Stroke, ...]
    length: Fraction
    tempi: tuple[tuple[Fraction, Fraction], ...]
    meters: tuple[tuple[Fraction, Meter], ...]
    keys: tuple[tuple[Fraction, Key], ...] = ()
    markers: tuple[tuple[Fraction, str], ...] = ()

    def seconds(self, at: Fraction) -> Fraction:
        """Seconds from the beginning to a musical time."""
        total = Fraction(0)
        for place, (start, tempo) in enumerate(self.tempi):
            last = place + 1 == len(self.tempi)
            stop = at if last else min(at, self.tempi[place + 1][0])
            if stop > start or place == 0:
                total += (stop - start) * 60 / tempo
        return total


#: The longest performance, in minutes: it is held in memory, and longer practice strains the hand.
LONGEST_MINUTES: Final = 60


class SettingsError(MidneckError, ValueError):
    """A setting of a performance is wrong; the message says what is allowed."""


@frozen
class Settings:
    """How to play a tune; None means "as the sheet says".

    `tempo` and `ladder` are in the sheet's own beats a minute (`Sheet.tempo_quarters`). `count_in`
    is in bars; it is clicked for any value of `click`, and again for each tempo of the ladder.
    `choruses` is the number played at each tempo. `swing` is a ratio, None for that of the tempo.
    `bars` limits each chorus to a part of the tune. Raises SettingsError when a number is out of
    range.
    """

    tempo: int | None = None
    choruses: int = 1
    count_in: int = 1
    rhythm: str | None = None
    swing: Fraction | None = None
    click: Click = "2and4"
    without: frozenset[Part] = field(default_factory=frozenset)
    ladder: tuple[int, ...] = ()
    bars: tuple[int, int] | None = None
    strum_ms: int = 7

    def __post_init__(self) -> None:
        for tempo in (*self.ladder, *(() if self.tempo is None else (self.tempo,))):
            _within("tempo", tempo, *TEMPOS)
        _within("number of choruses", self.choruses, 1, 100)
        _within("number of bars of count-in", self.count_in, 0, 8)
        _within("strum in milliseconds", self.strum_ms, 0, 40)
        if self.ladder and self.tempo is not None:
            raise SettingsError("a ladder has tempos of its own: leave the tempo out")
        if self.without >= set(PARTS):
            raise SettingsError(f"nothing is left to play: keep one of {', '.join(PARTS)}")
        if self.click not in CLICKS:
            raise SettingsError(f"there is no click {self.click!r}; there are {', '.join(CLICKS)}")
        names = [pattern.name for pattern in PATTERNS]
        if self.rhythm is not None and plain_name(self.rhythm) not in names:
            raise SettingsError(no_rhythm(self.rhythm, names))


def _within(what: str, value: int, low: int, high: int) -> None:
    if not low <= value <= high:
        raise SettingsError(f"the {what} goes from {low} to {high}; {value} does not")


def _is_number(word: str) -> bool:
    """Whether a word is a whole number of at most six digits."""
    return word.strip().isdecimal() and len(word.strip()) <= 6


def read_ladder(text: str) -> tuple[int, ...]:
    """The tempos of a ladder `80:140:10`, the last included in any case. Raises SettingsError."""
    parts = text.split(":")
    if len(parts) != 3 or not all(_is_number(part) for part in parts):
        raise SettingsError(
            f"{text!r} is no ladder of tempos: write start:target:step, as 80:140:10"
        )
    start, target, step = (int(part) for part in parts)
    for tempo in (start, target):
        _within("tempo", tempo, *TEMPOS)
    if step == 0 or target < start:
        raise SettingsError(
            f"the ladder {text!r} does not rise: write start:target:step, as 80:140:10"
        )
    return tuple(sorted({*range(start, target, step), target}))
