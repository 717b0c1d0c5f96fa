"""The text about a drill: how to practise it, its facts, why the hand changes strings, a summary.

Takes a `Drill` or its parts, gives sentences and lines without line ends; page and text share them.
"""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap
from typing import Final

from ...grammar.chord import Chord
from ...grammar.key import Key
from ...grammar.numeral import Numeral
from ..drill.drill import Drill, Exercise, Practice, Station
from ..drill.positions import FretPosition, nearest_roots, root_positions
from ..hand.player import Player
from ..harmony.chord_class import DOMINANTS, Sound, chord_class
from ..practice.rhythm import Pattern, find_pattern, usual_pattern
from .facts import counted, meter_text, player_facts

#: The minimum distance in frets beyond the nearest position at which a root that stays on its
#: string gets a sentence.
STAY_FRETS: Final = 3

#: The name of each quality to which a chord can change on the same root.
_TURNS: Final = {
    Sound.MINOR: "minor", Sound.MINOR_7: "minor", Sound.MINOR_6: "minor",
    Sound.MINOR_MAJOR: "minor", Sound.HALF_DIMINISHED: "half-diminished",
    Sound.DIMINISHED: "diminished", Sound.MAJOR: "major", Sound.MAJOR_6: "major",
    Sound.MAJOR_7: "major", Sound.AUGMENTED: "augmented",
}  # fmt: skip


def pivot_sentence(before: Chord, here: Chord, numeral: Numeral, key: Key) -> str | None:
    """`C6 turns minor: Cm7 is the ii of Bb`; None if the roots differ."""
    if before.root.pitch_class != here.root.pitch_class:
        return None
    sound = chord_class(here).sound
    turns = "dominant" if sound in DOMINANTS else _TURNS.get(sound, "into another quality")
    roman = numeral.roman
    name = key.tonic if key.mode == "major" else key
    same = "" if before.root == here.root else f" ({before.root} and {here.root} are one note)"
    if chord_class(before).sound == sound:
        return f"{before} stays: {here} is the {roman} of {name}{same}"
    return f"{before} turns {turns}: {here} is the {roman} of {name}{same}"


def change_sentence(
    before: Sequence[FretPosition],
    roots: Sequence[FretPosition],
    chords: Sequence[Chord],
    player: Player,
) -> str | None:
    """Why the root does not move to the nearest position; None if it does.

    `before` are the roots of the station before, `roots` those of the station with these `chords`.
    A root that stays on its string gets a sentence if it moves `STAY_FRETS` farther than needed.
    """
    nearest = nearest_roots(before[-1], chords, player)
    string, fret = roots[0]
    if (string, fret) == nearest[0]:
        return None
    why = _why(nearest, chords, player)
    if string == nearest[0][0]:
        way = "up" if fret > nearest[0][1] else "down"
        return f"{chords[0]} jumps an octave {way}, to fret {fret} of string {string}: {why}"
    if string != before[0][0]:
        return f"{chords[0]} changes to string {string}, fret {fret}: {why}"
    farther = abs(fret - before[-1][1]) - abs(nearest[0][1] - before[-1][1])
    if farther < STAY_FRETS:
        return None
    return f"{chords[0]} stays on string {string} and goes to fret {fret}: {why}"


def start_sentence(
    wanted: int | None, roots: Sequence[FretPosition], chords: Sequence[Chord], player: Player
) -> str | None:
    """Why a round does not start on the string `wanted`; None if it does."""
    string, fret = roots[0]
    if wanted is None or string == wanted:
        return None
    low, high = player.window
    starts = [position for position in root_positions(chords[0], player) if position[0] == wanted]
    rows = [(start, *nearest_roots(start, chords[1:], player)) for start in starts]
    all_leave = all(any(not low <= fret <= high for _, fret in row) for row in rows)
    why = (
        f"the roots would leave frets {low}–{high}" if all_leave else "not every chord can be held"
    )
    return f"{chords[0]} starts on string {string}, fret {fret}: on string {wanted} {why}"


def choice_sentence(before: FretPosition, root: FretPosition, chord: Chord) -> str | None:
    """The string to which a planner with free choice changes; None if it stays on the string."""
    if root[0] == before[0]:
        return None
    return f"{chord} goes to string {root[0]}, fret {root[1]}: the least effort for the hand"


def _why(nearest: Sequence[FretPosition], chords: Sequence[Chord], player: Player) -> str:
    low, high = player.window
    frets = [fret for _, fret in nearest]
    string = nearest[0][0]
    if min(frets) < 0:
        return f"from string {string} the roots would run off the neck"
    where = f"from string {string} {_listed(frets)}"
    if min(frets) < low:
        return f"{where}, below fret {low}"
    if max(frets) > high:
        return f"{where}, above fret {high}"
    for position, chord in zip(nearest, chords, strict=True):
        if position not in root_positions(chord, player):
            where = f"{chord} would lie at fret {position[1]}"
            return f"from string {string} {where}, where it cannot be held"
    return f"{where}, and the keys that follow would leave frets {low}–{high}"


def _listed(frets: Sequence[int]) -> str:
    if len(frets) == 1:
        return f"the root would lie at fret {frets[0]}"
    return f"the roots would lie at frets {', '.join(map(str, frets))}"


def how_to(drill: Drill) -> list[str]:
    """How a drill is practised, in sentences."""
    practice, several = drill.practice, len(drill.exercises) > 1
    times = practice.repetitions
    count = {1: "once", 2: "twice"}.get(times, f"{times} times")
    what = f"each exercise {count}" if several else f"it through {count}"
    each = " at each tempo" if practice.ladder else ""
    return [
        "Say the key and the string of each root aloud, then play it out of time once.",
        f"In time: play {what}{each}{_tempos(practice)}",
    ]


def _tempos(practice: Practice) -> str:
    if practice.ladder:
        return (
            f", from {practice.ladder[0]} up to {practice.ladder[-1]}. Go on to the next tempo "
            "when this one is easy, and tick it off."
        )
    tempo = "" if practice.tempo is None else f" at tempo {practice.tempo}"
    return f"{tempo}, and tick a box for each time that a key came without a slip."


def drill_facts(drill: Drill) -> tuple[list[str], list[str]]:
    """Two rows of a heading: meter, rhythm, tempo; number of keys or exercises, frets, player."""
    practice = drill.practice
    time = [meter_text(practice.meter)]
    if practice.rhythm is not None:
        time.append(practice.rhythm)
    if practice.ladder:
        time.append(f"tempo {practice.ladder[0]} to {practice.ladder[-1]}")
    elif practice.tempo is not None:
        time.append(f"tempo {practice.tempo}")
    travels = [exercise.chart.plan.travel for exercise in drill.exercises]
    low = min(travel.lowest_fret for travel in travels)
    high = max(travel.highest_fret for travel in travels)
    several = len(drill.exercises) > 1
    keys = counted(len(drill.exercises[0].stations), "key")
    size = counted(len(drill.exercises), "exercise") if several else keys
    player = player_facts(drill.exercises[0].chart.player)
    return time, [size, f"frets {low}–{high}", *player]


def round_name(number: int, rounds: int) -> str:
    """The name of a round: `Round 2 of 3`."""
    return f"Round {number} of {rounds}"


def notes_of(station: Station) -> list[str]:
    """The sentences of a station: its remark, the pivot to its key, why the strings change."""
    return [note for note in (station.remark, station.pivot, station.change) if note]


def bars_of(exercise: Exercise) -> tuple[range, ...]:
    """The indices of the written bars of each station, up to the start of the next station."""
    sheet = exercise.chart.sheet
    starts = [sheet.bar_of(station.chords[0]) for station in exercise.stations]
    return tuple(range(*pair) for pair in zip(starts, [*starts[1:], len(sheet.bars)], strict=True))


def pattern_of(exercise: Exercise, practice: Practice) -> Pattern:
    """The rhythm of an exercise: that of `practice`, or the default of its meter."""
    header = exercise.chart.sheet.header
    if practice.rhythm is None:
        return usual_pattern(header.meter, header.feel)
    return find_pattern(practice.rhythm, header.meter)


def summary_lines(drill: Drill) -> list[str]:
    """A drill in lines of at most 80 columns: its exercises, keys and changes of strings."""
    lines = [drill.title, *(f"  {note}" for note in drill.notes)]
    for exercise in drill.exercises:
        if len(drill.exercises) > 1:
            lines += wrap(exercise.name, 78, initial_indent="  ", subsequent_indent="  ")
        lines += _row("keys", " | ".join(_keys_by_round(exercise)))
        for station in exercise.stations:
            if station.change is not None:
                lines += _row("change", station.change)
    return lines


def _keys_by_round(exercise: Exercise) -> list[str]:
    """The keys of each round in a row; those of loops once, for several can be in one key."""
    rounds: dict[int, list[str]] = {}
    for station in exercise.stations:
        names = rounds.setdefault(station.round, [])
        if not exercise.loops or station.key.short not in names:
            names.append(station.key.short)
    return [" ".join(names) for names in rounds.values()]


def _row(name: str, text: str) -> list[str]:
    return wrap(text, 80, initial_indent=f"  {name:<8}", subsequent_indent=" " * 10)
