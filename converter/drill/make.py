"""Drills of a progression, by name or as typed, round the keys.

`make_drill` takes a `Progression`, with a `Route` and a `Practice`; gives a `Drill` with one
exercise. The strings and octaves of the roots are chosen by `positions`, the grips with these roots
by the planner, both exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Final

from ...grammar.chord import Chord
from ...grammar.errors import nearest
from ...grammar.frozen import frozen
from ...grammar.key import Key, Tonality
from ...grammar.limits import MAX_SEED
from ...grammar.pitch import PitchName
from ...grammar.progression import Progression
from ...grammar.sheet import COMMON_TIME, Meter
from ...grammar.text.progression import chords_typed, is_music, read_progression
from ..hand.player import ADULT, Player
from ..harmony.analyse import key_of
from ..timeline import timeline_of
from .drill import Drill, DrillError, Exercise, Practice
from .exercises import ExerciseChord, KeyBlock, plan_exercise, write_blocks
from .positions import StringChoice
from .progressions import (
    PROGRESSIONS,
    Cycle,
    NamedProgression,
    Rounds,
    find_cycle,
    named_keys,
    named_progression,
    shuffled,
    stepped,
)

#: Where a route starts, and on which strings, where nothing else is asked for.
START: Final = PitchName("C")
STRING_SIX: Final = StringChoice()


@frozen
class Route:
    """The order of the keys, and the strings of the roots.

    `cycle` is a name in `CYCLES`; None is the order of `keys`, or without keys the progression's
    usual cycle. `start` is the first tonic; `seed` draws the random order: 0 to `MAX_SEED`.
    `string_choice` is the string on which rounds start and the rule at the end of the window.
    """

    cycle: str | None = None
    start: PitchName = START
    seed: int | None = None
    keys: tuple[Key, ...] = ()
    string_choice: StringChoice = STRING_SIX


#: The cycle of a progression without a name.
USUAL_CYCLE: Final = "whole-steps"


def find_progression(
    text: str, key: Key | None = None, meter: Meter = COMMON_TIME
) -> NamedProgression | Progression:
    """The progression that a text names, or that it writes in numerals or chords.

    `key` is that of a progression in chords, None for the key that the analysis finds. Raises
    DrillError for an unknown name, SheetError with every mistake of a typed progression.
    """
    named = named_progression(text)
    if named is not None:
        return named
    if text.strip() and not is_music(text):
        raise DrillError(_unknown_message(text.strip()))
    chords = chords_typed(text)
    if chords and key is None:
        key = key_of_chords(chords)
    return read_progression(text, key, meter)


def key_of_chords(chords: tuple[Chord, ...]) -> Key:
    """The key that the analysis finds for chords of a bar each, played over and over."""
    one_bar_each = tuple(ExerciseChord(chord, Fraction(1)) for chord in chords)
    block = KeyBlock("", Key(PitchName("C")), one_bar_each)
    sheet = write_blocks("", [block], Practice()).sheet
    header = replace(sheet.header, key=None)
    sections = tuple(replace(section, key=None) for section in sheet.sections)
    sheet = replace(sheet, header=header, sections=sections)
    return key_of(timeline_of(sheet))


def _unknown_message(text: str) -> str:
    names = [row.name for row in PROGRESSIONS]
    small = {name.lower(): name for name in names}
    near = nearest(text.lower(), list(small))
    hint = f"; did you mean {small[near]}?" if near else ""
    return (
        f"there is no progression {text!r}{hint}\n"
        f"There are {', '.join(names)}; or type one in numerals, as in ii7 | V7 | I6, or in chords."
    )


def make_drill(
    progression: Progression | NamedProgression,
    route: Route | None = None,
    practice: Practice | None = None,
    player: Player | None = None,
) -> Drill:
    """The drill that takes a progression round the keys.

    Raises DrillError when the route or the practice does not fit, PlanError when no hand can do it.
    """
    practice = practice or Practice()
    exercise = round_the_keys(progression, route or Route(), practice, player or ADULT)
    return Drill(exercise.name, (exercise,), practice)


def round_the_keys(
    progression: Progression | NamedProgression, route: Route, practice: Practice, player: Player
) -> Exercise:
    """The exercise that takes one progression through all keys of its route.

    Raises like `make_drill`.
    """
    named = progression if isinstance(progression, NamedProgression) else None
    own = progression.progression if isinstance(progression, NamedProgression) else progression
    usual = named.cycle if named else USUAL_CYCLE
    cycle = find_cycle(route.cycle or ("keys" if route.keys else usual))
    rounds = rounds_of(cycle, route, own.mode)
    lengths = _lengths(own, practice)
    title = named.title if named else str(own)
    blocks = [
        _block(own, lengths, key, number, place == 0)
        for number, row in enumerate(rounds, 1)
        for place, key in enumerate(row)
    ]
    drawn = f" (seed {route.seed})" if cycle.name == "random" else ""
    name = f"{title}, {cycle.description}{drawn}"
    stations, chart = plan_exercise(
        write_blocks(name, blocks, practice), route.string_choice, player
    )
    why = named.why if named else "A progression of your own."
    return Exercise(name, why, chart, stations, own)


def _lengths(progression: Progression, practice: Practice) -> tuple[Fraction, ...]:
    """The length of each chord in bars, before `bars_per_chord` stretches it.

    Raises DrillError where a stretched chord is not a whole number of eighths.
    """
    meter = practice.meter
    lengths = progression.lengths(meter)
    if lengths is None:
        raise DrillError(f"{progression} does not fill bars of {meter} with its slashes")
    bar_eighths = Fraction(8 * meter.beats, meter.unit)
    if any((each * practice.bars_per_chord * bar_eighths).denominator > 1 for each in lengths):
        raise DrillError(
            f"at {practice.bars_per_chord} bars for a chord of one bar, the chords of "
            f"{progression} do not come out in eighths: give them more"
        )
    return lengths


def _block(
    progression: Progression, lengths: Sequence[Fraction], key: Key, number: int, opens: bool
) -> KeyBlock:
    chords = tuple(
        ExerciseChord(numeral.chord_in(key), bars, numeral)
        for numeral, bars in zip(progression.numerals, lengths, strict=True)
    )
    return KeyBlock(key.short, key, chords, number, opens)


def rounds_of(cycle: Cycle, route: Route, mode: Tonality) -> Rounds:
    """The keys of a route, in rounds. Raises DrillError when it lacks its seed or its keys."""
    if cycle.name == "keys":
        return named_keys(route.keys, mode)
    if cycle.name == "random":
        if route.seed is None:
            raise DrillError("a random order needs a seed, so that it can be printed again")
        if not 0 <= route.seed <= MAX_SEED:
            raise DrillError(f"a seed is a whole number from 0 to {MAX_SEED:,}")
        return shuffled(route.start, mode, route.seed)
    return stepped(route.start, mode, cycle.step)
