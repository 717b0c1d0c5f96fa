"""Blocks of text and pictures: headings, paragraphs, boxes to tick, grids with captions, tables.

A block is a group of items whose top left corner is (0, 0); `flowing` makes it one that `flow`
places on pages. Lengths are points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ....converter.hand.grip import Grip, grip_alternative
from ....grammar.chord import Chord
from .flow import FlowBlock
from .fonts import BOLD, CAP_HEIGHT, REGULAR, measure, spans
from .geometry import moved
from .grid import GridLook, draw_grid
from .items import HEADING_GROUP, TEXT_GROUP, Group, Item, Line, Rect, Text, grouped
from .style import Symbols
from .symbol import set_symbol, with_signs

#: Distance of baselines, in ems.
LEADING = 1.4
#: The smallest part of its size that a long text may shrink to before it takes more lines.
SHRINK = 0.7


@dataclass(frozen=True, slots=True)
class Block:
    """Items round their own origin; `keep`: the next block stays on the same page."""

    items: tuple[Item, ...]
    width: float
    height: float
    keep: bool = False


def wrapped(text: str, name: str, size: float, width: float) -> list[str]:
    """A text in lines no wider than `width`; a longer word gets a line of its own."""
    lines: list[str] = []
    for word in text.split():
        if lines and measure(f"{lines[-1]} {word}", name, size) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def heading(text: str, size: float, width: float) -> Block:
    """A heading with room above it and a thin line below, kept with what follows."""
    lines = wrapped(text, BOLD, size, width)
    baselines = [1.4 * size + place * LEADING * size for place in range(len(lines))]
    below = baselines[-1] + 0.45 * size
    items: list[Item] = [
        Text(0.0, baseline, tuple(spans(line, BOLD, size)))
        for baseline, line in zip(baselines, lines, strict=True)
    ]
    rule = Line(0.0, below, width, below, 0.6)
    read = grouped(HEADING_GROUP, items)
    return Block((*read, rule), width, baselines[-1] + 1.0 * size, keep=True)


def paragraph(text: str, size: float, width: float, indent: float = 0.0) -> Block:
    """A text set ragged in a column, `indent` from its left edge."""
    lines = wrapped(text, REGULAR, size, width - indent)
    items = tuple(
        Text(
            indent,
            size * (CAP_HEIGHT + 0.15) + place * LEADING * size,
            tuple(spans(line, REGULAR, size)),
        )
        for place, line in enumerate(lines)
    )
    height = LEADING * size * len(lines) + 0.35 * size
    return Block(tuple(grouped(TEXT_GROUP, items)), width, height)


def tick(text: str, size: float, width: float) -> Block:
    """A paragraph behind an empty box to tick."""
    words = paragraph(text, size, width, 1.7 * size)
    box = Rect(0.4, 0.12 * size, 0.85 * size, 0.85 * size, None, 0.0, 0.7)
    return Block((box, *words.items), width, words.height)


def captioned_grid(
    chord: Chord, grip: Grip, captions: Sequence[str], look: GridLook, size: SymbolLook
) -> Block:
    """A symbol over its grid, with lines of small text below."""
    symbol = set_symbol(chord, size.symbol, size.symbols, size.raised)
    baseline = size.symbol * (CAP_HEIGHT + 0.14)
    top = baseline + 0.26 * size.symbol
    drawn = [symbol.at(0.0, baseline), *draw_grid(grip, chord, (0.0, top), look)]
    said = with_signs(f"{chord}, {grip_alternative(grip)}")
    items = grouped(Group("chord", alternative=said), drawn)
    y = top + look.height
    lines: list[Item] = []
    for caption in captions:
        y += 1.3 * size.caption
        lines.append(Text(0.0, y, tuple(spans(caption, REGULAR, size.caption))))
    items += grouped(TEXT_GROUP, lines)
    widths = [measure(caption, REGULAR, size.caption) for caption in captions]
    return Block(tuple(items), max([symbol.width, look.width, *widths]), y + 0.9 * size.caption)


@dataclass(frozen=True, slots=True)
class SymbolLook:
    """Sizes round a captioned grid: the `symbol`, its `raised` part, captions; `symbols`."""

    symbol: float
    caption: float
    symbols: Symbols = "signs"
    raised: float = 0.72


def table(blocks: Sequence[Block], width: float, gap: float) -> list[Block]:
    """Blocks side by side in columns of one width, a block for each row."""
    if not blocks:
        return []
    widest = max(block.width for block in blocks)
    count = max(1, int((width + gap) // (widest + gap)))
    column = (width + gap) / count
    rows = []
    for start in range(0, len(blocks), count):
        row = blocks[start : start + count]
        items: list[Item] = []
        for place, block in enumerate(row):
            items += moved(block.items, place * column, 0.0)
        rows.append(Block(tuple(items), width, max(block.height for block in row) + 0.4 * gap))
    return rows


def joined(blocks: Sequence[Block]) -> Block:
    """Blocks one under the other as one."""
    items: list[Item] = []
    y = 0.0
    for block in blocks:
        items += moved(block.items, 0.0, y)
        y += block.height
    return Block(tuple(items), max((block.width for block in blocks), default=0.0), y)


def flowing(block: Block) -> FlowBlock:
    """A block as one that a flow of text places."""

    def draw(left: float, top: float) -> list[Item]:
        return moved(block.items, left, top)

    return FlowBlock(block.height, draw, keep_with_next=block.keep)
