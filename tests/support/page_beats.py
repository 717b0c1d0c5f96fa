"""Read the beats of each bar back from a page: from what is drawn, without asking how.

A reader as a player is one: bar lines part the bars, symbols say which chords, ticks when they
start. A full tick is a beat, a heavy one has a chord; a heavy tick of half the height starts a
chord between two beats, in the middle where no fraction stands beside it. A bar without ticks is
shared evenly by its chords.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from midneck.grammar.sheet import Bar
from midneck.render.page import Document
from midneck.render.page.drawing.items import Line, Page, Rect, Text

from support.pages import with_groups

#: Widths of plain bar lines, in plain and in large print, with the least height of one; width and
#: least height of a thick one.
PLAIN, THICK, TALL = {0.8: 14.0, 1.6: 25.0}, 2.6, 14.0
#: Bar lines nearer to each other than this are one: double, final and repeat signs.
NEAR = 9.0
#: How far a tick leans, as a part of its height.
LEAN = 0.45


@dataclass(frozen=True)
class ReadBar:
    """What a bar says: its symbols, when they start, and how many beats it has.

    `ticks` is whether these were read from ticks; without them `starts` are parts of the bar and
    `beats` is 1. `size` is that of the smallest symbol, in points.
    """

    symbols: tuple[str, ...]
    starts: tuple[Fraction, ...]
    beats: Fraction
    ticks: bool
    size: float = 0.0

    @property
    def lengths(self) -> tuple[Fraction, ...]:
        """How long each chord lasts."""
        ends = (*self.starts[1:], self.beats)[: len(self.starts)]
        return tuple(end - start for start, end in zip(self.starts, ends, strict=True))


def read_bars(document: Document) -> list[ReadBar]:
    """All bars of a document in order."""
    return [bar for page in document.pages for bar in _bars_of(page)]


def _bars_of(page: Page) -> list[ReadBar]:
    items = [
        item
        for item, groups in with_groups(page.items)
        if all(group.kind != "decoration" for group in groups)
    ]
    systems: dict[tuple[float, float], list[float]] = {}
    for item in items:
        upright = _bar_line(item)
        if upright is not None:
            x, top, bottom = upright
            systems.setdefault((round(top, 1), round(bottom, 1)), []).append(x)
    return [
        bar
        for (top, bottom), xs in sorted(systems.items())
        for bar in _bars_in(items, (top, bottom), xs)
    ]


def _bar_line(item: object) -> tuple[float, float, float] | None:
    """The x, top and bottom of a bar line, None for anything else."""
    if isinstance(item, Line) and item.x1 == item.x2 and round(item.width, 2) in PLAIN:
        found = item.x1, min(item.y1, item.y2), max(item.y1, item.y2)
        tall = PLAIN[round(item.width, 2)]
    elif isinstance(item, Rect) and abs(item.w - THICK) < 0.01 and item.fill == 0.0:
        found, tall = (item.x + item.w / 2, item.y, item.y + item.h), TALL
    else:
        return None
    return found if found[2] - found[1] > tall else None


def _bars_in(items: Sequence[object], span: tuple[float, float], xs: list[float]) -> list[ReadBar]:
    groups: list[list[float]] = []
    for x in sorted(xs):
        if not groups or x - groups[-1][-1] > NEAR:
            groups.append([])
        groups[-1].append(x)
    inside = [item for item in items if _stands_in(item, span)]
    return [_read_bar(inside, (left[-1], right[0])) for left, right in pairwise(groups)]


def _stands_in(item: object, span: tuple[float, float]) -> bool:
    y = item.y if isinstance(item, Text) else item.y1 if isinstance(item, Line) else -1.0
    return span[0] <= y <= span[1]


def _read_bar(items: Sequence[object], span: tuple[float, float]) -> ReadBar:
    texts = [item for item in items if isinstance(item, Text) and span[0] < item.x < span[1]]
    symbols = sorted(filter(_is_symbol, texts), key=lambda text: text.x)
    # In large print the name of a key is large, too: it stands lower.
    top = min((text.y for text in symbols), default=0.0)
    symbols = [text for text in symbols if text.y < top + 10]
    ticks = [
        item for item in items
        if isinstance(item, Line) and span[0] < item.x1 < span[1] and _is_tick(item)
    ]  # fmt: skip
    ticks.sort(key=lambda tick: tick.x1)
    names = tuple(text.string for text in symbols)
    if not ticks:
        starts = tuple(Fraction(place, len(names)) for place in range(len(names)))
        return ReadBar(names, starts, Fraction(1), False, _size(symbols))
    return _from_ticks(symbols, ticks, texts)


def _from_ticks(symbols: list[Text], ticks: list[Line], texts: list[Text]) -> ReadBar:
    tall = max(tick.y1 - tick.y2 for tick in ticks)
    starts, beat = [], -1
    for tick in ticks:
        full, heavy = tick.y1 - tick.y2 > 0.75 * tall, tick.width > 0.4 * tall
        beat += full
        if heavy:
            part = Fraction(0) if full else _fraction(tick, texts)
            starts.append(beat + part)
            # The symbol that starts here stands over its tick.
            assert abs(symbols[len(starts) - 1].x - tick.x1) < 0.5 * tall
        else:
            assert full
    assert len(starts) == len(symbols)
    names = tuple(text.string for text in symbols)
    return ReadBar(names, tuple(starts), Fraction(beat + 1), True, _size(symbols))


def _size(symbols: list[Text]) -> float:
    """The size of the smallest symbol; silence may be smaller."""
    sizes = [text.spans[0].size for text in symbols if text.string != "N.C."]
    return min(sizes, default=99.0)


def _fraction(tick: Line, texts: list[Text]) -> Fraction:
    """What is written beside a tick between beats, a half where nothing is."""
    beside = [
        text.string for text in texts
        if re.fullmatch(r"\d+/\d+", text.string)
        and abs(text.y - tick.y1) < 0.1 and 0 < text.x - tick.x1 < 8
    ]  # fmt: skip
    return Fraction(beside[0]) if beside else Fraction(1, 2)


def _is_symbol(text: Text) -> bool:
    first = text.spans[0]
    large = first.size >= 15
    return text.string == "N.C." or (large and "Bold" in first.face and first.text[0] in "ABCDEFG")


def _is_tick(line: Line) -> bool:
    height = line.y1 - line.y2
    return height > 0 and abs((line.x2 - line.x1) / height - LEAN) < 0.01


def compare(bar: Bar, found: ReadBar) -> None:
    """A bar as the sheet has it, and as the page tells it."""
    whole = sum((chord.beats for chord in bar.chords), Fraction(0)) or Fraction(bar.meter.beats)
    unit = Fraction(1) if found.ticks else whole
    assert len(found.symbols) == len(bar.chords), bar
    assert [start * unit for start in found.starts] == [chord.start for chord in bar.chords], bar
    assert [length * unit for length in found.lengths] == [chord.beats for chord in bar.chords], bar
    # Where nothing is shown the bar is full and shared evenly in whole beats.
    if bar.chords and not found.ticks:
        assert not bar.pickup
        assert whole == bar.meter.beats
        assert all(chord.beats.denominator == 1 for chord in bar.chords)
