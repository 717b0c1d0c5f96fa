"""The drills of many tunes: a progression that several tunes share is taken round the keys once.

Takes what `progressions_of` gives for each tune; gives `SharedDrill`s. Progressions are the same
when numerals, mode, meter and player are.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from ...grammar.frozen import frozen
from ...grammar.pitch import PitchName
from ...grammar.progression import Progression
from ...grammar.sheet import Meter
from ..chart import CompingChart
from ..hand.player import Player
from .drill import Drill, Practice
from .make import Route
from .progressions import NamedProgression
from .tune import TuneProgression, progressions_of, taken_round

#: What stands below the name of a drill that comes from several tunes.
_SHARED: Final = "The same motion in other keys, so that the hand knows it wherever a tune has it."


@frozen
class TuneProgressions:
    """What a tune takes round the keys, in its meter and for its player."""

    progressions: tuple[TuneProgression, ...]
    meter: Meter
    player: Player


@frozen
class SharedDrill:
    """A progression round the keys, and the places of the tunes that have it."""

    drill: Drill
    tunes: tuple[int, ...]


def tune_progressions(chart: CompingChart) -> TuneProgressions:
    """What the tune of a chart takes round the keys."""
    header = chart.sheet.header
    return TuneProgressions(tuple(progressions_of(chart)), header.meter, chart.player)


def shared_drills(tunes: Sequence[TuneProgressions]) -> list[SharedDrill]:
    """Each progression of the tunes once, that of most tunes first.

    It starts on the tonic on which most of its tunes have it, and where these are equal on that of
    the first of them. Raises DrillError or PlanError when no hand can take one round the keys.
    """
    found: dict[
        tuple[NamedProgression | Progression, Meter, Player], list[tuple[int, TuneProgression]]
    ] = {}
    for place, tune in enumerate(tunes):
        for own in tune.progressions:
            found.setdefault((own.progression, tune.meter, tune.player), []).append((place, own))
    drills = [_shared(held, meter, player) for (_, meter, player), held in found.items()]
    return sorted(drills, key=lambda each: (-len(each.tunes), each.tunes))


def _shared(
    held: Sequence[tuple[int, TuneProgression]], meter: Meter, player: Player
) -> SharedDrill:
    """The drill of one progression that some tunes hold, by their places."""
    starts: Counter[PitchName] = Counter()
    for _, own in held:
        starts[own.start] += own.played
    first = held[0][1]
    own = replace(first, start=max(starts, key=lambda start: starts[start]))
    if len(held) > 1 and own.name:
        own = replace(own, why=_SHARED)
    practice = Practice(meter=meter)
    exercise = taken_round(own, Route(), practice, player)
    places = tuple(dict.fromkeys(place for place, _ in held))
    return SharedDrill(Drill(exercise.name, (exercise,), practice), places)
