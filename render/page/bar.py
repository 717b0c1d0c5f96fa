"""Draw what belongs to a bar and not to its chords: lines, repeats, endings, signs and words."""

from __future__ import annotations

from collections.abc import Sequence

from ...grammar.sheet import Bar, Meter
from .cells import Rows
from .context import LayoutContext, closes_ending
from .drawing.fonts import BOLD, CAP_HEIGHT, REGULAR, measure, spans, text_width
from .drawing.items import Circle, Item, Line, Path, Rect, Text
from .line_breaks import BarPart

# Draw bar lines, repeat signs, ending brackets and what stands in a bar instead of chords.

THIN, THICK = 0.8, 2.6


def bar_start(bar: Bar, x: float, span: tuple[float, float], unit: float) -> list[Item]:
    """The repeat sign that opens a bar; `span` its top and bottom, `unit` the size of symbols."""
    top, bottom = span
    if not bar.repeat_open:
        return []
    second = x + THICK / 2 + 0.13 * unit
    items: list[Item] = [Rect(x - THICK / 2, top, THICK, bottom - top)]
    items.append(Line(second, top, second, bottom, THIN))
    return items + _dots(second + 0.15 * unit, top, bottom, unit)


def bar_end(bar: Bar, final: bool, x: float, span: tuple[float, float], unit: float) -> list[Item]:
    """The bar line that closes a bar at `x`: plain, double, final or a repeat sign."""
    top, bottom = span
    if bar.repeat_close or final:
        first = x - THICK / 2 - 0.13 * unit
        items: list[Item] = [Line(first, top, first, bottom, THIN)]
        items.append(Rect(x - THICK / 2, top, THICK, bottom - top))
        dots = _dots(first - 0.15 * unit, top, bottom, unit) if bar.repeat_close else []
        return items + dots
    lines: list[Item] = [Line(x, top, x, bottom, THIN)]
    if bar.double_bar:
        lines.append(Line(x - 0.14 * unit, top, x - 0.14 * unit, bottom, THIN))
    return lines


def _dots(x: float, top: float, bottom: float, unit: float) -> list[Item]:
    middle, apart = 0.5 * (top + bottom), 0.26 * unit
    return [Circle(x, middle - apart, 0.075 * unit), Circle(x, middle + apart, 0.075 * unit)]


def meter_mark(meter: Meter, x: float, top: float, size: float) -> list[Item]:
    """A time signature as two numbers above each other, its left edge at `x`."""
    upper, lower = str(meter.beats), str(meter.unit)
    width = max(text_width(upper, BOLD, size), text_width(lower, BOLD, size))
    items: list[Item] = []
    for row, text in enumerate((upper, lower)):
        start = x + 0.5 * (width - text_width(text, BOLD, size))
        baseline = top + CAP_HEIGHT * size * (1 + 1.22 * row)
        items.append(Text(start, baseline, tuple(spans(text, BOLD, size))))
    return items


def ending_bracket(
    passes: tuple[int, ...], x1: float, x2: float, at: tuple[float, float], ends: tuple[bool, bool]
) -> list[Item]:
    """An ending's bracket from `x1` to `x2`; `at` is its top and text size, `ends` which close."""
    top, size = at
    drop = 1.15 * size
    items: list[Item] = [Line(x1, top, x2, top, 0.8)]
    if ends[0]:
        items.append(Line(x1, top, x1, top + drop, 0.8))
        label = ", ".join(map(str, passes)) + "."
        baseline = top + 0.2 * size + CAP_HEIGHT * size
        items.append(Text(x1 + 0.35 * size, baseline, tuple(spans(label, REGULAR, size))))
    if ends[1]:
        items.append(Line(x2, top, x2, top + drop, 0.8))
    return items


def simile_mark(x: float, y: float, unit: float, bars: int) -> list[Item]:
    """The sign for `bars` bars (1 or 2) played again, round the point (`x`, `y`)."""
    half = 0.42 * unit
    items: list[Item] = []
    for place in range(bars):
        shift = (place - 0.5 * (bars - 1)) * 0.32 * unit
        slant = (
            (-half, half),
            (-half + 0.24 * unit, half),
            (half, -half),
            (half - 0.24 * unit, -half),
        )
        corners = [(x + shift + dx, y + dy) for dx, dy in slant]
        steps = [("M", *corners[0]), *(("L", *corner) for corner in corners[1:]), ("Z",)]
        items.append(Path(tuple(steps), 0.0, None))
    reach = half + (bars - 1) * 0.16 * unit
    items.append(Circle(x - 0.62 * reach - 0.1 * unit, y - 0.45 * half, 0.09 * unit))
    items.append(Circle(x + 0.62 * reach + 0.1 * unit, y + 0.45 * half, 0.09 * unit))
    return items


def rest_mark(count: int, x1: float, x2: float, y: float, unit: float) -> list[Item]:
    """A rest of several bars: a thick bar between two posts with the number above it."""
    items: list[Item] = [Rect(x1, y - 0.16 * unit, x2 - x1, 0.32 * unit)]
    for x in (x1, x2):
        items.append(Line(x, y - 0.36 * unit, x, y + 0.36 * unit, 1.0))
    text, size = str(count), 0.75 * unit
    start = 0.5 * (x1 + x2) - 0.5 * text_width(text, BOLD, size)
    items.append(Text(start, y - 0.46 * unit, tuple(spans(text, BOLD, size))))
    return items


# The signs of a form, drawn by ourselves: segno, coda, fermata, the arrow of an early stroke.


def segno(x: float, y: float, size: float) -> list[Item]:
    """The sign that D.S. leads to, `size` high, centred on (`x`, `y`)."""
    s = 0.5 * size
    curve = Path(
        (
            ("M", x + 0.42 * s, y - 0.52 * s),
            (
                "C",
                x + 0.40 * s,
                y - 1.02 * s,
                x - 0.62 * s,
                y - 1.02 * s,
                x - 0.50 * s,
                y - 0.45 * s,
            ),
            (
                "C",
                x - 0.40 * s,
                y - 0.05 * s,
                x + 0.40 * s,
                y + 0.05 * s,
                x + 0.50 * s,
                y + 0.45 * s,
            ),
            (
                "C",
                x + 0.62 * s,
                y + 1.02 * s,
                x - 0.40 * s,
                y + 1.02 * s,
                x - 0.42 * s,
                y + 0.52 * s,
            ),
        ),
        width=0.17 * size,
    )
    slash = Line(x + 0.62 * s, y - 0.95 * s, x - 0.62 * s, y + 0.95 * s, 0.08 * size)
    dots: list[Item] = [
        Circle(x + side * 0.72 * s, y + side * 0.02 * s, 0.09 * size) for side in (-1, 1)
    ]
    return [curve, slash, *dots]


def coda(x: float, y: float, size: float) -> list[Item]:
    """The sign of the coda, `size` high, centred on (`x`, `y`)."""
    s = 0.5 * size
    k = 0.5523
    rx, ry = 0.48 * s, 0.66 * s
    ring = Path(
        (
            ("M", x + rx, y),
            ("C", x + rx, y + k * ry, x + k * rx, y + ry, x, y + ry),
            ("C", x - k * rx, y + ry, x - rx, y + k * ry, x - rx, y),
            ("C", x - rx, y - k * ry, x - k * rx, y - ry, x, y - ry),
            ("C", x + k * rx, y - ry, x + rx, y - k * ry, x + rx, y),
            ("Z",),
        ),
        width=0.13 * size,
    )
    arms = (
        Line(x - 0.85 * s, y, x + 0.85 * s, y, 0.07 * size),
        Line(x, y - s, x, y + s, 0.07 * size),
    )
    return [ring, *arms]


def fermata(x: float, y: float, size: float) -> list[Item]:
    """A hold: an arch over a dot, `size` wide, standing on `y`."""
    half = 0.5 * size
    rise = 0.78 * size
    arch = Path(
        (("M", x - half, y), ("C", x - half, y - rise, x + half, y - rise, x + half, y)),
        width=0.12 * size,
    )
    return [arch, Circle(x, y - 0.12 * size, 0.11 * size)]


def early(x: float, y: float, size: float) -> list[Item]:
    """An arrow to the left: struck an eighth early. Its head is at `x`, its shaft at height `y`."""
    head = Path(
        (
            ("M", x, y),
            ("L", x + 0.45 * size, y - 0.26 * size),
            ("L", x + 0.45 * size, y + 0.26 * size),
            ("Z",),
        ),
        0.0,
        None,
    )
    return [Line(x + 0.4 * size, y, x + size, y, 0.1 * size), head]


# Draw what belongs to a bar and not to its chords: lines, repeats, endings, signs and words.


def draw_bar(
    context: LayoutContext, piece: BarPart, leads: bool, at: tuple[float, float, float], rows: Rows
) -> list[Item]:
    """The items of one bar. `leads`: it is its line's first.

    `at` is the left end and top of the line's music and the height that is free above it.
    """
    bars = context.chart.sheet.bars
    bar, unit = bars[piece.bar], context.sizes.symbol
    x1, top, above = at[0] + piece.x, at[1], at[2]
    x2, bottom = x1 + piece.width, top + rows.bottom
    items: list[Item] = []
    if leads and piece.opens and not bar.repeat_open:
        items.append(Line(x1, top, x1, bottom, THIN))
    if piece.opens:
        items += bar_start(bar, x1, (top, bottom), unit)
    if piece.opens and piece.meter_changes:
        x = x1 + piece.space.before - 0.82 * unit
        items += meter_mark(bar.meter, x, top + 0.1 * unit, max(0.8 * unit, context.sizes.least))
    if piece.closes:
        items += bar_end(bar, piece.bar == len(bars) - 1, x2, (top, bottom), unit)
    items += _filler(context, piece, leads, (x1, x2, 0.5 * (top + bottom)))
    if above:
        items += _ending(context, piece, (x1, x2, top - above))
        items += _signs(context, piece, x1, top)
        items += _words(context, piece, (x1, x2), top, leads)
    return items


def _filler(
    context: LayoutContext, piece: BarPart, leads: bool, place: tuple[float, float, float]
) -> list[Item]:
    """What a bar without chords shows: a sign of repetition or a rest; `place` is its middle."""
    bar, unit = context.chart.sheet.bars[piece.bar], context.sizes.symbol
    x1, x2, y = place
    if bar.rest_bars:
        return rest_mark(
            bar.rest_bars, x1 + piece.space.before, x2 - 0.6 * unit, y + 0.25 * unit, unit
        )
    if bar.simile == 1:
        return simile_mark(0.5 * (x1 + x2), y, unit, 1)
    if bar.simile == 2 and _second(context, piece.bar):
        return simile_mark(0.5 * (x1 + x2) if leads else x1, y, unit, 2)
    return []


def _second(context: LayoutContext, bar: int) -> bool:
    """Whether a bar is the second of two that repeat the two before."""
    bars, run = context.chart.sheet.bars, 0
    while run <= bar and bars[bar - run].simile == 2:
        run += 1
    return run % 2 == 0


def beat_strokes(
    context: LayoutContext, piece: BarPart, starts: Sequence[float], music: float
) -> list[Item]:
    """Slashes for the beats that chords last, in a bar that they divide unevenly."""
    written = [context.chords[cell.index] for cell in piece.cells]
    if len({chord.beats for chord in written}) < 2:
        return []
    unit = context.sizes.symbol
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


def _ending(
    context: LayoutContext, piece: BarPart, place: tuple[float, float, float]
) -> list[Item]:
    """The part of an ending's bracket that lies over a bar."""
    bar = context.chart.sheet.bars[piece.bar]
    passes = context.endings[piece.bar]
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
        (top + 1.0, context.sizes.small),
        (opens, closes),
    )


def _signs(context: LayoutContext, piece: BarPart, x1: float, music: float) -> list[Item]:
    """Segno and coda at the start of a bar, right of an ending's number."""
    bar, size = context.chart.sheet.bars[piece.bar], context.sizes.small
    items: list[Item] = []
    x, y = x1 + (2.4 if bar.endings else 0.7) * size, music - 0.75 * size
    if bar.segno and piece.opens:
        items += segno(x, y, 1.3 * size)
        x += 1.7 * size
    if bar.coda and piece.opens:
        items += coda(x, y, 1.3 * size)
    return items


def _words(
    context: LayoutContext, piece: BarPart, span: tuple[float, float], music: float, leads: bool
) -> list[Item]:
    """Words at a bar's end, and the sign behind `To Coda`, clear of what stands at its start."""
    bar, size = context.chart.sheet.bars[piece.bar], context.sizes.small
    words = jump_words(bar, bool(context.endings[piece.bar])) if piece.closes else ""
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
