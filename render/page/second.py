"""The second page: the grips of a tune, its areas in words, what to practise, and cautions."""

from __future__ import annotations

import re

from ...converter.chart import CompingChart
from ...converter.hand.grip import Grip
from ...grammar.chord import Chord
from .blocks import (
    Block,
    SymbolLook,
    captioned_grid,
    heading,
    paragraph,
    stack_pages,
    table,
    tick,
    wrapped,
)
from .fonts import REGULAR
from .foot import foot_height
from .header import draw_running_head
from .items import Item
from .parts import shown
from .setting import setting
from .style import PageStyle

#: Text sizes: plain and in large print.
BODY, LARGE_BODY = 10.0, 18.0
#: Accidentals behind the letter of a note, and before the number of an altered degree.
_ACCIDENTAL = re.compile(r"(?<=\b[A-G])[b#]{1,2}(?![a-ln-z])|(?<=[a-z\d(,])[b#](?=\d)")


def second_pages(chart: CompingChart, style: PageStyle) -> list[list[Item]]:
    """The items of the page (or pages) about a tune's grips, areas and practice."""
    left, _, right, bottom = style.frame
    head, top = draw_running_head(chart, style)
    size = LARGE_BODY if style.large else BODY
    width = right - left
    blocks = [heading("The grips of this tune", 1.25 * size, width)]
    blocks += _grips(chart, style, size, width)
    if chart.analysis.areas:
        blocks.append(heading("What the changes do", 1.25 * size, width))
        blocks += [paragraph(line, size, width) for line in area_sentences(chart)]
    blocks.append(heading("What to practise", 1.25 * size, width))
    blocks += [tick(line, size, width) for line in practice_lines(chart)]
    blocks += [paragraph(line, size, width) for line in caution_lines(chart)]
    pages = stack_pages(blocks, left, (top, bottom - foot_height(style)))
    return [[*head, *items] for items in pages]


def _grips(chart: CompingChart, style: PageStyle, size: float, width: float) -> list[Block]:
    """Each grip once, in order of first use, with its notes and the bars where it is played."""
    chosen = setting(chart, style, 1.0 if style.large else 1.25)
    look = SymbolLook(
        chosen.sizes.symbol, max(0.8 * size, chosen.sizes.least), style.symbols, chosen.sizes.raised
    )
    column = max(chosen.look.width, 7.5 * size)
    blocks = []
    for (chord, grip), bars in grips_used(chart).items():
        where = "bar " if len(bars) == 1 else "bars "
        captions = wrapped(where + ", ".join(map(str, bars)), REGULAR, look.caption, column)
        notes = " ".join(_names(chord, grip))
        blocks.append(captioned_grid(chord, grip, [notes, *captions], chosen.look, look))
    return table(blocks, width, 1.6 * size)


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
    return [
        shown(chord.spelled(note.tone))
        if note.tone is not None
        else shown(chord.bass if chord.bass is not None else chord.root)
        for note in grip.voicing.notes
    ]


def area_sentences(chart: CompingChart) -> list[str]:
    """What each area is, said once, with all the bars where it happens."""
    places: dict[str, list[tuple[int, int]]] = {}
    for area in sorted(chart.analysis.areas, key=lambda area: (min(area.bars), max(area.bars))):
        bars = places.setdefault(area.sentence or f"{area.kind} in {area.key}", [])
        if area.bars not in bars:
            bars.append(area.bars)
    return [f"{_where(bars)}: {with_signs(words)}" for words, bars in places.items()]


def _where(spans: list[tuple[int, int]]) -> str:
    """Bars as a list: `Bar 5`, `Bars 3–4, 11–12`."""
    names = [str(a) if a == b else f"{a}–{b}" if a < b else f"{a} to {b}" for a, b in spans]
    single = len(spans) == 1 and spans[0][0] == spans[0][1]
    return ("Bar " if single else "Bars ") + ", ".join(names)


def with_signs(text: str) -> str:
    """A sentence with true flats and sharps in its names of notes and chords."""
    return _ACCIDENTAL.sub(lambda found: found[0].replace("b", "♭").replace("#", "♯"), text)


def practice_lines(chart: CompingChart) -> list[str]:
    """What to practise, from what the plan asks of the hand."""
    travel = chart.plan.travel
    lines = ["Say each root and its string aloud, then play the grip, out of time."]
    lines.append(
        f"Play the moves that shift the hand ({travel.shifts} in a chorus) to and fro, "
        "until the hand leaves early and lands without looking."
    )
    if chart.analysis.areas:
        lines.append("Play each bracketed ii–V with its goal four times, one stroke a bar.")
    lines.append("Play the whole form in time: one stroke a bar, then two, then four.")
    return lines


def caution_lines(chart: CompingChart) -> list[str]:
    """The usual cautions, where stretches are shown."""
    return [
        "Warm up first and rest often. Stop at pain or numbness; ask your teacher, "
        "and if it lasts, a doctor or a physiotherapist."
    ]
