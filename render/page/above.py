"""What stands over the bars of a line: endings, signs and words of the form, signs over chords.

The form has one row: from the left an ending's number, segno and coda, at the right end the words
of a jump. Early strokes and holds have a row of their own below it, so that nothing touches.
Lengths are points.
"""

from __future__ import annotations

from collections.abc import Iterable

from ...grammar.sheet import Bar
from .context import LayoutContext, closes_ending
from .drawing import BOLD, Item, Text, coda, early, ending_bracket, fermata, measure, segno, spans

#: Heights of the row of the form and of that of signs over chords, in sizes of small text.
FORM, CHORDS = 1.9, 1.25
#: Widths of an ending's number and of a sign with the room right of it, in sizes of small text.
NUMBER, SIGN = 2.1, 1.8
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
    signs = NUMBER * bool(bar.endings) + SIGN * _signs(bar)
    if not words:
        return signs * size
    return (signs + SIGN * bar.to_coda + 1.4) * size + measure(words, BOLD, size)


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
        items += _words(bar, words, (x2, bottom), context.sizes.small)
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
    right = x2 - (3.0 if over else 0.0)
    left = x1 + (1.0 if opens else 0.0)
    return ending_bracket(passes, left, right, (top + 1.0, context.sizes.small), (opens, closes))


def _goes_on(context: LayoutContext, bar: int) -> bool:
    """Whether music goes on behind the last bar of an ending: its bracket stays open there."""
    bars = context.chart.sheet.bars
    ends = bars[bar].repeat_close or bars[bar].fine or bars[bar].jump is not None
    return not ends and bar < len(bars) - 1


def _signs_of(bar: Bar, x1: float, bottom: float, size: float) -> list[Item]:
    """Segno and coda over the line that opens a bar, or right of an ending's number."""
    items: list[Item] = []
    x, y = x1 + (NUMBER * bool(bar.endings) + 0.5 * SIGN) * size, bottom - MIDDLE * size
    if bar.segno:
        items += segno(x, y, TALL * size)
        x += SIGN * size
    if bar.coda:
        items += coda(x, y, TALL * size)
    return items


def _words(bar: Bar, words: str, at: tuple[float, float], size: float) -> list[Item]:
    """Words that end with their bar, and the sign behind `To Coda`."""
    end, y = at[0] - 0.7 * size, at[1] - 0.5 * size
    items: list[Item] = []
    if bar.to_coda:
        items += coda(end - 0.55 * size, at[1] - MIDDLE * size, TALL * size)
        end -= 1.6 * size
    items.append(Text(end - measure(words, BOLD, size), y, tuple(spans(words, BOLD, size))))
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
