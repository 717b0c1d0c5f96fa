"""Modal tunes: those of eight bars or more in which no dominant falls, and those stated so.

Takes events and phrases, gives the mode and `Keys`, or None for a tune that is not modal. The tonic
is the bass that opens the form, returns at the start of its phrases and lasts; the mode is that
whose scale holds the notes around it (common practice, no source). Where the notes fit several
modes the first of `_CANDIDATES` is taken; a tune in the notes of its major scale is major.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from ...grammar.key import Key, Mode
from ...grammar.pitch import PitchName
from ...grammar.sheet import Sheet
from .analysis import Role
from .chord_class import DOMINANTS, FALLS, MAJORS, MINORS, Sound, motion
from .events import Event
from .functions import KEYS, Table
from .home import HOMES
from .interpretation import Interpretation
from .keys import Keys, best_keys
from .metre import Phrase
from .numerals import numeral
from .weights import WEIGHTS

#: A shorter form is a fragment: too little to be modal.
MODAL_BARS: Final = 8
#: The notes within so many bars of the tonic decide the mode.
NEAR_BARS: Final = 4
#: The share of the time in which dominants fall, at most, in a tune that is stated as modal.
CADENCE_SHARE: Final = 1 / 8
#: The kinds of areas of modal tunes.
MODAL_KINDS: Final = frozenset({"vamp", "pedal"})
#: The modes of a tonic, the likeliest first: without other notes a minor chord is dorian, a seventh
#: chord mixolydian (common practice, no source).
_MINOR: Final[tuple[Mode, ...]] = ("dorian", "aeolian", "phrygian")
_CANDIDATES: Final[dict[Sound, tuple[Mode, ...]]] = {
    Sound.DOMINANT: ("mixolydian",),
    Sound.SUSPENDED: ("mixolydian", "dorian"),
    Sound.HALF_DIMINISHED: ("locrian",),
    **dict.fromkeys(MAJORS, ("ionian", "lydian", "mixolydian")),
    **dict.fromkeys(MINORS, _MINOR),
}


def is_modal(events: Sequence[Event]) -> bool:
    """Whether no dominant falls, from the last chord to the first too, and no key is stated."""
    is_short = sum(event.bars for event in events) < MODAL_BARS
    if is_short or any(event.settled is not None for event in events):
        return False
    after = [*events[1:], events[0]]
    return not any(map(_falls, events, after))


def _falls(here: Event, there: Event) -> bool:
    """Whether a dominant or a major triad falls, or a diminished chord rises by a semitone."""
    before, after = here.chord_class, there.chord_class
    step = motion(before, after)
    if before.sound in DOMINANTS:
        return step in FALLS
    if before.sound is Sound.DIMINISHED:
        return step == 1
    return before.sound is Sound.MAJOR and step == 5


def _is_stated_modal(events: Sequence[Event], stated: Key | None) -> bool:
    """Whether a mode is stated, its tonic opens or lasts, and dominants fall for a short time."""
    if stated is None or not stated.modal or any(event.settled for event in events):
        return False
    total = sum(event.bars for event in events)
    after = [*events[1:], events[0]]
    falling = sum(e.bars for e, there in zip(events, after, strict=True) if _falls(e, there))
    bars = [0.0] * 12
    for event in events:
        bars[event.chord_class.bass] += event.bars
    tonic = stated.tonic.pitch_class
    sounds = events[0].chord_class.bass == tonic or bars[tonic] == max(bars)
    is_long = total >= MODAL_BARS
    return is_long and sounds and falling <= CADENCE_SHARE * total


def modal_keys(
    sheet: Sheet, events: Sequence[Event], phrases: Sequence[Phrase], stated: Key | None
) -> tuple[Mode, Keys] | None:
    """The mode and the keys of a modal tune; None for another, or one in its major scale.

    A tune with a stated mode is modal too if its dominants that fall are few (`CADENCE_SHARE`) and
    the tonic opens it or lasts. All local keys are in the mode of the tune. `stated` is the key of
    the header, or None.
    """
    if not is_modal(events) and not _is_stated_modal(events, stated):
        return None
    prices = _tonic_prices(events, phrases)
    heard = _tonic(events, prices)
    tonic = heard if stated is None else stated.tonic.pitch_class
    mode = stated.mode if stated is not None and stated.modal else None
    mode = mode or _mode(sheet, events, phrases, tonic)
    if mode is None or mode == "ionian":
        return None
    return mode, _keys(events, prices, tonic, mode)


def _tonic_prices(events: Sequence[Event], phrases: Sequence[Phrase]) -> Table:
    """prices[bass] as tonic: it opens the form and its phrases, and lasts."""
    prices, weights = np.zeros(12), WEIGHTS.home
    total = sum(event.bars for event in events)
    for event in events:
        prices[event.chord_class.bass] -= weights.time_on_tonic * event.bars / total
    starts = [event.start for event in events]
    for phrase in phrases[1:]:
        opening = events[bisect_right(starts, phrase.start) - 1]
        prices[opening.chord_class.bass] -= weights.phrases_open / (len(phrases) - 1)
    prices[events[0].chord_class.bass] -= weights.opens_on_tonic
    return prices


def _tonic(events: Sequence[Event], prices: Table) -> int:
    first = events[0].chord_class.root
    return min(
        ((first + up) % 12 for up in range(12)), key=lambda root: round(float(prices[root]), 6)
    )


def _mode(
    sheet: Sheet, events: Sequence[Event], phrases: Sequence[Phrase], tonic: int
) -> Mode | None:
    """The mode whose scale holds most of the time of the notes near the tonic."""
    sounds = [event.chord_class.sound for event in events if event.chord_class.bass == tonic]
    candidates = next((_CANDIDATES[sound] for sound in sounds if sound in _CANDIDATES), ())
    notes = np.zeros(12)
    for event, bars in _near(events, phrases, tonic):
        chord = sheet.chords[event.chords[0]].chord
        if chord is not None:
            notes[[(note - tonic) % 12 for note in chord.pitch_classes]] += bars
    scales = {mode: Key(PitchName("C"), mode).scale for mode in candidates}
    return max(
        candidates, key=lambda mode: round(float(notes[list(scales[mode])].sum()), 6), default=None
    )


def _near(
    events: Sequence[Event], phrases: Sequence[Phrase], tonic: int
) -> Iterator[tuple[Event, float]]:
    """The events, with their bars, in each group of four bars where the tonic sounds."""
    starts = [event.start for event in events]
    for phrase in phrases:
        for start in range(phrase.start, phrase.end, NEAR_BARS):
            first = max(0, bisect_right(starts, start) - 1)
            sounding = events[first : bisect_left(starts, start + NEAR_BARS)]
            parts = [(event, _overlap(event, start, start + NEAR_BARS)) for event in sounding]
            found = [(event, bars) for event, bars in parts if bars > 0]
            if any(event.chord_class.bass == tonic for event, _ in found):
                yield from found


def _overlap(event: Event, start: float, end: float) -> float:
    return min(event.start + event.bars, end) - max(event.start, start)


def _keys(events: Sequence[Event], tonics: Table, tonic: int, mode: Mode) -> Keys:
    """The local keys, by the notes that the scale of each lacks: half a foreign chord each."""
    scale = set(Key(PitchName("C"), mode).scale)
    block = 12 if 3 in scale else 0
    out = WEIGHTS.settled
    prices = np.full((len(events), KEYS), out)
    for at, event in enumerate(events):
        here = event.chord_class
        for key in range(12):
            foreign = sum((here.root + note - key) % 12 not in scale for note in _NOTES[here.sound])
            other = WEIGHTS.related_ii * (here.root != key)
            prices[at, key + block] = (WEIGHTS.foreign / 2 * foreign + other) * event.bars
    homes = np.full(HOMES, out)
    homes[tonic + block] = 0.0
    bars = np.array([event.bars for event in events])
    order = [(key % 12 + tonic) % 12 + key // 12 * 12 for key in range(HOMES)]
    rests = np.full((len(events), 12), np.inf)
    keys = best_keys(prices[:, order[:KEYS]], rests, homes[order], bars, np.ones(len(events)))
    sums = np.full(KEYS, out)
    sums[block : block + 12] = tonics
    return replace(keys.up(tonic), sums=tuple(sums.tolist()))


#: The notes of each sound in semitones above the root.
_NOTES: Final[Mapping[Sound, tuple[int, ...]]] = {
    Sound.MAJOR: (0, 4, 7), Sound.MAJOR_6: (0, 4, 7, 9), Sound.MAJOR_7: (0, 4, 7, 11),
    Sound.DOMINANT: (0, 4, 7, 10), Sound.SUSPENDED: (0, 5, 7, 10), Sound.MINOR: (0, 3, 7),
    Sound.MINOR_7: (0, 3, 7, 10), Sound.MINOR_6: (0, 3, 7, 9), Sound.MINOR_MAJOR: (0, 3, 7, 11),
    Sound.HALF_DIMINISHED: (0, 3, 6, 10), Sound.DIMINISHED: (0, 3, 6, 9),
    Sound.AUGMENTED: (0, 4, 8), Sound.OPEN: (0, 7),
}  # fmt: skip


def modal_interpretations(
    events: Sequence[Event], local: Sequence[int]
) -> tuple[Interpretation, ...]:
    """The numeral of each event in its local key; no chord resolves."""
    found = []
    for event, key in zip(events, local, strict=True):
        degree = (event.chord_class.root - key) % 12
        role: Role = "tonic" if degree == 0 else "colour"
        found.append(Interpretation(numeral(degree, event.chord_class.sound), role))
    return tuple(found)
