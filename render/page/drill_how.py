"""How a drill is practised, at the head of its first page: words, rhythm, tempos, the caution.

Takes a `Drill` and a `PageStyle`, gives a block as wide as the page. Lengths are points.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from ...converter.drill.values import Drill
from ...converter.hand.cautions import HAND_CAUTION
from ..drill_words import how_to, pattern_of, rhythm_words
from .blocks import Block, joined, moved, paragraph
from .drill_head import MOST_BOXES, Boxes
from .drill_lines import keys_on_a_line
from .drill_rhythm import rhythm_block
from .fonts import BOLD, CAP_HEIGHT, spans
from .items import Text
from .names import with_signs
from .style import LARGE_PT, PageStyle

#: Size of the sentences.
BODY: Final = 9.5


def body_size(style: PageStyle) -> float:
    """The size of a drill's sentences."""
    return LARGE_PT if style.large else BODY


def how_blocks(drill: Drill, style: PageStyle) -> list[Block]:
    """How to practise: sentences beside the rhythm, tempos that no key has, the caution."""
    size = body_size(style)
    left, _, right, _ = style.frame
    width = right - left
    blocks = _words_and_rhythm(drill, style, width)
    if _tempos_missing(drill, style):
        blocks.append(_tempos(drill.practice.ladder, size, width))
    caution = paragraph(HAND_CAUTION, size, width)
    return [*blocks, joined([caution, Block((), 0.0, 0.5 * size)])]


def _words_and_rhythm(drill: Drill, style: PageStyle, width: float) -> list[Block]:
    """The sentences as one paragraph with the rhythm at its right, or where that is too wide, each
    by itself with the rhythm below."""
    size = body_size(style)
    first = drill.exercises[0]
    pattern = pattern_of(first, drill.practice)
    rhythm = rhythm_block(pattern, first.chart.sheet.header.meter, size)
    said = [*drill.notes, *([first.why] if len(drill.exercises) == 1 else [])]
    said = [with_signs(each) for each in (*said, *how_to(drill), rhythm_words(pattern))]
    if style.large or rhythm.width > 0.4 * width:
        single = [paragraph(each, size, width) for each in said]
        return [*single, joined([rhythm, Block((), 0.0, 0.5 * size)])]
    words = paragraph(" ".join(said), size, width - rhythm.width - 2 * size)
    items = [*words.items, *moved(rhythm.items, width - rhythm.width, 0.1 * size)]
    return [Block(tuple(items), width, max(words.height, rhythm.height + 0.4 * size))]


def _tempos_missing(drill: Drill, style: PageStyle) -> bool:
    """Whether there is a ladder whose tempos some keys have no boxes for."""
    ladder = drill.practice.ladder
    shared = any(keys_on_a_line(exercise, style) > 1 for exercise in drill.exercises)
    return bool(ladder) and (shared or len(ladder) > MOST_BOXES)


def _tempos(ladder: Sequence[int], size: float, width: float) -> Block:
    """The tempos of the whole drill, each with a box."""
    name = "Tempo"
    text = spans(name, BOLD, size)
    start = text[-1].width + size
    boxes = Boxes(tuple(map(str, ladder)), size).block(width - start)
    baseline = 0.4 + 0.5 * (1.05 + CAP_HEIGHT) * size
    items = [Text(0.0, baseline, tuple(text)), *moved(boxes.items, start, 0.0)]
    return Block(tuple(items), width, boxes.height + 0.3 * size)
