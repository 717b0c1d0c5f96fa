"""Musical signs as they are printed: chord symbols, keys, bar lines, repeats, rests, navigation.

In a chord symbol the root is large, its accidental bold beside it on the same baseline, so that it
belongs to nothing else; quality and extensions are light and raised. Two or more alterations are
stacked in parentheses, a slash bass hangs lower. In large print nothing is made smaller and nothing
is stacked. Keys, numerals and sentences have true flats and sharps.

Functions that draw take a position and a size in points and give items. The outlines are our own;
what they mean is common practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import lru_cache
from typing import Final

from ....grammar.chord import Chord, SymbolPieces, accidental_signs, symbol_pieces
from ....grammar.frozen import frozen
from ....grammar.key import Key
from ....grammar.pitch import PRINTED_SIGNS, PitchName
from ....grammar.sheet import Bar, Meter, Sheet
from .fonts import BOLD, CAP_HEIGHT, REGULAR, scaled_spans, spans, text_width
from .geometry import item_box
from .items import Circle, Item, Line, Path, Rect, Shown, Span, Text
from .style import Symbols

#: An accidental in a numeral: bVII, V7#9, but not the b of subV7.
_IN_NUMERAL: Final = re.compile(r"(?<![A-Za-z])[b#](?=[IVivb#\d])")
#: Accidentals behind the letter of a note, and before the number of an altered degree.
_IN_SENTENCE: Final = re.compile(r"(?<=\b[A-G])[b#]{1,2}(?![a-ln-z])|(?<=[a-z\d(,])[b#](?=\d)")


def shown(name: PitchName) -> str:
    """A note name with true signs: `E♭`."""
    return name.letter + accidental_signs(name)


def key_name(key: Key) -> str:
    """A key in words: `B♭ major`."""
    return f"{shown(key.tonic)} {key.mode}"


def key_text(key: Key) -> str:
    """A key as a label: `B♭`, `Gm` in minor, `D dorian`."""
    return shown(key.tonic) + key.short.removeprefix(str(key.tonic))


@lru_cache(maxsize=1024)
def signed(roman: str) -> str:
    """A roman numeral with true signs for b and #."""
    return _IN_NUMERAL.sub(lambda found: found[0].translate(PRINTED_SIGNS), roman)


@lru_cache(maxsize=1024)
def with_signs(text: str) -> str:
    """A sentence with true flats and sharps in its names of notes and chords."""
    return _IN_SENTENCE.sub(lambda found: found[0].translate(PRINTED_SIGNS), text)


#: The gap before the quality, in ems.
GAP: Final = 0.035
#: The size of a root's accidental beside that of the root, on whose baseline it stands.
ACCIDENTAL: Final = 0.86
#: How far an accidental moves up to its root where that is not 0.03, in ems.
KERN: Final = {"A": 0.0, "F": 0.04}
#: How far the dash of a minor chord is lifted to the middle of its root, in ems.
DASH: Final = 0.1
#: Size of stacked alterations, as a part of the root's size.
STACKED: Final = 0.52


@frozen(hash_once=True)
class Symbol:
    """A set chord symbol: its spans from the root on, its width, and the `depth` of its ink below
    the root's baseline and its `rise` over it, at the size asked for."""

    spans: tuple[Span, ...]
    width: float
    depth: float
    rise: float

    def at(self, x: float, y: float) -> Text:
        """The symbol with its root's left edge at `x` on the baseline `y`."""
        return Text(x, y, self.spans)

    def scaled(self, factor: float) -> Symbol:
        """The symbol with all its sizes times a factor."""
        return _scaled(self, factor)


@lru_cache(maxsize=4096)
def _scaled(symbol: Symbol, factor: float) -> Symbol:
    lengths = (length * factor for length in (symbol.width, symbol.depth, symbol.rise))
    return Symbol(scaled_spans(symbol.spans, factor), *lengths)


@lru_cache(maxsize=4096)
def set_symbol(chord: Chord, size: float, symbols: Symbols, raised: float = 0.72) -> Symbol:
    """Set a symbol: `size` of the root, `raised` the part of it that extensions take."""
    pieces = symbol_pieces(chord, symbols)
    pen = _Pen()
    pen.put(pieces.root, BOLD, size)
    if pieces.accidental:
        pen.dx -= KERN.get(pieces.root, 0.03) * size
        pen.put(pieces.accidental, BOLD, size * (ACCIDENTAL if raised < 1 else 1))
        pen.dx += GAP * size
    pen.dx += GAP * size
    lift = CAP_HEIGHT * size * (1 - raised)
    dash = DASH * size if pieces.quality == "–" and raised < 1 else 0.0
    pen.put(pieces.quality, REGULAR, size * (0.5 + 0.5 * raised), dash)
    pen.put(pieces.raised, REGULAR, size * raised, lift)
    _alterations(pen, pieces, size, raised)
    if pieces.bass:
        pen.put("/", REGULAR, size * (0.5 + 0.5 * raised), -0.10 * size * (raised < 1))
        bass = pieces.bass + pieces.bass_accidental
        pen.put(bass, BOLD, size * raised, -0.16 * size * (raised < 1))
    return pen.symbol()


#: Size of the brackets of an optional chord in sizes of its root: they rise no higher than it, so
#: that a hold over the chord stays clear of them.
BRACKET: Final = 0.84


def bracketed(symbol: Symbol, size: float, opens: bool, closes: bool) -> Symbol:
    """A symbol with a bracket before it, behind it, or both: it is optional."""
    pen = _Pen()
    if opens:
        pen.put("(", REGULAR, BRACKET * size)
    pen.out += [replace(span, dx=span.dx + pen.dx) for span in symbol.spans]
    pen.dx += symbol.width
    if closes:
        pen.put(")", REGULAR, BRACKET * size)
    return pen.symbol()


class _Pen:
    """Collects spans from left to right."""

    def __init__(self) -> None:
        self.out: list[Span] = []
        self.dx = 0.0

    def put(self, text: str, name: str, size: float, rise: float = 0.0) -> None:
        for span in spans(text, name, size, self.dx, rise):
            self.out.append(span)
            self.dx = span.end

    def symbol(self) -> Symbol:
        """What was put, as a symbol."""
        ink = item_box(Text(0.0, 0.0, tuple(self.out)))
        above, below = (0.0, 0.0) if ink is None else (-ink[1], ink[3])
        return Symbol(tuple(self.out), self.dx, max(0.0, below), max(0.0, above))


def _alterations(pen: _Pen, pieces: SymbolPieces, size: float, raised: float) -> None:
    """One alteration in line, more of them stacked in parentheses."""
    words = pieces.alterations
    lift = CAP_HEIGHT * size * (1 - raised)
    if not words:
        return
    if len(words) == 1 or raised == 1:
        joined = ",".join(words)
        plain = len(words) == 1 and joined[0] in "♭♯" and bool(pieces.raised)
        pen.put(joined if plain else f"({joined})", REGULAR, size * raised, lift)
        return
    half = (len(words) + 1) // 2
    above, below = _run(words[:half]), _run(words[half:])
    rows = (above if below[0] in "♭♯" else f"{above},", below)
    small = STACKED * size
    pen.put("(", REGULAR, size, 0.1 * size)
    start, ends = pen.dx, []
    for row, rise in zip(rows, (0.48 * size, 0.02 * size), strict=True):
        pen.dx = start
        pen.put(row, REGULAR, small, rise)
        ends.append(pen.dx)
    pen.dx = max(ends)
    pen.put(")", REGULAR, size, 0.1 * size)


def _run(words: tuple[str, ...]) -> str:
    """Alterations side by side; those that no sign keeps apart are parted by a comma."""
    apart = all(word[0] in "♭♯" for word in words)
    return ("" if apart else ",").join(words)


#: Widths of a plain bar line and of the thick one of a repeat or an end.
THIN, THICK = 0.8, 2.6
#: The size of a time signature beside that of symbols, from one of its baselines to the other in
#: heights of its figures, and the gap between it and the first chord in sizes of symbols.
METER, METER_STEP, METER_GAP = 1.0, 1.16, 0.42


def bar_start(bar: Bar, x: float, span: tuple[float, float], unit: float) -> list[Item]:
    """The repeat sign that opens a bar; `span` its top and bottom, `unit` the size of symbols."""
    top, bottom = span
    if not bar.repeat_open:
        return []
    second = x + THICK / 2 + 0.13 * unit
    items: list[Item] = [Rect(x - THICK / 2, top, THICK, bottom - top)]
    items.append(Line(second, top, second, bottom, THIN))
    return items + _dots(second + 0.15 * unit, top, bottom, unit)


def bar_end(
    sheet: Sheet, number: int, x: float, span: tuple[float, float], unit: float
) -> list[Item]:
    """The bar line that closes a written bar at `x`: plain, double, final or a repeat sign.

    The last one is final, or double where a section is played again behind it.
    """
    top, bottom = span
    bar, last = sheet.bars[number], number == len(sheet.bars) - 1
    if bar.repeat_close or (last and sheet.sections[-1].recalls is None):
        first = x - THICK / 2 - 0.13 * unit
        items: list[Item] = [Line(first, top, first, bottom, THIN)]
        items.append(Rect(x - THICK / 2, top, THICK, bottom - top))
        dots = _dots(first - 0.15 * unit, top, bottom, unit) if bar.repeat_close else []
        return items + dots
    lines: list[Item] = [Line(x, top, x, bottom, THIN)]
    if bar.double_bar or last:
        lines.append(Line(x - 0.14 * unit, top, x - 0.14 * unit, bottom, THIN))
    return lines


def _dots(x: float, top: float, bottom: float, unit: float) -> list[Item]:
    middle, apart = 0.5 * (top + bottom), 0.26 * unit
    return [Circle(x, middle - apart, 0.075 * unit), Circle(x, middle + apart, 0.075 * unit)]


def meter_size(unit: float, least: float, room: float) -> float:
    """The size of a time signature beside symbols of a size, no higher than `room` if it can be."""
    return max(least, min(METER * unit, room / (CAP_HEIGHT * (METER_STEP + 1))))


def meter_width(meter: Meter, size: float) -> float:
    """The width of a time signature."""
    return max(text_width(str(number), BOLD, size) for number in (meter.beats, meter.unit))


def meter_mark(meter: Meter, x: float, y: float, size: float) -> list[Item]:
    """A time signature as two numbers above each other, its left edge at `x`, its middle at `y`."""
    width = meter_width(meter, size)
    items: list[Item] = []
    for row, number in enumerate((meter.beats, meter.unit)):
        text = str(number)
        start = x + 0.5 * (width - text_width(text, BOLD, size))
        baseline = y + CAP_HEIGHT * size * (0.5 * (1 - METER_STEP) + METER_STEP * row)
        items.append(Text(start, baseline, spans(text, BOLD, size)))
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
        items.append(Text(x1 + 0.35 * size, baseline, spans(label, REGULAR, size)))
    if ends[1]:
        items.append(Line(x2, top, x2, top + drop, 0.8))
    return items


def simile_mark(x: float, y: float, unit: float, bars: int, room: float = 0.0) -> list[Item]:
    """The sign for `bars` bars (1 or 2) played again, round the point (`x`, `y`).

    That for two carries their number: above it, left of the bar line that it lies on, or beside it
    where the number would rise above the line of music, whose half height in points is `room`.
    """
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
    if bars > 1:
        size = 0.6 * unit
        width = text_width(str(bars), BOLD, size)
        start = x - 0.12 * unit - width
        base = y - half - 0.14 * unit
        if y - base + CAP_HEIGHT * size > room:
            start, base = x - reach - 0.3 * unit - width, y + 0.5 * CAP_HEIGHT * size
        items.append(Text(start, base, spans(str(bars), BOLD, size)))
    return items


def rest_mark(count: int, x1: float, x2: float, y: float, unit: float) -> list[Item]:
    """A rest of several bars: a thick bar between two posts with the number above it."""
    items: list[Item] = [Rect(x1, y - 0.16 * unit, x2 - x1, 0.32 * unit)]
    for x in (x1, x2):
        items.append(Line(x, y - 0.36 * unit, x, y + 0.36 * unit, 1.0))
    text, size = str(count), 0.75 * unit
    start = 0.5 * (x1 + x2) - 0.5 * text_width(text, BOLD, size)
    items.append(Text(start, y - 0.46 * unit, spans(text, BOLD, size)))
    return items


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
    return [Line(x + 0.4 * size, y, x + size, y, 0.1 * size), head, Shown("early")]
