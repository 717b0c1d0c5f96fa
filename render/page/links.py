"""Which chords a bracket or an arrow joins, and which dominants say in words where they resolve.

Takes an `Analysis`; indices are those of written chords. All marks share one lane, so none may lie
over another: a resolution further than the next two chords, back to an earlier chord or over
another mark is told in words. Nothing here knows where chords stand on paper.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from ...converter.harmony.analysis import Analysis, Area

#: The kinds of areas whose ii–V gets a bracket.
BRACKETED: Final = ("ii-V", "ii-V-I")
#: How many chords further an arrow may lead.
FURTHEST: Final = 2


@dataclass(frozen=True, slots=True)
class Link:
    """A bracket or an arrow from chord `first` to chord `last`; a `broken` one is dashed."""

    kind: Literal["bracket", "arrow"]
    first: int
    last: int
    broken: bool = False

    @property
    def span(self) -> tuple[int, int]:
        """Where it begins and ends, in thirds of a chord.

        Under one numeral an arrow arrives (0), a bracket begins or ends (1), an arrow leaves (2).
        """
        leave, arrive = (1, 1) if self.kind == "bracket" else (2, 0)
        return 3 * self.first + leave, 3 * self.last + arrive


@dataclass(frozen=True, slots=True)
class Links:
    """What is drawn in the lane, from left to right, and the goal of each chord that tells it in
    words."""

    drawn: tuple[Link, ...]
    told: dict[int, int]


def find_links(analysis: Analysis) -> Links:
    """The links of a tune: every ii–V, then arrows as they find room, the shortest first."""
    arrows = [
        Link("arrow", chord, reading.resolves_to, reading.numeral.substitute)
        for chord, reading in enumerate(analysis.readings)
        if reading is not None and reading.resolves_to is not None
    ]
    drawn: list[Link] = []
    told: dict[int, int] = {}
    taken: set[int] = set()
    for link in (*sorted(_brackets(analysis), key=_length), *sorted(arrows, key=_length)):
        far = link.kind == "arrow" and not 0 < _length(link) <= FURTHEST
        if not far and taken.isdisjoint(range(*link.span)):
            taken.update(range(*link.span))
            drawn.append(link)
        elif link.kind == "arrow":
            told[link.first] = link.last
    return Links(tuple(sorted(drawn, key=lambda link: link.span)), told)


def _length(link: Link) -> int:
    return link.last - link.first


def _brackets(analysis: Analysis) -> Iterator[Link]:
    """A bracket for each ii–V, once each."""
    pairs = {_two_five(analysis, area) for area in analysis.areas if area.kind in BRACKETED}
    for pair in sorted(pair for pair in pairs if pair is not None):
        yield Link("bracket", *pair)


def _two_five(analysis: Analysis, area: Area) -> tuple[int, int] | None:
    """The chords of a ii–V from its first to its last dominant, None where it has none."""
    kept = []
    for place, chord in enumerate(area.chords):
        reading = analysis.readings[chord]
        if reading is not None and reading.role == "dominant":
            kept.append(place)
    if not kept or kept[-1] == 0:
        return None
    first, last = area.chords[0], area.chords[kept[-1]]
    return (first, last) if first < last else None
