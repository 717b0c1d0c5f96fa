"""The appendix of a chart: the grips of a tune, its areas in words, what to practise, cautions."""

from __future__ import annotations

from ...converter.chart import CompingChart
from ...converter.hand.grip import Grip, sounding_pitch
from ...converter.prose.areas import area_sentences
from ...converter.prose.facts import HAND_CAUTION
from ...converter.prose.hand import practice_lines
from ...grammar.chord import Chord
from .context import layout_context
from .drawing import (
    LARGE_PT,
    REGULAR,
    Block,
    Frames,
    Item,
    PageStyle,
    SymbolLook,
    captioned_grid,
    flowing,
    heading,
    paragraph,
    shown,
    table,
    tick,
    with_signs,
    wrapped,
)
from .drawing.flow import flow
from .head_foot import running_frame, title_of
from .links import BRACKETED

#: Size of text on plain pages.
BODY = 10.0
#: The most lines for the bars of a grip, on plain pages and in large print.
LINES, LARGE_LINES = 12, 3


def appendix_pages(chart: CompingChart, style: PageStyle) -> list[list[Item]]:
    """The items of the page (or pages) about a tune's grips, areas and practice."""
    left, _, right, _ = style.frame
    frame = running_frame(title_of(chart).name, style, chart)
    size = LARGE_PT if style.large else BODY
    width = right - left
    blocks = [heading("The grips of this tune", 1.25 * size, width)]
    blocks += _grips(chart, style, size, width)
    sentences = area_sentences(chart.sheet, chart.analysis.areas)
    if sentences:
        blocks.append(heading("What the changes do", 1.25 * size, width))
        blocks += [paragraph(with_signs(line), size, width) for line in sentences]
    blocks.append(heading("What to practise", 1.25 * size, width))
    blocks += [tick(with_signs(line), size, width) for line in practice_lines(chart, BRACKETED)]
    blocks.append(paragraph(HAND_CAUTION, size, width))
    return flow([flowing(block) for block in blocks], Frames(frame, frame)).pages


def _grips(chart: CompingChart, style: PageStyle, size: float, width: float) -> list[Block]:
    """Each grip once, in order of first use, with its notes and the bars where it is played."""
    context = layout_context(chart, style, 1.0 if style.large else 1.25)
    look = SymbolLook(
        context.sizes.symbol,
        max(0.8 * size, context.sizes.least),
        style.symbols,
        context.sizes.raised,
    )
    column = max(context.look.width, 7.5 * size)
    blocks = []
    for (chord, grip), bars in grips_used(chart).items():
        captions = _bar_lines(bars, look.caption, column, LARGE_LINES if style.large else LINES)
        notes = " ".join(_names(chord, grip))
        blocks.append(captioned_grid(chord, grip, [notes, *captions], context.look, look))
    return table(blocks, width, 1.6 * size)


def _bar_lines(bars: list[int], size: float, width: float, most: int) -> list[str]:
    """The bars of a grip in at most so many lines: a tall list would not fit the page."""
    lines: list[str] = []
    for count in range(len(bars), 0, -1):
        more = f" and {len(bars) - count} more" if count < len(bars) else ""
        text = f"bar{'s' * (len(bars) > 1)} {', '.join(map(str, bars[:count]))}{more}"
        lines = wrapped(text, REGULAR, size, width)
        if len(lines) <= most:
            break
    return lines


def grips_used(chart: CompingChart) -> dict[tuple[Chord, Grip], list[int]]:
    """Every chord with its grip, in order of first use, and the written bars where it stands."""
    used: dict[tuple[Chord, Grip], list[int]] = {}
    index = 0
    for bar in chart.sheet.bars:
        for written in bar.chords:
            grip = chart.plan.grips[index]
            index += 1
            if grip is None or written.chord is None:
                continue
            bars = used.setdefault((written.chord, grip), [])
            if bar.number not in bars:
                bars.append(bar.number)
    return used


def _names(chord: Chord, grip: Grip) -> list[str]:
    """The names of the notes that sound, from the lowest string up."""
    return [shown(sounding_pitch(note, chord)[0]) for note in grip.voicing.notes]
