"""The practice sheet of a tune: its own ii–V–Is and its hard changes.

Takes a finished chart, gives a `Drill`. The ii–V–Is that read with the same numerals are one, the
most played first: each in place, with the grips that the chart has for it, as a loop in every key
that the tune has it in, then round the keys. The hard changes are those of the most effort, two
chords each, as loops. A tune without a ii–V–I gets dominants round the fourths instead, and a note.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Final

from ...grammar.chord import Chord
from ...grammar.key import Key
from ...grammar.numeral import Numeral, numeral_of
from ...grammar.progression import Progression, Step
from ...grammar.progression_reader import read_progression
from ..chart import CompingChart
from ..form_text import bars_text
from ..harmony.analysis import Area
from ..harmony.numerals import numeral_in
from .cadences import Group, cadences_of, chords_of
from .hard import HardChange, hard_changes
from .laid import laid
from .make import Route, round_the_keys
from .places import Lay
from .progressions import find_named
from .values import Drill, Exercise, Practice
from .written import Block, Sounding, write_blocks

#: What a tune without a ii–V–I gets.
STAND_IN: Final = "dominants"
#: Grips that are fixed already need no places for their roots.
_FIXED: Final = Lay(None)


def drill_of(
    chart: CompingChart, route: Route | None = None, practice: Practice | None = None
) -> Drill:
    """The practice sheet of a tune, for the player of its chart, in its meter unless it is said.

    The route's start is not used: each ii–V–I starts where the tune has it most often, dominants
    start in the tune's key. Raises DrillError or PlanError when no hand of this reach can take them
    round the keys.
    """
    route = route or Route()
    practice = practice or Practice(meter=chart.sheet.header.meter)
    groups = cadences_of(chart)
    exercises: list[Exercise] = []
    for group in groups:
        exercises.append(_in_place(chart, group, practice))
        exercises.append(_round(chart, group, route, practice))
    hard = hard_changes(chart)
    notes: tuple[str, ...] = ()
    if not groups:
        also = " and its hard changes" if hard else ""
        notes = (f"This tune has no ii–V–I: practise dominants{also}.",)
        start = replace(route, start=chart.analysis.key.tonic)
        exercises.append(round_the_keys(find_named(STAND_IN), start, practice, chart.player))
    if hard:
        exercises.append(_hard(chart, hard, practice))
    title = chart.sheet.header.title
    return Drill(f"Practice sheet: {title}" if title else "Practice sheet", tuple(exercises),
                 practice, notes)  # fmt: skip


def _in_place(chart: CompingChart, group: Group, practice: Practice) -> Exercise:
    """The ii–V–I where the tune has it, with the chart's own grips."""
    blocks = [_loop(chart, area.chords, area.key) for area, _ in group.areas]
    says = [_where(area, times) for area, times in group.areas]
    name = f"{group.name} in place"
    why = f"The tune plays it {_times(group.played)}: repeat it until the hand finds it by itself."
    return _looped((name, why), blocks, says, chart, practice)


def _loop(chart: CompingChart, indices: Sequence[int], key: Key) -> Block:
    """Chords of the tune as they are held in it, a bar each, the last of an odd number two."""
    sounding = []
    for at, index in enumerate(indices):
        chord, grip = chart.sheet.chords[index].chord, chart.plan.grips[index]
        if chord is not None:
            last = at + 1 == len(indices) and len(indices) % 2 == 1
            pin = None if grip is None else grip.frets
            numeral = numeral_of(chord, key)
            sounding.append(Sounding(chord, Fraction(2 if last else 1), numeral, pin))
    return Block(key.short, key, tuple(sounding), opens=True)


def _looped(
    words: tuple[str, str], blocks: Sequence[Block], says: Sequence[str], chart: CompingChart,
    practice: Practice,
) -> Exercise:  # fmt: skip
    """An exercise of loops, each repeated by itself; `words` are its name and why."""
    written = write_blocks(words[0], blocks, practice, loops=True)
    stations, own = laid(written, _FIXED, chart.player)
    told = tuple(
        replace(station, says=said, change=None)
        for station, said in zip(stations, says, strict=True)
    )
    return Exercise(*words, own, told, loops=True)


def _round(chart: CompingChart, group: Group, route: Route, practice: Practice) -> Exercise:
    """The ii–V–I of the tune round the keys, from the key that it has it in most often."""
    area = group.areas[0][0]
    numerals = tuple(heard_numeral(chord, area.key) for chord in chords_of(chart, area))
    progression = in_bars(numerals, area.key)
    start = replace(route, start=area.key.tonic)
    exercise = round_the_keys(progression, start, practice, chart.player)
    cycle = exercise.name.partition(", ")[2]
    why = "The same motion in other keys, so that the hand knows it wherever a tune has it."
    return replace(exercise, name=f"{group.name}, {cycle}", why=why)


def heard_numeral(chord: Chord, key: Key) -> Numeral:
    """The numeral of a chord; one over a foreign bass is the plain chord that it sounds as."""
    if chord.bass is None:
        return numeral_of(chord, key)
    (numeral,) = read_progression(numeral_in(chord, key)).numerals
    return numeral


def in_bars(numerals: Sequence[Numeral], key: Key) -> Progression:
    """A bar for each chord; an odd number of bars gets another one of the last chord."""
    bars: list[tuple[Step, ...]] = [(Step(numeral),) for numeral in numerals]
    if len(bars) % 2:
        bars.append(())
    return Progression(tuple(bars), key.mode)


def _hard(chart: CompingChart, hard: Sequence[HardChange], practice: Practice) -> Exercise:
    blocks = [_pair(chart, one) for one in hard]
    says = [f"{bars_text(one.bars).capitalize()}. {one.sentence}" for one in hard]
    why = "The changes that ask most of the hand: slowly first, until the fingers land together."
    return _looped(("Hard changes", why), blocks, says, chart, practice)


def _pair(chart: CompingChart, hard: HardChange) -> Block:
    reading = chart.analysis.readings[hard.start]
    key = chart.analysis.key if reading is None else reading.key
    start, goal = (chart.sheet.chords[index].chord for index in (hard.start, hard.goal))
    return replace(_loop(chart, (hard.start, hard.goal), key), label=f"{start} to {goal}")


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def _where(area: Area, times: int) -> str:
    first = "" if times == 1 else "first "
    return f"{_times(times)} in the tune, {first}in {bars_text(area.bars)}"
