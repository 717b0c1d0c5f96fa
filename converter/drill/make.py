"""Drills: of a progression, by name or as typed, round the keys, and of a tune.

`make_drill` takes a `Progression`, with a `Route` and a `Practice`; gives a `Drill` with one
exercise. The strings and octaves of the roots are chosen by `positions`, the grips with these roots
by the planner, both exactly.

`drill_of` takes a finished chart; gives a `Drill` of its own ii–V–Is and its hard changes. The
ii–V–Is with the same numerals are one, the most played first: each in place, with the grips that
the chart has for it, as a loop in every key that the tune has it in, then round the keys. The hard
changes are the first of `hard_changes`, two chords each, as loops. A tune without a ii–V–I gets
dominants round the fourths instead, a modal tune its own kinds of chords, and both a note.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from difflib import get_close_matches
from fractions import Fraction
from itertools import groupby
from typing import Final

from ...grammar.chord import Chord
from ...grammar.frozen import frozen
from ...grammar.key import Key, Tonality
from ...grammar.numeral import Numeral, numeral_of
from ...grammar.pitch import PitchName
from ...grammar.progression import Progression, ProgressionStep
from ...grammar.sheet import COMMON_TIME, Meter
from ...grammar.text.progression import chords_typed, is_music, read_progression
from ..chart import CompingChart
from ..hand.explain import PlayedChange, change_in, hard_changes
from ..hand.grip import Grip
from ..hand.player import Player
from ..harmony.analyse import key_of
from ..harmony.analysis import Area
from ..harmony.chord_class import Sound, chord_class
from ..harmony.numerals import numeral_in
from ..prose.facts import bars_text
from ..prose.hand import sentence_of
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
    find_named,
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
    usual cycle. `start` is the first tonic; `seed` draws the random order. `string_choice` is the
    string on which rounds start and the rule at the end of the window.
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
    near = get_close_matches(text.lower(), [name.lower() for name in names], 1, 0.6)
    nearest = [name for name in names if near and name.lower() == near[0]]
    hint = f"; did you mean {nearest[0]}?" if nearest else ""
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
    exercise = round_the_keys(progression, route or Route(), practice, player or Player())
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
        return shuffled(route.start, mode, route.seed)
    return stepped(route.start, mode, cycle.step)


#: The kind of area that is taken round the keys.
CADENCE: Final = "ii-V-I"
#: The name of the progression for a tune without a ii–V–I.
FALLBACK_PROGRESSION: Final = "dominants"
#: The most kinds of chords of a modal tune that go round the keys, and the cycle they go in.
MOST_KINDS: Final = 4
KINDS_CYCLE: Final = "fourths"
#: The choice of strings where all grips are pinned.
_FIXED_GRIPS: Final = StringChoice(None)


@frozen
class CadenceGroup:
    """ii–V–Is with the same numerals: one area for each key, and how often the tune plays it there.

    The most played come first.
    """

    numerals: tuple[Numeral, ...]
    areas: tuple[tuple[Area, int], ...]

    @property
    def played(self) -> int:
        """How often the tune plays them in all."""
        return sum(times for _, times in self.areas)

    @property
    def name(self) -> str:
        """The numerals in a row, none twice in succession: ii7–V7–I6."""
        return "–".join(numeral.typeset for numeral, _ in groupby(self.numerals))


def cadences_of(chart: CompingChart) -> list[CadenceGroup]:
    """The tune's ii–V–Is by their numerals, the most played first, ties in order of appearance."""
    areas_of: dict[tuple[Numeral, ...], list[tuple[Area, int]]] = {}
    for area in chart.analysis.areas:
        if area.kind == CADENCE:
            numerals = tuple(numeral_in(chord, area.key) for chord in chords_of(chart, area))
            times = min(chart.form.chords.count(index) for index in area.chords)
            areas_of.setdefault(numerals, []).append((area, times))
    groups = [CadenceGroup(numerals, _by_key(areas)) for numerals, areas in areas_of.items()]
    return sorted(groups, key=lambda group: -group.played)


def _by_key(areas: Sequence[tuple[Area, int]]) -> tuple[tuple[Area, int], ...]:
    """The first area of each key, with the plays of all in that key; the most played first."""
    keys: dict[tuple[int, str], tuple[Area, int]] = {}
    for area, times in areas:
        sound = area.key.tonic.pitch_class, area.key.mode
        first, before = keys.get(sound, (area, 0))
        keys[sound] = first, before + times
    return tuple(sorted(keys.values(), key=lambda area_and_times: -area_and_times[1]))


def chords_of(chart: CompingChart, area: Area) -> tuple[Chord, ...]:
    """The chords of an area, in played order."""
    written = (chart.sheet.chords[index].chord for index in area.chords)
    return tuple(chord for chord in written if chord is not None)


def drill_of(
    chart: CompingChart, route: Route | None = None, practice: Practice | None = None
) -> Drill:
    """The practice sheet of a tune, for the player of its chart; in its meter without `practice`.

    The route's start is not used: each ii–V–I starts where the tune has it most often, dominants
    start in the tune's key. Raises DrillError or PlanError when no hand of this reach can take them
    round the keys.
    """
    route = route or Route()
    practice = practice or Practice(meter=chart.sheet.header.meter)
    groups = cadences_of(chart)
    exercises: list[Exercise] = []
    for group in groups:
        exercises.append(_exercise_in_place(chart, group, practice))
        exercises.append(_exercise_round_the_keys(chart, group, route, practice))
    hard = hard_changes(chart)
    notes: tuple[str, ...] = ()
    if not groups:
        also = " and its hard changes" if hard else ""
        start = replace(route, start=chart.analysis.key.tonic)
        is_modal = chart.analysis.key.modal
        what = "its own kinds of chords" if is_modal else "dominants"
        notes = (f"This tune has no ii–V–I: practise {what}{also}.",)
        exercises.append(
            _exercise_on_kinds(chart, start, practice)
            if is_modal
            else round_the_keys(find_named(FALLBACK_PROGRESSION), start, practice, chart.player)
        )
    if hard:
        exercises.append(_exercise_on_hard_changes(chart, hard, practice))
    title = chart.sheet.header.title
    return Drill(f"Practice sheet: {title}" if title else "Practice sheet", tuple(exercises),
                 practice, notes)  # fmt: skip


def _exercise_on_kinds(chart: CompingChart, route: Route, practice: Practice) -> Exercise:
    """The exercise that takes the first chord of each sound in a modal tune round the keys."""
    key = chart.analysis.key
    kinds: dict[Sound, Numeral] = {}
    for index in chart.form.chords:
        chord = chart.sheet.chords[index].chord
        if chord is not None:
            kinds.setdefault(chord_class(chord).sound, plain_numeral(chord, key))
    progression = one_chord_a_bar(tuple(kinds.values())[:MOST_KINDS], key)
    if route.cycle is None and not route.keys:
        route = replace(route, cycle=KINDS_CYCLE)
    exercise = round_the_keys(progression, route, practice, chart.player)
    why = "The tune's own kinds of chords in other keys: a modal tune asks for few, well known."
    return replace(exercise, name=f"Its own chords: {exercise.name}", why=why)


def _exercise_in_place(chart: CompingChart, group: CadenceGroup, practice: Practice) -> Exercise:
    """The exercise on ii–V–Is where the tune has them, with the chart's own grips."""
    held = chart.plan.grips
    blocks = [
        _loop_block(chart, area.chords, [held[index] for index in area.chords], area.key)
        for area, _ in group.areas
    ]
    remarks = [_places_text(area, times) for area, times in group.areas]
    name = f"{group.name} in place"
    why = f"The tune plays it {_times(group.played)}: repeat it until the hand finds it by itself."
    return _exercise_of_loops((name, why), blocks, remarks, chart, practice)


def _loop_block(
    chart: CompingChart, indices: Sequence[int], grips: Sequence[Grip | None], key: Key
) -> KeyBlock:
    """Chords of the tune in some grips: a bar for each, two for the last of an odd number."""
    chords = []
    for at, (index, grip) in enumerate(zip(indices, grips, strict=True)):
        written = chart.sheet.chords[index]
        chord, fingers = written.chord, written.fingers
        if chord is not None:
            last = at + 1 == len(indices) and len(indices) % 2 == 1
            pin = None if grip is None else grip.frets
            numeral = numeral_of(chord, key)
            bars = Fraction(2 if last else 1)
            chords.append(ExerciseChord(chord, bars, numeral, pin, fingers))
    return KeyBlock(key.short, key, tuple(chords), opens=True)


def _exercise_of_loops(
    texts: tuple[str, str], blocks: Sequence[KeyBlock], remarks: Sequence[str], chart: CompingChart,
    practice: Practice,
) -> Exercise:  # fmt: skip
    """An exercise of loops, each repeated by itself; `texts` are its name and its `why`."""
    exercise = write_blocks(texts[0], blocks, practice, loops=True)
    stations, planned = plan_exercise(exercise, _FIXED_GRIPS, chart.player)
    stations = tuple(
        replace(station, remark=remark, change=None)
        for station, remark in zip(stations, remarks, strict=True)
    )
    return Exercise(*texts, planned, stations, loops=True)


def _exercise_round_the_keys(
    chart: CompingChart, group: CadenceGroup, route: Route, practice: Practice
) -> Exercise:
    """The exercise that takes a ii–V–I round the keys, from the one that it is played in most."""
    area = group.areas[0][0]
    numerals = tuple(plain_numeral(chord, area.key) for chord in chords_of(chart, area))
    progression = one_chord_a_bar(numerals, area.key)
    start = replace(route, start=area.key.tonic)
    exercise = round_the_keys(progression, start, practice, chart.player)
    cycle = exercise.name.partition(", ")[2]
    why = "The same motion in other keys, so that the hand knows it wherever a tune has it."
    return replace(exercise, name=f"{group.name}, {cycle}", why=why)


def plain_numeral(chord: Chord, key: Key) -> Numeral:
    """The numeral of a chord; of one over another bass, that of the plain chord it sounds like."""
    return numeral_of(chord, key) if chord.bass is None else numeral_in(chord, key)


def one_chord_a_bar(numerals: Sequence[Numeral], key: Key) -> Progression:
    """The progression with a bar for each chord, two for the last of an odd number."""
    bars: list[tuple[ProgressionStep, ...]] = [(ProgressionStep(numeral),) for numeral in numerals]
    if len(bars) % 2:
        bars.append(())
    return Progression(tuple(bars), key.tonality)


def _exercise_on_hard_changes(
    chart: CompingChart, hard: Sequence[PlayedChange], practice: Practice
) -> Exercise:
    blocks = [_change_block(chart, change) for change in hard]
    remarks = [_change_text(chart, change) for change in hard]
    why = "The changes that ask most of the hand: slowly first, until the fingers land together."
    return _exercise_of_loops(("Hard changes", why), blocks, remarks, chart, practice)


def _change_block(chart: CompingChart, hard: PlayedChange) -> KeyBlock:
    reading = chart.analysis.readings[hard.start]
    key = chart.analysis.key if reading is None else reading.key
    block = _loop_block(chart, (hard.start, hard.goal), hard.grips, key)
    return replace(block, label=" to ".join(_symbols(chart, hard)))


def _change_text(chart: CompingChart, hard: PlayedChange) -> str:
    """A hard change in words, with its bars."""
    numbers = chart.sheet.bar_numbers
    bars = bars_text((numbers[hard.start], numbers[hard.goal]))
    return f"{bars.capitalize()}. {sentence_of(change_in(chart, hard), _symbols(chart, hard))}"


def _symbols(chart: CompingChart, hard: PlayedChange) -> tuple[str, str]:
    chords = chart.sheet.chords
    return str(chords[hard.start].chord), str(chords[hard.goal].chord)


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def _places_text(area: Area, times: int) -> str:
    first = "" if times == 1 else "first "
    return f"{_times(times)} in the tune, {first}in {bars_text(area.bars)}"
