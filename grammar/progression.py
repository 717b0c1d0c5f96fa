"""A progression in numerals, bar by bar: what a drill takes round the keys.

Takes and gives values only; `text.progression` reads the text. A bar holds one or more chords, or
none where it is the bar before again (`%`): one chord then sounds on, several are played again.
Chords share a bar as in a sheet: evenly, or by slashes, each token one beat. Where an even
share does not come out in eighths, the last chord takes what is left: three chords in 4/4 have one,
one and two beats.

The text of a progression reads back: `ii7 | V7 | I6 | %`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from .key import Mode
from .numeral import Numeral
from .sheet import Meter
from .text.beats import Share, beats_of, even


@dataclass(frozen=True, slots=True)
class ProgressionStep:
    """One chord of a progression; `tokens` counts it and the slashes after it."""

    numeral: Numeral
    tokens: int = 1

    def __str__(self) -> str:
        return " ".join([str(self.numeral), *"/" * (self.tokens - 1)])


#: The chords of one bar; none where it is the bar before again.
Measure = tuple[ProgressionStep, ...]


@dataclass(frozen=True, slots=True)
class Progression:
    """Bars of chords in one key of a mode. Raises ValueError when the first bar has no chord."""

    bars: tuple[Measure, ...]
    mode: Mode = "major"

    def __post_init__(self) -> None:
        if not self.bars or not self.bars[0]:
            raise ValueError("a progression begins with a chord")

    @property
    def numerals(self) -> tuple[Numeral, ...]:
        """Its chords in order, those of a repeated bar again where it has several."""
        return tuple(step.numeral for bar in played_bars(self.bars) for step in bar)

    def lengths(self, meter: Meter) -> tuple[Fraction, ...] | None:
        """How long each chord lasts in bars of a meter, None where slashes do not fill its bar."""
        found: list[Fraction] = []
        for bar in played_bars(self.bars):
            if not bar:
                found[-1] += 1
                continue
            beats = bar_beats(bar, meter)
            if beats is None:
                return None
            found += [each / meter.beats for each in beats]
        return tuple(found)

    def __str__(self) -> str:
        words = [" ".join(map(str, bar)) or "%" for bar in self.bars]
        text = " | ".join(words)
        if len(self.bars) == 1 and (len(self.bars[0]) > 1 or self.bars[0][0].tokens > 1):
            text = f"| {text} |"
        return text if self.mode == usual_mode(self.numerals) else f"{self.mode}: {text}"


def played_bars(bars: Sequence[Measure]) -> tuple[Measure, ...]:
    """The bars as they are played, empty only where one chord sounds on."""
    found: list[Measure] = []
    before: Measure = ()
    for bar in bars:
        before = bar or before
        found.append(before if len(before) > 1 else bar)
    return tuple(found)


def bar_beats(bar: Measure, meter: Meter) -> list[Fraction] | None:
    """The beats of each chord of a bar, None where they do not fit the meter."""
    shares = [Share(step.tokens) for step in bar]
    beats = beats_of(shares, meter)
    if beats is None and even(shares) and len(bar) <= meter.beats:
        return [*[Fraction(1)] * (len(bar) - 1), Fraction(meter.beats - len(bar) + 1)]
    return beats


def usual_mode(numerals: tuple[Numeral, ...]) -> Mode:
    """The mode that numerals speak of: minor where the tonic is, or else a half-diminished ii."""
    own = [one for one in numerals if one.of is None and not one.substitute]
    tonics = [one for one in own if (one.degree, one.alteration) == (1, 0)]
    if tonics:
        return "minor" if all(_minor_third(one) for one in tonics) else "major"
    minor_ii = any((one.degree, one.kind) == (2, "half-diminished") for one in own)
    return "minor" if minor_ii else "major"


def _minor_third(numeral: Numeral) -> bool:
    return str(numeral)[0].islower()
