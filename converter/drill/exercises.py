"""Exercises: from blocks of chords to a sheet, and from the sheet to a planned chart.

`make` chooses chords and keys; this step writes, plans and analyses them, the same for all drills.
Takes blocks with the lengths of their chords in bars. The sheet has a section for each block; a
chord that fills one bar and the next goes on as `%`, one that begins or ends inside a bar is
written again after the bar line. All keys of a sheet are planned at once, as one form.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from ...grammar.chord import Chord
from ...grammar.errors import SourcePosition
from ...grammar.frozen import frozen
from ...grammar.key import Key
from ...grammar.numeral import Numeral
from ...grammar.sheet import Bar, Fingers, Frets, Header, Section, Sheet, SheetChord
from ..chart import CompingChart
from ..hand.plan import GripPlan, PlanOptions
from ..hand.planner import plan_hand
from ..hand.player import Player
from ..harmony.analyse import analyse
from ..harmony.analysis import Analysis, Reading
from ..harmony.chord_class import chord_class
from ..harmony.numerals import numeral_in, with_sound
from ..prose.drill import change_sentence, choice_sentence, pivot_sentence, start_sentence
from ..timeline import Timeline, timeline_of
from .drill import Practice, Station
from .positions import FretPosition, StringChoice, choose_roots


@frozen
class ExerciseChord:
    """A chord that lasts so many `bars`; its `numeral` where it has one; `pin` fixes its grip.

    `fingers` are those of the pin, None for the player's own. `reading` is the one that the chart
    of a tune has, its `resolves_to` counted in the block; None: read in the key of its block.
    """

    chord: Chord
    bars: Fraction
    numeral: Numeral | None = None
    pin: Frets | None = None
    fingers: Fingers | None = None
    reading: Reading | None = None


@frozen
class KeyBlock:
    """The chords of one station, in one key, under one label; `opens`: a round begins with it."""

    label: str
    key: Key
    chords: tuple[ExerciseChord, ...]
    round: int = 1
    opens: bool = False


@frozen
class ExerciseSheet:
    """The sheet of an exercise, and where the chords of its blocks stand.

    `ranges` are the indices of each block's chords in the sheet; `sources` gives for each chord of
    the sheet its index in its block.
    """

    sheet: Sheet
    blocks: tuple[KeyBlock, ...]
    ranges: tuple[range, ...]
    sources: tuple[int, ...]


def write_blocks(
    title: str, blocks: Sequence[KeyBlock], practice: Practice, loops: bool = False
) -> ExerciseSheet:
    """The sheet of some blocks, each of which begins on a bar.

    `loops`: each block stands between repeat signs, with the repetitions of the practice.
    """
    bars: list[Bar] = []
    sections, ranges = [], []
    sources: list[int] = []
    for block in blocks:
        first, start = len(bars), len(sources)
        pieces = _bars(block.chords, practice)
        for row in pieces:
            bars.append(_bar(row, len(bars), block, practice))
            sources += _chords(row)
        if loops and practice.repetitions > 1:
            bars[first] = replace(bars[first], repeat_open=True)
            bars[-1] = replace(bars[-1], repeat_close=practice.repetitions)
        bars[-1] = replace(bars[-1], double_bar=True)
        sections.append(
            Section(block.label, first, len(pieces), SourcePosition(first + 1, 1), key=block.key)
        )
        ranges.append(range(start, len(sources)))
    tempo = practice.ladder[0] if practice.ladder else practice.tempo
    header = Header(title, key=blocks[0].key, meter=practice.meter, tempo=tempo)
    sheet = Sheet(header, tuple(sections), tuple(bars))
    return ExerciseSheet(sheet, tuple(blocks), tuple(ranges), tuple(sources))


#: A piece of a chord in one bar: which chord of the block, where it starts and how long, in bars.
_Piece = tuple[int, Fraction, Fraction]


def _bars(chords: Sequence[ExerciseChord], practice: Practice) -> list[list[_Piece]]:
    """The pieces of the chords in each bar; none in a bar that holds only the chord before it.

    The last chord lasts to the end of its bar.
    """
    cut: list[list[_Piece]] = []
    at = Fraction(0)
    for source, chord in enumerate(chords):
        end = at + chord.bars * practice.bars_per_chord
        if source + 1 == len(chords):
            end = Fraction(-(-end // 1))
        while at < end:
            bar = int(at)
            if bar == len(cut):
                cut.append([])
            stop = min(end, Fraction(bar + 1))
            cut[bar].append((source, at - bar, stop - at))
            at = stop
    return [
        [] if at and len(pieces) == 1 and _chords(pieces) == _chords(cut[at - 1]) else pieces
        for at, pieces in enumerate(cut)
    ]


def _chords(pieces: Sequence[_Piece]) -> list[int]:
    return [source for source, _, _ in pieces]


def _bar(pieces: Sequence[_Piece], index: int, block: KeyBlock, practice: Practice) -> Bar:
    position, beats = SourcePosition(index + 1, 1), practice.meter.beats
    if not pieces:
        return Bar(index + 1, practice.meter, (), position, simile=1)
    chords = tuple(
        SheetChord(
            block.chords[source].chord, str(block.chords[source].chord), position,
            start * beats, length * beats, block.chords[source].pin,
            fingers=block.chords[source].fingers,
        )
        for source, start, length in pieces
    )  # fmt: skip
    return Bar(index + 1, practice.meter, chords, position)


def plan_exercise(
    exercise: ExerciseSheet, choice: StringChoice, player: Player
) -> tuple[tuple[Station, ...], CompingChart]:
    """The stations and the planned chart of an exercise.

    Raises DrillError or PlanError when no hand of this reach can do it.
    """
    timeline = timeline_of(exercise.sheet)
    roots = None if choice.start is None else _roots(exercise, choice, player)
    options = PlanOptions(roots=roots)
    plan = plan_hand(timeline, player, options)
    chart = CompingChart(timeline, _analysis(exercise, timeline), plan, player, options)
    return _stations(exercise, plan, choice, player), chart


def _roots(
    exercise: ExerciseSheet, choice: StringChoice, player: Player
) -> tuple[FretPosition, ...]:
    """The position of the root of every chord of the sheet."""
    chords = [tuple(each.chord for each in block.chords) for block in exercise.blocks]
    opens = [block.opens for block in exercise.blocks]
    positions = choose_roots(chords, opens, choice, player)
    return tuple(
        roots[exercise.sources[index]]
        for roots, indices in zip(positions, exercise.ranges, strict=True)
        for index in indices
    )


def _analysis(exercise: ExerciseSheet, timeline: Timeline) -> Analysis:
    """The analysis of the sheet, each chord read in the key of its station or as its tune has it.

    A drill goes round many keys: its home key is the first, and notes on the key are left out.
    """
    analysis = analyse(timeline)
    readings = list(analysis.readings)
    for block, indices in zip(exercise.blocks, exercise.ranges, strict=True):
        for index in indices:
            reading, item = readings[index], block.chords[exercise.sources[index]]
            if item.reading is not None:
                readings[index] = _moved(item.reading, exercise.sources, indices)
            elif reading is not None and item.numeral is not None:
                numeral = _chart_numeral(item.numeral, item.chord, block.key)
                readings[index] = replace(reading, key=block.key, numeral=numeral)
    home = exercise.blocks[0].key
    return replace(analysis, key=home, readings=tuple(readings), notes=())


def _moved(reading: Reading, sources: Sequence[int], indices: range) -> Reading:
    """A reading whose `resolves_to` counts in the sheet instead of the block of these chords."""
    goal = reading.resolves_to
    aim = next((index for index in indices if goal is not None and sources[index] == goal), None)
    return replace(reading, resolves_to=aim)


def _chart_numeral(numeral: Numeral, chord: Chord, key: Key) -> Numeral:
    """The numeral that a chart prints; applied and substitute dominants keep theirs."""
    if numeral.of is None and not numeral.substitute:
        return numeral_in(chord, key)
    return with_sound(numeral, chord_class(chord).sound)


def _stations(
    exercise: ExerciseSheet, plan: GripPlan, choice: StringChoice, player: Player
) -> tuple[Station, ...]:
    stations: list[Station] = []
    before: tuple[KeyBlock, list[FretPosition]] | None = None
    for block, indices in zip(exercise.blocks, exercise.ranges, strict=True):
        roots = _root_positions(plan, indices)
        pivot = change = None
        chords = [each.chord for each in block.chords]
        if block.opens:
            change = start_sentence(choice.start, roots, chords, player)
        elif before is not None:
            pivot = _pivot(before[0], block)
            if choice.start is None:
                change = choice_sentence(before[1][0], roots[0], chords[0])
            else:
                change = change_sentence(before[1], roots, chords, player)
        stations.append(Station(block.key, block.round, indices, roots[0][0], pivot, change))
        before = block, roots
    return tuple(stations)


def _pivot(before: KeyBlock, block: KeyBlock) -> str | None:
    here = block.chords[0]
    if here.numeral is None:
        return None
    return pivot_sentence(before.chords[-1].chord, here.chord, here.numeral, block.key)


def _root_positions(plan: GripPlan, indices: range) -> list[FretPosition]:
    grips = (plan.grips[index] for index in indices)
    return [grip.voicing.root.fret_position for grip in grips if grip is not None]
