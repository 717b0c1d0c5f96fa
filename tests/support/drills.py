"""Drills for tests: made from a name or typed numerals, and what of them is looked at."""

from __future__ import annotations

from midneck.converter.drill.drill import Drill, Exercise, Practice
from midneck.converter.drill.make import Route, find_progression, make_drill
from midneck.converter.hand.player import Player


def drill(
    text: str = "ii-V-I",
    route: Route | None = None,
    practice: Practice | None = None,
    player: Player | None = None,
) -> Drill:
    """The drill of a named or typed progression."""
    return make_drill(find_progression(text), route, practice, player)


def exercise(
    text: str = "ii-V-I", route: Route | None = None, player: Player | None = None
) -> Exercise:
    """Its one exercise."""
    (found,) = drill(text, route, None, player).exercises
    return found


def root_frets(found: Exercise) -> dict[str, list[int]]:
    """The frets of the roots in each key."""
    return {
        str(station.key.tonic): [fret for _, fret in roots]
        for station, roots in zip(found.stations, root_places_of(found), strict=True)
    }


def root_strings(found: Exercise) -> dict[str, list[int]]:
    """The strings of the roots in each key."""
    return {
        str(station.key.tonic): [string for string, _ in roots]
        for station, roots in zip(found.stations, root_places_of(found), strict=True)
    }


def root_places_of(found: Exercise) -> list[list[tuple[int, int]]]:
    """String and fret of every root, station by station."""
    grips = found.chart.plan.grips
    return [
        [grip.voicing.root.fret_position for index in station.chords if (grip := grips[index])]
        for station in found.stations
    ]


def symbols(found: Exercise) -> list[str]:
    """The chords of each key, as text."""
    chords = found.chart.sheet.chords
    return [" ".join(chords[index].text for index in each.chords) for each in found.stations]
