"""The harmonic analysis of a sheet: keys, numerals, goals of dominants and areas.

Takes a `Timeline`, gives an `Analysis`. Two exact searches over the whole played form: what each
chord prepares (`preparation`, after Rohrmeier 2020), then the home key and the local keys with the
function of every chord (`keys` and `functions`, after Choi 2011). Related work: Steedman, "A
generative grammar for jazz chord sequences", *Music Perception* 2(1), 1984; Pachet, *Computer Music
Journal* 24(1), 2000; Granroth-Wilding & Steedman, *Journal of New Music Research* 43(4), 2014;
Harasim, O'Donnell & Rohrmeier, "Harmonic syntax in time", ISMIR 2019; "The Jazz Harmony Treebank",
ISMIR 2020.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from ...grammar.key import Key, Mode
from ...grammar.pitch import PitchName
from ...grammar.sheet import Sheet
from ..timeline import Timeline
from .analysis import AREA_KINDS, DOUBTFUL_MARGIN, Analysis, Reading
from .areas import areas_of
from .cadence import why
from .events import Event, events_of
from .functions import KEYS, Table, function_prices, rest_prices
from .home import HOMES, home_prices, seventh_tonics
from .interpretation import Interpretation, interpret
from .keys import (
    Hearing,
    Keys,
    best_homes,
    best_keys,
    borders,
    hearing,
    key_named,
    key_number,
    middle_of,
    raised,
)
from .metre import phrases_of
from .modal import MODAL_KINDS, is_modal, modal_interpretations, modal_keys
from .preparation import prepared
from .tune import Tune
from .weights import WEIGHTS

#: The most accidentals that a key signature has.
SIGNATURE_ACCIDENTALS: Final = 7


def analyse(timeline: Timeline) -> Analysis:
    """The analysis of a tune from its chords in played order.

    The key of a sheet without chords is that of its header, C major if the header states none.
    """
    sheet, events = timeline.sheet, events_of(timeline)
    stated = sheet.header.key
    if not events:
        home = stated or Key(PitchName("C"))
        return Analysis(home, (None,) * len(sheet.chords), (), stated, ("There is no chord.",))
    heads = prepared(events)
    mode, keys = _keys(timeline, events, heads)
    home = _home_key(sheet, keys.home, stated, mode)
    if mode is None or not is_modal(events):
        rests = seventh_tonics(events, keys.home) if keys.seventh else frozenset()
        interpretations = interpret(events, heads, keys.local, rests)
    else:
        interpretations = modal_interpretations(events, keys.local)
    names = _local_names(sheet, events, keys, home, mode)
    named = {keys.local[at]: names[at][0] for at in range(len(events) - 1, -1, -1)}
    tune = Tune(events, heads, keys.local, interpretations)
    kinds = MODAL_KINDS if mode is not None and is_modal(events) else AREA_KINDS
    heard = hearing(keys.sums, events[0].chord_class.root)
    rival = _rival_key(heard.rival, home, mode)
    return Analysis(
        home,
        _readings(sheet, events, keys, interpretations, names),
        areas_of(timeline, tune, named, kinds),
        stated,
        _notes(home, rival, stated, events, heard),
        _home_key(sheet, heard.key, stated, mode),
        rival,
        heard.confidence,
        why(sheet, events, phrases_of(timeline), keys.local, keys.home),
    )


def key_of(timeline: Timeline) -> Key:
    """The key of the tune as `analyse` finds it, computed without readings and areas."""
    sheet, events = timeline.sheet, events_of(timeline)
    if sheet.header.key is not None:
        return sheet.header.key
    if not events:
        return Key(PitchName("C"))
    modal = modal_keys(sheet, events, phrases_of(timeline), None)
    if modal is not None:
        return _home_key(sheet, modal[1].home, None, modal[0])
    first, tables = _key_prices(timeline, events, prepared(events))
    best = best_homes(*tables).order[0]
    return _home_key(sheet, raised(best % KEYS, first), None, None)


def _keys(
    timeline: Timeline, events: Sequence[Event], heads: Sequence[int]
) -> tuple[Mode | None, Keys]:
    """The mode of a modal tune, None for another, and the keys; `sums` are those of the chords."""
    modal = modal_keys(timeline.sheet, events, phrases_of(timeline), timeline.sheet.header.key)
    if modal is not None:
        return modal
    first, tables = _key_prices(timeline, events, heads)
    keys = best_keys(*tables).up(first)
    if timeline.sheet.header.key is None:
        return None, keys
    sums = list(keys.sums)
    sums[keys.home] += WEIGHTS.settled
    return None, _held(replace(keys, sums=tuple(sums)), first)


def _held(keys: Keys, first: int) -> Keys:
    """The keys with the stated home in place of the key that the chords speak for.

    Only if no chord is read in the stated key: its numerals are then those that the sheet asks for.
    """
    if keys.home in keys.local:
        return keys
    heard = hearing(keys.sums, first).key
    local = tuple(keys.home if key == heard else key for key in keys.local)
    return replace(keys, local=local)


def _key_prices(
    timeline: Timeline, events: Sequence[Event], heads: Sequence[int]
) -> tuple[int, tuple[Table, Table, Table, Table, Table]]:
    """The first root, and the tables of `best_keys`.

    These are the prices of events in keys and of sevenths at rest, those of homes, the bars, and
    the factors of changes of key. All number keys from the first root, so that ties are broken by
    interval.
    """
    prices, rests = function_prices(events, heads), rest_prices(events)
    phrases = phrases_of(timeline)
    homes = home_prices(events, heads, phrases)
    stated = timeline.sheet.header.key
    if stated is not None:
        number = key_number(stated)
        homes[[number, number + KEYS] if number < 12 else [number]] -= WEIGHTS.settled
    for at, event in enumerate(events):
        if event.settled is not None:
            prices[at] += WEIGHTS.settled
            rests[at] = np.inf
            prices[at, key_number(event.settled)] -= WEIGHTS.settled
    first = events[0].chord_class.root
    order = [raised(home % KEYS, first) + home // KEYS * KEYS for home in range(HOMES)]
    bars = np.array([event.bars for event in events])
    tables = prices[:, order[:KEYS]], rests[:, order[:12]], homes[order], bars
    return first, (*tables, borders(events, phrases))


def _home_key(sheet: Sheet, home: int, stated: Key | None, mode: Mode | None) -> Key:
    """The home key: the header's name for it if that is the same key, else spelled by the roots."""
    if stated is not None and key_number(stated) == home:
        return stated
    roots = (written.chord.root for written in sheet.chords if written.chord is not None)
    return key_named(home, middle_of(roots), mode)


def _rival_key(rival: int, home: Key, mode: Mode | None) -> Key:
    """The name of the rival: the parallel key has the tonic's name, up to seven accidentals."""
    if rival % 12 == home.tonic.pitch_class:
        parallel = Key(home.tonic, mode or ("minor" if rival >= 12 else "major"))
        if abs(parallel.fifths) <= SIGNATURE_ACCIDENTALS:
            return parallel
    return key_named(rival, home.fifths, mode)


def _notes(
    home: Key, rival: Key, stated: Key | None, events: Sequence[Event], heard: Hearing
) -> tuple[str, ...]:
    notes = []
    if stated is None and heard.margin < DOUBTFUL_MARGIN:
        notes.append(f"The key is a close call: {home}, or else {rival}.")
    settled = dict.fromkeys(str(event.settled) for event in events if event.settled is not None)
    notes.extend(f"The sheet states {key} for a part of the tune; read so." for key in settled)
    return tuple(notes)


def _readings(
    sheet: Sheet,
    events: Sequence[Event],
    keys: Keys,
    interpretations: Sequence[Interpretation],
    names: Sequence[tuple[Key, Key]],
) -> tuple[Reading | None, ...]:
    """One reading for each written chord: the most frequent of its playings, the first on a tie.

    Its goal is that of the first playing that resolves: before endings, in the first ending.
    """
    written = sheet.chords
    passes: list[list[Reading]] = [[] for _ in written]
    for at, event in enumerate(events):
        goal = interpretations[at].goal
        target = None if goal is None else events[goal % len(events)].chords[0]
        reading = Reading(
            names[at][0],
            interpretations[at].numeral,
            interpretations[at].role,
            target,
            names[at][1],
            keys.margin[at],
        )
        for chord in event.chords:
            passes[chord].append(reading)
    return tuple(_most_frequent(found) for found in passes)


def _most_frequent(readings: Sequence[Reading]) -> Reading | None:
    if not readings:
        return None
    if readings.count(readings[0]) == len(readings):
        return readings[0]
    most = Counter(readings).most_common(1)[0][0]
    if most.resolves_to is None:
        return most
    function = most.key, most.numeral, most.role
    return next(
        (
            one
            for one in readings
            if (one.key, one.numeral, one.role) == function and one.resolves_to is not None
        ),
        most,
    )


def _local_names(
    sheet: Sheet, events: Sequence[Event], keys: Keys, home: Key, mode: Mode | None
) -> list[tuple[Key, Key]]:
    """The names of each event's local key and of its runner-up, spelled by its region's roots."""
    written, names, first = sheet.chords, [], 0
    for at in range(1, len(events) + 1):
        if at < len(events) and keys.local[at] == keys.local[first]:
            continue
        region = events[first:at]
        middle = middle_of(
            chord.root for e in region for i in e.chords if (chord := written[i].chord) is not None
        )
        number = keys.local[first]
        stated = [e.settled for e in region if e.settled and key_number(e.settled) == number]
        key = home if number == keys.home else key_named(number, middle, mode)
        key = stated[0] if stated else key
        for event in range(first, at):
            names.append((key, key_named(keys.runner_up[event], middle, mode)))
        first = at
    return names
