"""The generated sheet of an exercise: a section for each key, every bar of a kind with the last.

Takes blocks of chords with their lengths in bars, gives a `Sheet` and which chords belong to each
block. A chord that fills one bar and the next goes on as `%`; where it begins or ends inside a bar,
it is written again after the bar line.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from ...grammar.chord import Chord
from ...grammar.key import Key
from ...grammar.numeral import Numeral
from ...grammar.sheet import Bar, Frets, Header, Place, Section, Sheet, SheetChord
from .values import Practice


@dataclass(frozen=True, slots=True)
class Sounding:
    """A chord that lasts so many bars; its `numeral`, where one is said; `pin` fixes its grip."""

    chord: Chord
    bars: Fraction
    numeral: Numeral | None = None
    pin: Frets | None = None


@dataclass(frozen=True, slots=True)
class Block:
    """The chords of one station, in one key, under one label; `opens`: a round begins with it."""

    label: str
    key: Key
    chords: tuple[Sounding, ...]
    round: int = 1
    opens: bool = False


@dataclass(frozen=True, slots=True)
class Written:
    """The sheet, the indices of each block's chords, and for each chord its place in its block."""

    sheet: Sheet
    blocks: tuple[Block, ...]
    ranges: tuple[range, ...]
    sources: tuple[int, ...]


def write_blocks(
    title: str, blocks: Sequence[Block], practice: Practice, loops: bool = False
) -> Written:
    """The sheet of the blocks, each beginning on a bar; `loops`: each between repeat signs."""
    bars: list[Bar] = []
    sections, ranges = [], []
    sources: list[int] = []
    for block in blocks:
        first, start = len(bars), len(sources)
        cut = _bars(block.chords, practice)
        for chords in cut:
            bars.append(_bar(chords, len(bars), block, practice))
            sources += _chords(chords)
        if loops and practice.repetitions > 1:
            bars[first] = replace(bars[first], repeat_open=True)
            bars[-1] = replace(bars[-1], repeat_close=practice.repetitions)
        bars[-1] = replace(bars[-1], double_bar=True)
        sections.append(Section(block.label, first, len(cut), Place(first + 1, 1), key=block.key))
        ranges.append(range(start, len(sources)))
    tempo = practice.ladder[0] if practice.ladder else practice.tempo
    header = Header(title, key=blocks[0].key, meter=practice.meter, tempo=tempo)
    sheet = Sheet(header, tuple(sections), tuple(bars))
    return Written(sheet, tuple(blocks), tuple(ranges), tuple(sources))


#: A piece of a chord in one bar: which chord of the block, where it starts and how long, in bars.
_Piece = tuple[int, Fraction, Fraction]


def _bars(chords: Sequence[Sounding], practice: Practice) -> list[list[_Piece]]:
    """The chords cut at the bar lines, none where a bar holds only the chord of the one before.

    What is left of the last bar belongs to the last chord.
    """
    cut: list[list[_Piece]] = []
    at = Fraction(0)
    for source, one in enumerate(chords):
        end = at + one.bars * practice.bars_per_chord
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


def _bar(pieces: Sequence[_Piece], index: int, block: Block, practice: Practice) -> Bar:
    place, beats = Place(index + 1, 1), practice.meter.beats
    if not pieces:
        return Bar(index + 1, practice.meter, (), place, simile=1)
    chords = tuple(
        SheetChord(
            block.chords[source].chord, str(block.chords[source].chord), place,
            start * beats, length * beats, block.chords[source].pin,
        )
        for source, start, length in pieces
    )  # fmt: skip
    return Bar(index + 1, practice.meter, chords, place)
