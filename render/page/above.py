"""What stands above the bars of a line, and beside it in the gutter.

The name of a section stands in a box in the gutter beside its first bar where it fits, or else in a
row above the line, with the player's text and the words for sections played again. A text that is
somewhat too long for one line shrinks; a longer one takes more lines. Bar numbers stand in the
gutter.

Over the bars the form has one row: from the left an ending's number, segno and coda, at the right
end the words of a jump. Early strokes and holds have a row of their own below it, so that nothing
touches. Lengths are points.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from ...grammar.frozen import frozen
from ...grammar.sheet import Bar, Section
from .context import LayoutContext, closes_ending
from .drawing.blocks import LEADING, SHRINK, wrapped
from .drawing.fonts import BOLD, CAP_HEIGHT, REGULAR, fitted, measure, spans
from .drawing.items import (
    CLOSE,
    DECORATION_GROUP,
    HEADING_GROUP,
    SECTION_GROUP,
    TEXT_GROUP,
    Item,
    Open,
    Rect,
    Text,
    grouped,
)
from .drawing.signs import coda, early, ending_bracket, fermata, key_name, segno

#: Size of a section's name beside that of the small text, and the height of its box in ems.
LABEL, BOX = 1.15, 1.3
#: Size of the number of a bar beside that of the small text.
BAR_NUMBER = 0.9


@frozen
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
                spans(line, REGULAR, self.size),
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
    return Beside(wrapped(words, REGULAR, least, room), least, x)


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
    return bool(_text_of(section)) or _box_width(section.label, _size(context)) > context.gutter - 3


def _text_of(section: Section) -> str:
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
    return grouped(HEADING_GROUP, [box, Text(x + 0.35 * size, y + size, spans(text, BOLD, size))])


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
    words = _text_of(section)
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
    return max(BAR_NUMBER * context.sizes.small, context.sizes.least)


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
    text = spans(str(number), REGULAR, size)
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
    words = " – ".join(part for part in (again, _text_of(section)) if part)
    return _beside(context, words, size, x)


#: Heights of the row of the form and of that of signs over chords, in sizes of small text.
FORM, CHORDS = 1.9, 1.25
#: Widths of an ending's number and of a sign with the room right of it, in sizes of small text.
ENDING, SIGN = 2.1, 1.8
#: How far before a bar line words end, and an ending where the next bar has a sign: half a sign
#: stands there, in sizes of small text.
END: Final = 0.95
#: Height of segno and coda, and from the top of the bars to their middle, in sizes of small text.
TALL, MIDDLE = 1.35, 0.85


def heights(context: LayoutContext, bars: Iterable[int]) -> tuple[float, float]:
    """The heights of the two rows over written bars: of the form, and of signs over chords."""
    size = context.sizes.small
    written = [(bar, context.chart.sheet.bars[bar]) for bar in bars]
    form = any(context.endings[at] or _signs(bar) or jump_words(bar) for at, bar in written)
    chords = any(chord.push or chord.hold for _, bar in written for chord in bar.chords)
    return FORM * size * form, CHORDS * size * chords


def form_width(context: LayoutContext, number: int) -> float:
    """The room that the form takes over the written bar with index `number`."""
    bar, size = context.chart.sheet.bars[number], context.sizes.small
    words = jump_words(bar, bool(context.endings[number]))
    signs = ENDING * bool(bar.endings) + SIGN * _signs(bar)
    if not words:
        return signs * size
    return (signs + SIGN * bar.to_coda + END + 0.7) * size + measure(words, BOLD, size)


def _signs(bar: Bar) -> int:
    """How many signs stand at the start of a bar."""
    return bar.segno + bar.coda


def draw_over_bar(
    context: LayoutContext, number: int, ends: tuple[bool, bool], at: tuple[float, float, float]
) -> list[Item]:
    """The form over the written bar with index `number`.

    `ends`: whether its start and its end are on this line; `at`: its left and right end and the
    bottom of the row.
    """
    x1, x2, bottom = at
    items = _ending(context, number, ends, (x1, x2, bottom - FORM * context.sizes.small))
    bar = context.chart.sheet.bars[number]
    if ends[0]:
        items += _signs_of(bar, x1, bottom, context.sizes.small)
    words = jump_words(bar, bool(context.endings[number]))
    if ends[1] and words:
        items += _jump(bar, words, (x2, bottom), context.sizes.small)
    return items


def draw_over_chord(context: LayoutContext, index: int, x: float, music: float) -> list[Item]:
    """The signs of an early stroke and of a hold above a chord."""
    written = context.chords[index]
    size = context.sizes.small
    items: list[Item] = []
    if written.push:
        items += early(x, music - 0.45 * size, size)
        x += 1.4 * size
    if written.hold:
        items += fermata(x + 0.6 * size, music - 0.2 * size, 1.2 * size)
    return items


def _ending(
    context: LayoutContext,
    number: int,
    ends: tuple[bool, bool],
    place: tuple[float, float, float],
) -> list[Item]:
    """The part of an ending's bracket that lies over a bar."""
    bar = context.chart.sheet.bars[number]
    passes = context.endings[number]
    if not passes:
        return []
    x1, x2, top = place
    opens = bool(bar.endings) and ends[0]
    over = ends[1] and closes_ending(bar)
    closes = over and not _goes_on(context, number)
    right = x2 - (_end_before(context, number) if over else 0.0)
    left = x1 + (1.0 if opens else 0.0)
    return ending_bracket(passes, left, right, (top + 1.0, context.sizes.small), (opens, closes))


def _end_before(context: LayoutContext, number: int) -> float:
    """How far before the end of its last bar an ending's bracket ends."""
    after = context.chart.sheet.bars[number + 1 : number + 2]
    signs = any(_signs(bar) and not bar.endings for bar in after)
    return max(3.0, END * context.sizes.small) if signs else 3.0


def _goes_on(context: LayoutContext, bar: int) -> bool:
    """Whether music goes on behind the last bar of an ending: its bracket stays open there."""
    bars = context.chart.sheet.bars
    ends = bars[bar].repeat_close or bars[bar].fine or bars[bar].jump is not None
    return not ends and bar < len(bars) - 1


def _signs_of(bar: Bar, x1: float, bottom: float, size: float) -> list[Item]:
    """Segno and coda over the line that opens a bar, or right of an ending's number."""
    items: list[Item] = []
    x, y = x1 + (ENDING + 0.5 * SIGN) * size * bool(bar.endings), bottom - MIDDLE * size
    if bar.segno:
        items += segno(x, y, TALL * size)
        x += SIGN * size
    if bar.coda:
        items += coda(x, y, TALL * size)
    return items


def _jump(bar: Bar, words: str, at: tuple[float, float], size: float) -> list[Item]:
    """Words that end with their bar, and the sign behind `To Coda`."""
    end, y = at[0] - END * size, at[1] - 0.5 * size
    items: list[Item] = []
    if bar.to_coda:
        items += coda(end - 0.55 * size, at[1] - MIDDLE * size, TALL * size)
        end -= 1.6 * size
    items.append(Text(end - measure(words, BOLD, size), y, spans(words, BOLD, size)))
    return items


def jump_words(bar: Bar, ending: bool = False) -> str:
    """The words at the end of a bar, as on paper; an `ending` over it counts the passes itself."""
    words = []
    if bar.repeat_close > 2 and not ending:
        words.append(f"{bar.repeat_close}×")
    if bar.fine:
        words.append("Fine")
    if bar.jump is not None:
        words.append(str(bar.jump))
    if bar.to_coda:
        words.append("To Coda")
    return "  ".join(words)
