"""The phrases of a form: where they start and end, and how strong each bar in them is.

Takes a `Timeline`, gives `Phrase`s in bars from the top of the form. A section is made of phrases
of eight bars, one of twelve bars of phrases of four (common practice, no source); so a tune without
section labels has the phrases of the same tune with labels.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from ...grammar.frozen import frozen
from ..timeline import TimedBar, Timeline

#: The usual length of a phrase in bars, and that in a section of twelve bars, as of a blues.
PHRASE_BARS: Final = 8
SHORT_PHRASE_BARS, SHORT_SECTION_BARS = 4, 12


@frozen
class Phrase:
    """A phrase from the bar `start` up to the bar `end`, counted from 0 at the top of the form."""

    start: int
    end: int

    @property
    def middle(self) -> float:
        """Where its second half starts."""
        return (self.start + self.end) / 2

    def strength(self, at: float) -> float:
        """The strength of a time in it: 1 on its odd bars, less on even ones, least inside a bar.

        The first bar of a pair is the stronger one (common practice, no source).
        """
        if at != int(at):
            return 0.4
        return 1.0 if (at - self.start) % 2 == 0 else 0.6


def phrases_of(timeline: Timeline) -> tuple[Phrase, ...]:
    """The phrases of one chorus in order; a pickup bar belongs to the first phrase."""
    phrases: list[Phrase] = []
    for start, end in _sections(timeline.bars, timeline.sheet.bars[0].number == 0):
        phrases.extend(_split(start, end))
    return tuple(phrases)


def _sections(bars: Sequence[TimedBar], pickup: bool) -> Iterator[tuple[int, int]]:
    starts = [
        bar.before for at, bar in enumerate(bars) if not at or bar.section != bars[at - 1].section
    ]
    starts[0] = int(pickup)
    last = bars[-1]
    end = last.before + 1
    for start, stop in zip(starts, [*starts[1:], end], strict=True):
        if stop > start:
            yield start, stop


def _split(start: int, end: int) -> Iterator[Phrase]:
    """A section in phrases; fewer than four bars too many belong to the last phrase."""
    length = SHORT_PHRASE_BARS if end - start == SHORT_SECTION_BARS else PHRASE_BARS
    while end - start >= length + SHORT_PHRASE_BARS:
        yield Phrase(start, start + length)
        start += length
    yield Phrase(start, end)
