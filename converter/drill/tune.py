"""The drill of a tune: its own ii–V–Is and its hard changes.

`drill_of` takes a finished chart; gives a `Drill`. The ii–V–Is with the same numerals are one, the
most played first: each in place, with the grips that the chart has for it, as a loop in every key
that the tune has it in, then round the keys. The hard changes are the first of `hard_changes`, two
chords each, as loops. A tune without a ii–V–I gets dominants round the fourths instead, a modal
tune its own kinds of chords, and both a note.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import groupby
from typing import Final

from ...grammar.chord import Chord
from ...grammar.frozen import frozen
from ...grammar.key import Key
from ...grammar.numeral import Numeral, numeral_of
from ...grammar.pitch import PitchName
from ...grammar.progression import Progression, ProgressionStep
from ...grammar.sheet import Sheet
from ..chart import CompingChart
from ..explain import PlayedChange, change_in, hard_changes
from ..hand.grip import Grip
from ..hand.player import Player
from ..harmony.analysis import Area, Reading
from ..harmony.chord_class import Sound, chord_class
from ..harmony.numerals import numeral_in
from ..prose.facts import bars_text, played_text
from ..prose.hand import sentence_of
from .drill import Drill, Exercise, Practice
from .exercises import ExerciseChord, KeyBlock, plan_exercise, write_blocks
from .make import Route, round_the_keys
from .positions import StringChoice
from .progressions import NamedProgression, find_named

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
    rounds = [taken_round(own, route, practice, chart.player) for own in progressions_of(chart)]
    groups = cadences_of(chart)
    exercises: list[Exercise] = []
    for group, taken in zip(groups, rounds, strict=False):
        exercises += [_exercise_in_place(chart, group, practice), taken]
    exercises += [] if groups else rounds
    hard = hard_changes(chart)
    if hard:
        exercises.append(_exercise_on_hard_changes(chart, hard, practice))
    return Drill(_title(chart), tuple(exercises), practice, _notes(chart))


def drill_in_place(chart: CompingChart) -> Drill | None:
    """The part of `drill_of` that is the tune's own: its ii–V–Is in place, and its hard changes.

    None for a tune that has neither. Raises like `drill_of`.
    """
    practice = Practice(meter=chart.sheet.header.meter)
    exercises = [_exercise_in_place(chart, group, practice) for group in cadences_of(chart)]
    hard = hard_changes(chart)
    if hard:
        exercises.append(_exercise_on_hard_changes(chart, hard, practice))
    return Drill(_title(chart), tuple(exercises), practice) if exercises else None


def _title(chart: CompingChart) -> str:
    title = chart.sheet.header.title
    return f"Practice sheet: {title}" if title else "Practice sheet"


def _notes(chart: CompingChart) -> tuple[str, ...]:
    """What a tune without a ii–V–I is practised by."""
    if cadences_of(chart):
        return ()
    what = "its own kinds of chords" if chart.analysis.key.modal else "dominants"
    also = " and its hard changes" if hard_changes(chart) else ""
    return (f"This tune has no ii–V–I: practise {what}{also}.",)


@frozen
class TuneProgression:
    """A progression of a tune that is taken round the keys, and the tonic that it starts on.

    `name` stands before the way round the keys and `why` below it, "" for those of a named
    progression. `cycle` is the usual one, None for that of the progression. `played` is how often
    the tune plays it.
    """

    progression: NamedProgression | Progression
    start: PitchName
    played: int = 1
    name: str = ""
    why: str = ""
    cycle: str | None = None


def progressions_of(chart: CompingChart) -> list[TuneProgression]:
    """What a tune takes round the keys: its ii–V–Is, the most played first; where it has none,
    dominants, or the kinds of chords of a modal tune.
    """
    groups = cadences_of(chart)
    if groups:
        return [_cadence_round_the_keys(chart, group) for group in groups]
    if chart.analysis.key.modal:
        return [_kinds_round_the_keys(chart)]
    return [TuneProgression(find_named(FALLBACK_PROGRESSION), chart.analysis.key.tonic)]


def taken_round(own: TuneProgression, route: Route, practice: Practice, player: Player) -> Exercise:
    """The exercise that takes a tune's progression round the keys. Raises like `make_drill`."""
    route = replace(route, start=own.start)
    if own.cycle is not None and route.cycle is None and not route.keys:
        route = replace(route, cycle=own.cycle)
    exercise = round_the_keys(own.progression, route, practice, player)
    if not own.name:
        return exercise
    way = exercise.name.partition(", ")[2]
    return replace(exercise, name=f"{own.name}, {way}", why=own.why)


def _kinds_round_the_keys(chart: CompingChart) -> TuneProgression:
    """The first chord of each sound in a modal tune."""
    key = chart.analysis.key
    kinds: dict[Sound, Numeral] = {}
    for index in chart.form.chords:
        chord = chart.sheet.chords[index].chord
        if chord is not None:
            kinds.setdefault(chord_class(chord).sound, plain_numeral(chord, key))
    progression = one_chord_a_bar(tuple(kinds.values())[:MOST_KINDS], key)
    why = "The tune's own kinds of chords in other keys: a modal tune asks for few, well known."
    name = f"Its own chords: {progression}"
    return TuneProgression(progression, key.tonic, 1, name, why, KINDS_CYCLE)


def _exercise_in_place(chart: CompingChart, group: CadenceGroup, practice: Practice) -> Exercise:
    """The exercise on ii–V–Is where the tune has them, with the chart's own grips."""
    held = chart.plan.grips
    blocks = [
        _loop_block(chart, area.chords, [held[index] for index in area.chords], area.key)
        for area, _ in group.areas
    ]
    remarks = [_places_text(chart.sheet, area, times) for area, times in group.areas]
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


def _cadence_round_the_keys(chart: CompingChart, group: CadenceGroup) -> TuneProgression:
    """A ii–V–I, from the key that it is played in most."""
    area = group.areas[0][0]
    numerals = tuple(plain_numeral(chord, area.key) for chord in chords_of(chart, area))
    progression = one_chord_a_bar(numerals, area.key)
    why = "The same motion in other keys, so that the hand knows it wherever a tune has it."
    return TuneProgression(progression, area.key.tonic, group.played, group.name, why)


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
    chords = tuple(
        replace(one, reading=_read_in_loop(chart, index, hard))
        for one, index in zip(block.chords, (hard.start, hard.goal), strict=True)
    )
    return replace(block, label=" to ".join(_symbols(chart, hard)), chords=chords)


def _read_in_loop(chart: CompingChart, index: int, hard: PlayedChange) -> Reading | None:
    """The chart's reading of a chord of a hard change; of its goals only the other chord counts."""
    reading = chart.analysis.readings[index]
    if reading is None:
        return None
    aims = index == hard.start and reading.resolves_to == hard.goal
    return replace(reading, resolves_to=1 if aims else None)


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


def _places_text(sheet: Sheet, area: Area, times: int) -> str:
    first = "" if times == 1 else "first "
    return f"{_times(times)} in the tune, {first}in {played_text(sheet, area.bars, True)}"
