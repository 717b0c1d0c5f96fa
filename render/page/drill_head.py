"""What stands beside or above each key of a drill: its name, boxes to tick, how it is reached.

Takes a `Station`, gives a block as wide as is asked for. Lengths are points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ...converter.drill.values import Practice, Station
from .blocks import Block, moved, paragraph
from .fonts import BOLD, CAP_HEIGHT, REGULAR, measure, spans
from .items import Item, Rect, Span, Text
from .names import shown
from .style import Metrics

#: The most boxes that a key gets; with more repetitions or tempos it gets one.
MOST_BOXES = 8
#: Size of a key's name beside that of symbols, of its mode beside that of the name.
NAME, MODE = 0.86, 0.62


@dataclass(frozen=True, slots=True)
class Boxes:
    """Boxes to tick, with a word behind each, in rows as wide as there is room; `size` of words."""

    labels: tuple[str, ...]
    size: float

    @property
    def step(self) -> float:
        """From one box to the next."""
        widest = max((measure(label, REGULAR, self.size) for label in self.labels), default=0.0)
        return (1.35 * self.size + widest + 0.45 * self.size) if widest else 1.45 * self.size

    def block(self, width: float) -> Block:
        """The boxes within a width; the columns stand one under the other."""
        count = max(1, int(width // self.step))
        if len(self.labels) > count:
            # As even as can be: four and three boxes, not five and two.
            rows = -(-len(self.labels) // count)
            count = -(-len(self.labels) // rows)
        items: list[Item] = []
        side, row = 1.05 * self.size, 1.5 * self.size
        for place, label in enumerate(self.labels):
            x, y = place % count * self.step, place // count * row
            items.append(Rect(x + 0.4, y + 0.4, side, side, None, 0.0, 0.7))
            if label:
                baseline = y + 0.4 + 0.5 * (side + CAP_HEIGHT * self.size)
                text = tuple(spans(label, REGULAR, self.size))
                items.append(Text(x + side + 0.3 * self.size, baseline, text))
        rows = -(-len(self.labels) // count)
        return Block(tuple(items), min(len(self.labels), count) * self.step, rows * row)


def boxes_of(practice: Practice, sizes: Metrics, narrow: bool) -> Boxes:
    """The boxes of one key: for each tempo of the ladder, or each repetition; one where `narrow`.

    A narrow key shares its line with others; a count that is too large for boxes gets one as well.
    """
    size = max(0.95 * sizes.small, sizes.least)
    if practice.ladder:
        fits = not narrow and len(practice.ladder) <= MOST_BOXES
        return Boxes(tuple(map(str, practice.ladder)) if fits else ("",), size)
    fits = practice.repetitions <= (4 if narrow else MOST_BOXES)
    return Boxes(("",) * practice.repetitions if fits else ("",), size)


def head_block(
    station: Station, boxes: Boxes, notes: Sequence[str], sizes: Metrics, width: float
) -> Block:
    """A key's name, its boxes (beside the name where they fit) and notes about it.

    A key of one chord goes without a name: the chord's own symbol says enough.
    """
    items: list[Item] = []
    end = y = 0.0
    name = NAME * sizes.symbol
    baseline = (CAP_HEIGHT + 0.12) * name
    if len(station.chords) > 1:
        named = _name(station, name, max(MODE * name, sizes.least))
        items.append(Text(0.0, baseline, named))
        end, y = named[-1].end, baseline + 0.42 * name
    row = boxes.step * len(boxes.labels)
    if end and end + 0.8 * name + row <= width:
        items += moved(boxes.block(row + 0.1).items, end + 0.8 * name, baseline - 1.12 * boxes.size)
    else:
        placed = boxes.block(width)
        items += moved(placed.items, 0.0, y)
        y += placed.height + 0.15 * name
    for note in notes:
        said = paragraph(note, boxes.size, width)
        items += moved(said.items, 0.0, y)
        y += said.height
    return Block(tuple(items), width, y)


def _name(station: Station, size: float, mode: float) -> tuple[Span, ...]:
    """The tonic large, the mode small behind it."""
    tonic = spans(shown(station.key.tonic), BOLD, size)
    return (*tonic, *spans(f" {station.key.mode}", REGULAR, mode, tonic[-1].end))
