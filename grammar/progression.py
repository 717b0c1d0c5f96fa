"""A progression in numerals, bar by bar, which a drill plays in several keys.

`text.progression` reads it from text. A bar has one or more chords, or none where it repeats the
bar before (`%`): a single chord is then held, several chords are played again. Chords share a bar
as in a sheet: evenly, or by slashes, each token one beat. Where even shares are no multiples of an
eighth, each chord has one beat and the last the rest: three chords in 4/4 have one, one and two
beats.

The text of a progression reads back: `ii7 | V7 | I6 | %`.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from .beats import Share, beats_of, even
from .frozen import frozen
from .key import Tonality
from .numeral import Numeral
from .sheet import Meter


@frozen
class ProgressionStep:
    """One chord of a progression; `tokens`: 1 and the number of slashes after it."""

    numeral: Numeral
    tokens: int = 1

    def __str__(self) -> str:
        return " ".join([str(self.numeral), *"/" * (self.tokens - 1)])


#: The chords of one bar; none where it repeats the bar before.
Measure = tuple[ProgressionStep, ...]


@frozen
class Progression:
    """Bars of chords in one key of a mode. Raises ValueError when the first bar has no chord."""

    bars: tuple[Measure, ...]
    mode: Tonality = "major"

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
    """The bars as they are played, empty only where a single chord is held."""
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


def usual_mode(numerals: tuple[Numeral, ...]) -> Tonality:
    """The mode of numerals: minor where the I is minor; without I, where ii is half-diminished."""
    own = [one for one in numerals if one.of is None and not one.substitute]
    tonics = [one for one in own if (one.degree, one.alteration) == (1, 0)]
    if tonics:
        return "minor" if all(_minor_third(one) for one in tonics) else "major"
    minor_ii = any((one.degree, one.kind) == (2, "half-diminished") for one in own)
    return "minor" if minor_ii else "major"


def _minor_third(numeral: Numeral) -> bool:
    return str(numeral)[0].islower()
