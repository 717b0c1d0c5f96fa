"""The evidence of the form for each key as the key of the tune: openings, cadences, closes, time.

Takes events, arcs of preparation and phrases, gives one price for each home. Homes are numbered 0
to 11 for major by tonic, 12 more for minor, 24 more for a major key whose tonic is a seventh chord,
as in the blues. Each kind of evidence is one row of `evidence` and one field of `HomeWeights`,
under one name.

Evidence goes to the tonic first: a major chord on C speaks for C major and, a little less, for C
minor. The mode follows from the functions of all chords, which `functions` prices.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from functools import cached_property, lru_cache
from typing import Final

import numpy as np

from ...grammar.frozen import Caching, frozen
from .cadence import FULL, Arrival, arrivals, leads_on, resolves
from .chord_class import DOMINANTS, MAJORS, MINORS, Sound, is_two_five, motion
from .events import VAMP_EVENTS, Event
from .functions import Table
from .metre import Phrase
from .weights import WEIGHTS

#: The number of homes: 12 major, 12 minor, 12 major with a seventh chord as tonic.
HOMES: Final = 36
#: The close of a form lasts until so many bars before its end at least; then the turnaround starts.
CLOSING_BARS: Final = 2.0
#: Sounds at rest. A major seventh chord is less so (common practice, no source), and a minor
#: seventh chord is a ii as often as a i.
RESTS: Final = frozenset(
    {Sound.MAJOR, Sound.MAJOR_6, Sound.MINOR, Sound.MINOR_6, Sound.MINOR_MAJOR}
)
_NOTHING: Final = np.zeros(HOMES)
_NOTHING.flags.writeable = False


def home_prices(events: Sequence[Event], heads: Sequence[int], phrases: Sequence[Phrase]) -> Table:
    """prices[home] of each home as that of the tune."""
    prices = np.zeros(HOMES)
    prices[24:] = WEIGHTS.seventh_home
    for name, row in evidence(events, heads, phrases).items():
        prices -= getattr(WEIGHTS.home, name) * row
    return prices


def evidence(
    events: Sequence[Event], heads: Sequence[int], phrases: Sequence[Phrase]
) -> dict[str, Table]:
    """The amount of each kind of evidence for each home, between 0 and 1."""
    form = _Form(events, heads, phrases)
    opening, turn = form.credit(0), _turn(form)
    close = form.close
    closing = _NOTHING if close is None else form.credit(close)
    is_placed = close is not None and form.lasts_to_turnaround(close)
    only_leads_back = is_placed and not (closing * turn).any()
    return {
        "opens_on_tonic": opening,
        "opens_on_minor_seventh": _opening_supertonic(events),
        "opens_near": _opening_neighbours(events),
        "phrases_open": _mean(form.credit(form.sounding(p.start)) for p in phrases[1:]),
        "phrases_close": _mean(_phrase_close(form, p) for p in phrases[:-1]),
        "phrases_turn": _mean(form.aim(form.sounding(p.end - 0.01)) for p in phrases[:-1]),
        "rests": _mean(_phrase_rest(form, p) for p in phrases),
        "cadences": _cadence_shares(form),
        "closes_on_tonic": closing * is_placed,
        "closes_early": closing * (not is_placed),
        "ends_on_tonic": form.credit(len(events) - 1) if len(events) > 1 else _NOTHING,
        "turns_to": turn * (WEIGHTS.leads_back if only_leads_back else 1.0),
        "turns_to_opening": turn * opening * (not only_leads_back),
        "time_on_tonic": _tonic_shares(form),
    }


@frozen
class _Form(Caching):
    """A form as the evidence sees it."""

    events: Sequence[Event]
    heads: Sequence[int]
    phrases: Sequence[Phrase]

    @cached_property
    def starts(self) -> list[float]:
        return [event.start for event in self.events]

    @cached_property
    def arrivals(self) -> tuple[Arrival, ...]:
        return tuple(arrivals(self.events, self.phrases))

    @cached_property
    def arrival_starts(self) -> list[float]:
        return [self.events[arrival.at].start for arrival in self.arrivals]

    @cached_property
    def credits(self) -> list[Table]:
        return [self._credit(at) for at in range(len(self.events))]

    @cached_property
    def close(self) -> int | None:
        """The tonic of the last full cadence, if it stands near the last phrase."""
        for arrival in reversed(self.arrivals):
            if self.events[arrival.at].start < self.phrases[-1].start - CLOSING_BARS:
                return None
            if arrival.kind >= FULL and self.credit(arrival.at).any():
                return arrival.at
        return None

    def lasts_to_turnaround(self, at: int) -> bool:
        """Whether what follows a close is short enough to be a turnaround."""
        event = self.events[at]
        return event.start + event.bars >= self.phrases[-1].end - CLOSING_BARS

    def sounding(self, time: float) -> int:
        """The event that sounds at a time in bars."""
        return max(0, bisect_right(self.starts, time + 1e-6) - 1)

    def credit(self, at: int) -> Table:
        """What an event says of each home as its tonic."""
        return self.credits[at]

    def _credit(self, at: int) -> Table:
        here = self.events[at].chord_class
        if leads_on(self.events, at) and not opens_on_vamp(self.events):
            return _NOTHING
        if here.sound is not Sound.DOMINANT:
            return tonic_credit(here.root, here.sound)
        if at and is_two_five(self.events[at - 1].chord_class, here):
            return _NOTHING
        return seventh_credit(
            here.root, resolves(self.events, self.heads, at), self._goes_to_iv(at)
        )

    def _goes_to_iv(self, at: int) -> bool:
        """Whether a seventh chord goes to one a fourth up that does not resolve: I7 to IV7."""
        there = self.heads[at] % len(self.events)
        after = self.events[there].chord_class
        is_fourth = motion(self.events[at].chord_class, after) == 5
        is_seventh = after.sound is Sound.DOMINANT
        return is_fourth and is_seventh and not resolves(self.events, self.heads, there)

    def aim(self, at: int) -> Table:
        """The tonic that a dominant aims at, the likelier mode weighted more."""
        here = self.events[at].chord_class
        if here.sound not in DOMINANTS:
            return _NOTHING
        half = at > 0 and self.events[at - 1].chord_class.sound is Sound.HALF_DIMINISHED
        return _aim((here.root + 5) % 12, half or here.dark)


@lru_cache(maxsize=256)
def tonic_credit(root: int, sound: Sound) -> Table:
    """credit[home] of a chord that is no seventh chord, as tonic."""
    row, parallel = np.zeros(HOMES), WEIGHTS.parallel
    if sound in MAJORS:
        row[[root, root + 12, root + 24]] = 1.0, parallel, 1.0
    elif sound in MINORS:
        row[[root, root + 12, root + 24]] = parallel, 1.0, parallel
    return row


@lru_cache(maxsize=64)
def seventh_credit(root: int, falls: bool, goes_to_iv: bool) -> Table:
    """credit[home] of a seventh chord as tonic; one that resolves is hardly one, except to IV7."""
    row = np.zeros(HOMES)
    if falls:
        row[root + 24] = 1.0 if goes_to_iv else WEIGHTS.falling_tonic
    else:
        row[[root, root + 24]] = WEIGHTS.seventh_tonic, 1.0
    return row


@lru_cache(maxsize=24)
def _aim(root: int, dark: bool) -> Table:
    row, other = np.zeros(HOMES), WEIGHTS.aim_other_mode
    row[[root, root + 12, root + 24]] = (other, 1.0, other) if dark else (1.0, other, 1.0)
    return row


def seventh_tonics(events: Sequence[Event], home: int) -> frozenset[int]:
    """The tonic of a major home, if it sounds as a seventh chord for most of its time."""
    tonics = [event for event in events if event.chord_class.root == home]
    sevenths = sum(e.bars for e in tonics if e.chord_class.sound is Sound.DOMINANT)
    others = sum(e.bars for e in tonics if e.chord_class.sound in MAJORS)
    return frozenset({home}) if sevenths > others else frozenset()


def opens_on_vamp(events: Sequence[Event]) -> bool:
    """Whether the form opens with two chords alternating three times; the first is the tonic."""
    pairs = [event.chord_class for event in events[:VAMP_EVENTS]]
    return len(pairs) == VAMP_EVENTS and pairs[2:] == pairs[:-2]


def _opening_supertonic(events: Sequence[Event]) -> Table:
    """The minor chord that opens the form before its dominant, as tonic."""
    first = events[0].chord_class
    is_supertonic = leads_on(events, 0) and not opens_on_vamp(events)
    return tonic_credit(first.root, first.sound) if is_supertonic else _NOTHING


def _opening_neighbours(events: Sequence[Event]) -> Table:
    """The keys of which the first chord is vi or, half as often, IV."""
    first, row = events[0].chord_class, np.zeros(HOMES)
    if not leads_on(events, 0):
        fourth = (first.root + 7) % 12
        if first.sound in MINORS:
            relative = (first.root + 3) % 12
            row[[relative, relative + 24, fourth + 12]] = 1.0, 1.0, 0.5
        elif first.sound in MAJORS:
            row[[fourth, fourth + 24]] = 0.5
    return row


def _phrase_arrival(form: _Form, phrase: Phrase) -> int | None:
    """The last goal of a cadence in the second half of a phrase."""
    before_end = bisect_left(form.arrival_starts, phrase.end)
    if not before_end:
        return None
    at = form.arrivals[before_end - 1].at
    return at if form.events[at].start >= phrase.middle else None


def _phrase_close(form: _Form, phrase: Phrase) -> Table:
    """The tonic that a phrase closes on: its last arrival, or its last chord."""
    at = _phrase_arrival(form, phrase)
    return form.credit(form.sounding(phrase.end - 0.01) if at is None else at)


def _phrase_rest(form: _Form, phrase: Phrase) -> Table:
    """The same if it is an arrival on a sixth chord or a triad."""
    at = _phrase_arrival(form, phrase)
    if at is None or form.events[at].chord_class.sound not in RESTS:
        return _NOTHING
    return form.credit(at)


def _turn(form: _Form) -> Table:
    """The tonic that the last dominant of the form aims at; less if that is a goal itself."""
    last = len(form.events) - 1
    if form.arrivals and form.arrivals[-1].at == last:
        return form.aim(last) * WEIGHTS.leads_back
    vamps = form.events[last - 1].chord_class == form.events[0].chord_class
    return _NOTHING if vamps and opens_on_vamp(form.events) else form.aim(last)


def _cadence_shares(form: _Form) -> Table:
    """The share of each tonic in the strength of all cadences."""
    row, total = np.zeros(HOMES), 0.0
    for arrival in form.arrivals:
        row += arrival.strength * form.credit(arrival.at)
        total += arrival.strength
    return row / max(1.0, total)


def _tonic_shares(form: _Form) -> Table:
    """The share of the form's time that sounds each tonic."""
    bars = np.array([event.bars for event in form.events])
    shares: Table = bars @ np.array(form.credits) / bars.sum()
    return shares


def _mean(rows: Iterable[Table]) -> Table:
    found = list(rows)
    return np.sum(found, axis=0) / len(found) if found else _NOTHING
