"""Label the sections of a chart: the name in its box, the player's text, sections played again.

A label stands in the gutter beside the first bar where it fits, or else in a row above the line. A
text that is somewhat too long for one line shrinks; a longer one takes more lines.
"""

from __future__ import annotations

from dataclasses import dataclass

from ...grammar.sheet import Section
from .context import LayoutContext
from .drawing import (
    BOLD,
    CAP_HEIGHT,
    CLOSE,
    DECORATION_GROUP,
    HEADING_GROUP,
    LEADING,
    REGULAR,
    SECTION_GROUP,
    SHRINK,
    TEXT_GROUP,
    Item,
    Open,
    Rect,
    Text,
    fitted,
    grouped,
    key_name,
    measure,
    spans,
    wrapped,
)

#: Size of a section's name beside that of the small text, and the height of its box in ems.
LABEL, BOX = 1.15, 1.3
#: Size of the number of a bar beside that of the small text.
NUMBER = 0.9


@dataclass(frozen=True, slots=True)
class Beside:
    """Words beside a section's box: lines of one size, and how far from the left they begin."""

    lines: tuple[str, ...]
    size: float
    x: float

    @property
    def more(self) -> float:
        """Height of the lines below the first."""
        return LEADING * self.size * (len(self.lines) - 1)

    def at(self, left: float, baseline: float) -> list[Item]:
        """Its items, the first line on a baseline."""
        lines = [
            Text(
                left + self.x,
                baseline + place * LEADING * self.size,
                tuple(spans(line, REGULAR, self.size)),
            )
            for place, line in enumerate(self.lines)
        ]
        return grouped(TEXT_GROUP, lines)


def _beside(context: LayoutContext, words: str, size: float, x: float) -> Beside:
    """Words in one line of a size or smaller; in more where that would get too small."""
    room, least = context.width - x, max(context.sizes.least, SHRINK * size)
    fit = fitted(words, REGULAR, size, room)
    if fit >= least:
        return Beside((words,), fit, x)
    return Beside(tuple(wrapped(words, REGULAR, least, room)), least, x)


def label_height(context: LayoutContext, section: Section) -> float:
    """The height of the row of a section's name and the player's text, 0 where it has none."""
    if not _needs_row(context, section):
        return 0.0
    return 1.9 * context.sizes.small + _text_beside(context, section).more


def recall_height(context: LayoutContext, section: Section) -> float:
    """The height of a section that is played again without being written out."""
    return 1.7 * context.sizes.small + _again_beside(context, section).more


def _needs_row(context: LayoutContext, section: Section) -> bool:
    """Whether a section's name is too long for the gutter, or player's text stands beside it."""
    return bool(_words(section)) or _box_width(section.label, _size(context)) > context.gutter - 3


def _words(section: Section) -> str:
    """The key that a section states and its text for the player, in one row."""
    key = () if section.key is None else (key_name(section.key),)
    return " – ".join((*key, *section.text))


def _size(context: LayoutContext) -> float:
    return LABEL * context.sizes.small


def _box_width(text: str, size: float) -> float:
    return measure(text, BOLD, size) + 0.7 * size if text else 0.0


def boxed(text: str, x: float, y: float, size: float) -> list[Item]:
    """A text in a box whose top left corner is (`x`, `y`)."""
    box = Rect(x, y, _box_width(text, size), BOX * size, None, 0.0, 0.8)
    return grouped(
        HEADING_GROUP, [box, Text(x + 0.35 * size, y + size, tuple(spans(text, BOLD, size)))]
    )


def draw_label(
    context: LayoutContext, section: Section, at: tuple[float, float], music: float
) -> list[Item]:
    """The name of a section: beside its first bar, or in a row above with the player's text."""
    size = _size(context)
    if not _needs_row(context, section):
        return draw_name(context, section, at[0], music)
    left, y = at
    items = boxed(section.label, left + context.gutter, y, size) if section.label else []
    return items + _text_beside(context, section).at(left, y + size)


def _text_beside(context: LayoutContext, section: Section) -> Beside:
    """The player's text behind a section's name."""
    size = _size(context)
    x = context.gutter + _box_width(section.label, size) + (0.6 * size if section.label else 0.0)
    words = _words(section)
    return _beside(context, words, context.sizes.small, x) if words else Beside((), 0.0, x)


def draw_name(context: LayoutContext, section: Section, left: float, music: float) -> list[Item]:
    """The name of a section in the gutter, below the number of the bar that begins at `music`."""
    top = music + _below_number(context)
    return boxed(section.label, left, top, _size(context)) if section.label else []


def gutter_height(context: LayoutContext) -> float:
    """The height of what stands in the gutter beside a line: a number, a name in its box, and some
    room above the fret numbers of a neck map."""
    return _below_number(context) + BOX * _size(context) + 0.4 * context.sizes.small


def number_size(context: LayoutContext) -> float:
    """The size of the numbers of bars."""
    return max(NUMBER * context.sizes.small, context.sizes.least)


def _below_number(context: LayoutContext) -> float:
    """How far below the top of the music the box of a name begins."""
    if not context.numbered:
        return 0.2 * _size(context)
    return (CAP_HEIGHT + 0.4) * number_size(context)


def draw_number(context: LayoutContext, bar: int, x: float, top: float) -> list[Item]:
    """The number of the written bar with an index, its top at `top`; nothing for a pickup."""
    number = context.chart.sheet.bars[bar].number
    if not context.numbered or not number:
        return []
    size = number_size(context)
    text = tuple(spans(str(number), REGULAR, size))
    return grouped(DECORATION_GROUP, [Text(x, top + CAP_HEIGHT * size, text)])


def draw_recall(context: LayoutContext, section: Section, left: float, top: float) -> list[Item]:
    """A section that is played again without being written out, with its key and its text."""
    size = _size(context)
    items = [Open(SECTION_GROUP), CLOSE, *boxed(section.label, left, top, size)]
    return items + _again_beside(context, section).at(left, top + size)


def _again_beside(context: LayoutContext, section: Section) -> Beside:
    """What a section that is played again says behind its name."""
    size = _size(context)
    x = max(context.gutter, _box_width(section.label, size) + 0.6 * size)
    sections = context.chart.sheet.sections
    earlier = section if section.recalls is None else sections[section.recalls]
    same = section.label == earlier.label
    again = "again, as above" if same else f"{earlier.label} again"
    words = " – ".join(part for part in (again, _words(section)) if part)
    return _beside(context, words, size, x)
