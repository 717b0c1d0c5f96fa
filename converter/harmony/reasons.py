"""Why a key was heard: what opens, closes and lasts, as data for a sentence.

Takes events, phrases and the local keys, gives a `Why`.
"""

from __future__ import annotations

from collections.abc import Sequence

from ...grammar.sheet import Sheet
from .analysis import Why
from .cadence import FULL, Arrival, arrivals, is_prepared
from .chord_class import DOMINANTS, MINORS, motion
from .events import Event
from .metre import Phrase


def why(
    sheet: Sheet, events: Sequence[Event], phrases: Sequence[Phrase], local: Sequence[int], key: int
) -> Why:
    """The reasons for the key of a number; bars are those that are written."""
    tonic = key % 12
    found = [a for a in arrivals(events, phrases) if events[a.at].chord_class.root == tonic]
    full = [arrival for arrival in found if arrival.kind >= FULL]
    first = events[0].chord_class
    close = full[-1] if full else None
    inside = sum(event.bars for event, own in zip(events, local, strict=True) if own == key)
    return Why(
        opens=first.bass == tonic,
        closes=None if close is None else _bars(sheet, events, close),
        cadence="" if close is None else _cadence(events, close),
        arrivals=len(full),
        share=inside / sum(event.bars for event in events),
    )


def _start(events: Sequence[Event], arrival: Arrival) -> int:
    return arrival.at - 1 - is_prepared(events, arrival.at)


def _bars(sheet: Sheet, events: Sequence[Event], arrival: Arrival) -> tuple[int, int]:
    first, last = events[_start(events, arrival)].chords[0], events[arrival.at].chords[0]
    return sheet.bar_number_of(first), sheet.bar_number_of(last)


def _cadence(events: Sequence[Event], arrival: Arrival) -> str:
    """Its name: `ii–V–I`, `V–i`, `II–V–I` after another dominant, or `by the back door`."""
    before = events[arrival.at - 1].chord_class
    step = motion(before, events[arrival.at].chord_class)
    if step not in (5, 11):
        return "by the back door"
    tonic = "i" if events[arrival.at].chord_class.sound in MINORS else "I"
    dominant = f"{'V' if step == 5 else 'subV'}–{tonic}"
    if not is_prepared(events, arrival.at):
        return dominant
    first = events[_start(events, arrival)].chord_class
    return f"{'II' if first.sound in DOMINANTS else 'ii'}–{dominant}"
