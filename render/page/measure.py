"""How wide a written bar wants to be, and where its chords stand in the width it gets."""

from __future__ import annotations

from dataclasses import dataclass

from .cell import Cell, make_cell
from .setting import Setting


@dataclass(frozen=True, slots=True)
class Space:
    """What a bar keeps free at its left (`before`) and right (`after`) end, and between chords."""

    before: float
    after: float
    between: float


def space_of(setting: Setting, number: int, meter_changes: bool) -> Space:
    """The room for bar lines, repeat dots and a new meter beside the plain padding."""
    bars = setting.chart.sheet.bars
    bar, size = bars[number], setting.sizes.symbol
    before = size * (0.42 + 0.40 * bar.repeat_open + 0.85 * meter_changes)
    heavy = bar.double_bar or number == len(bars) - 1
    after = size * (0.16 + (0.42 if bar.repeat_close else 0.22 * heavy))
    return Space(before, after, 0.26 * size)


def cells_of(setting: Setting, number: int) -> tuple[Cell, ...]:
    """The chords of the written bar with index `number`."""
    first = setting.first_chords[number]
    count = len(setting.chart.sheet.bars[number].chords)
    return tuple(make_cell(setting, index) for index in range(first, first + count))


def needed(cells: tuple[Cell, ...], space: Space) -> float:
    """The least width of a bar with these chords."""
    gaps = space.between * max(0, len(cells) - 1)
    return space.before + space.after + sum(cell.width for cell in cells) + gaps


def places(setting: Setting, cells: tuple[Cell, ...], space: Space, width: float) -> list[float]:
    """Left edges of the chords: where their beat falls, pushed apart as far as they need."""
    if not cells:
        return []
    written = [setting.chords[cell.index] for cell in cells]
    first, end = written[0].start, written[-1].start + written[-1].beats
    room = (width - space.before - space.after) / float(end - first)
    starts = [space.before + room * float(chord.start - first) for chord in written]
    for place in range(1, len(cells)):
        least = starts[place - 1] + cells[place - 1].width + space.between
        starts[place] = max(starts[place], least)
    limit = width - space.after
    for place in range(len(cells) - 1, -1, -1):
        starts[place] = min(starts[place], limit - cells[place].width)
        limit = starts[place] - space.between
    return starts
