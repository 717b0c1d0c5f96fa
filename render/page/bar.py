"""Draw what belongs to a bar and not to its chords: lines, repeats, endings, signs and words."""

from __future__ import annotations

from collections.abc import Sequence

from ...grammar.sheet import Bar
from .barlines import THIN, bar_end, bar_start, ending_bracket, meter_mark, rest_mark, simile_mark
from .cell import Rows
from .flow import Piece
from .fonts import BOLD, measure, spans
from .items import Item, Line, Text
from .ornaments import coda, segno
from .setting import Setting, closes_ending


def draw_bar(
    setting: Setting, piece: Piece, leads: bool, at: tuple[float, float, float], rows: Rows
) -> list[Item]:
    """The items of one bar. `leads`: it is its line's first.

    `at` is the left end and top of the line's music and the height that is free above it.
    """
    bars = setting.chart.sheet.bars
    bar, unit = bars[piece.bar], setting.sizes.symbol
    x1, top, above = at[0] + piece.x, at[1], at[2]
    x2, bottom = x1 + piece.width, top + rows.bottom
    items: list[Item] = []
    if leads and piece.opens and not bar.repeat_open:
        items.append(Line(x1, top, x1, bottom, THIN))
    if piece.opens:
        items += bar_start(bar, x1, (top, bottom), unit)
    if piece.opens and piece.meter_changes:
        x = x1 + piece.space.before - 0.82 * unit
        items += meter_mark(bar.meter, x, top + 0.1 * unit, max(0.8 * unit, setting.sizes.least))
    if piece.closes:
        items += bar_end(bar, piece.bar == len(bars) - 1, x2, (top, bottom), unit)
    items += _filler(setting, piece, leads, (x1, x2, 0.5 * (top + bottom)))
    if above:
        items += _ending(setting, piece, (x1, x2, top - above))
        items += _signs(setting, piece, x1, top)
        items += _words(setting, piece, (x1, x2), top, leads)
    return items


def _filler(
    setting: Setting, piece: Piece, leads: bool, place: tuple[float, float, float]
) -> list[Item]:
    """What a bar without chords shows: a sign of repetition or a rest; `place` is its middle."""
    bar, unit = setting.chart.sheet.bars[piece.bar], setting.sizes.symbol
    x1, x2, y = place
    if bar.rest_bars:
        return rest_mark(
            bar.rest_bars, x1 + piece.space.before, x2 - 0.6 * unit, y + 0.25 * unit, unit
        )
    if bar.simile == 1:
        return simile_mark(0.5 * (x1 + x2), y, unit, 1)
    if bar.simile == 2 and _second(setting, piece.bar):
        return simile_mark(0.5 * (x1 + x2) if leads else x1, y, unit, 2)
    return []


def _second(setting: Setting, bar: int) -> bool:
    """Whether a bar is the second of two that repeat the two before."""
    bars, run = setting.chart.sheet.bars, 0
    while run <= bar and bars[bar - run].simile == 2:
        run += 1
    return run % 2 == 0


def beat_strokes(
    setting: Setting, piece: Piece, starts: Sequence[float], music: float
) -> list[Item]:
    """Slashes for the beats that chords last, in a bar that they divide unevenly."""
    written = [setting.chords[cell.index] for cell in piece.cells]
    if len({chord.beats for chord in written}) < 2:
        return []
    unit = setting.sizes.symbol
    end = starts[0] - piece.space.before + piece.width - piece.space.after
    y = music + 0.5 * unit
    items: list[Item] = []
    for place, (chord, cell) in enumerate(zip(written, piece.cells, strict=True)):
        start = starts[place]
        after = starts[place + 1] if place + 1 < len(starts) else end + 0.3 * unit
        for beat in range(1, int(chord.beats)):
            x = start + (after - start) * beat / float(chord.beats)
            if x - 0.4 * unit > start + cell.symbol.width and x + 0.4 * unit < after:
                slant = (x - 0.13 * unit, y + 0.24 * unit, x + 0.13 * unit, y - 0.24 * unit)
                items.append(Line(*slant, 0.09 * unit))
    return items


def _ending(setting: Setting, piece: Piece, place: tuple[float, float, float]) -> list[Item]:
    """The part of an ending's bracket that lies over a bar."""
    bar = setting.chart.sheet.bars[piece.bar]
    passes = setting.endings[piece.bar]
    if not passes:
        return []
    x1, x2, top = place
    opens = bool(bar.endings) and piece.opens
    closes = piece.closes and closes_ending(bar)
    right = x2 - (3.0 if closes else 0.0)
    return ending_bracket(
        passes,
        x1 + (1.0 if opens else 0.0),
        right,
        (top + 1.0, setting.sizes.small),
        (opens, closes),
    )


def _signs(setting: Setting, piece: Piece, x1: float, music: float) -> list[Item]:
    """Segno and coda at the start of a bar, right of an ending's number."""
    bar, size = setting.chart.sheet.bars[piece.bar], setting.sizes.small
    items: list[Item] = []
    x, y = x1 + (2.4 if bar.endings else 0.7) * size, music - 0.75 * size
    if bar.segno and piece.opens:
        items += segno(x, y, 1.3 * size)
        x += 1.7 * size
    if bar.coda and piece.opens:
        items += coda(x, y, 1.3 * size)
    return items


def _words(
    setting: Setting, piece: Piece, span: tuple[float, float], music: float, leads: bool
) -> list[Item]:
    """Words at a bar's end, and the sign behind `To Coda`, clear of what stands at its start."""
    bar, size = setting.chart.sheet.bars[piece.bar], setting.sizes.small
    words = jump_words(bar, bool(setting.endings[piece.bar])) if piece.closes else ""
    if not words:
        return []
    width = measure(words, BOLD, size)
    before = size * (2.4 * bool(bar.endings) + 1.9 * (bar.segno + bar.coda))
    end, y = span[1] - 0.6 * size, music - 0.42 * size
    if leads or before:
        end = max(end, span[0] + before + width + (1.5 * size if bar.to_coda else 0.0))
    items: list[Item] = []
    if bar.to_coda:
        items += coda(end - 0.6 * size, y - 0.3 * size, 1.25 * size)
        end -= 1.5 * size
    items.append(Text(end - width, y, tuple(spans(words, BOLD, size))))
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
