"""Break the bars of a tune into lines.

Sections begin lines, and the bars of a line share its width by need. Phrases of four bars stay
whole where they can (that a phrase is four bars long is common practice, no source). Every way to
break has a price; the cheapest is found exactly, from the last bar to the first (dynamic
programming). A bar that is too wide for a whole line is cut between chords and goes on in the next
line; in large print it shrinks before. Lengths are points.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from itertools import accumulate
from typing import Final

from ...grammar.frozen import frozen
from ...grammar.sheet import second_of_two
from .above import form_width
from .bars import BarPart, ChartLine, Space, least_rooms, space_of
from .beats import room_of, share
from .chords import MeasuredChord, measure_chords
from .context import LayoutContext
from .rhythm import stroke_gaps

#: The part of a line from which on a short last line takes all of it.
NEARLY_FULL: Final = 0.76
#: The step by which a bar of large print that is wider than a line shrinks.
SHRINKING: Final = 0.94
#: What a bar that is cut counts beside cut phrases.
CUT_BAR: Final = 10.0


#: The room that a quarter takes where there is plenty, in sizes of symbols.
QUARTER: Final = 1.5
#: The least width of a rest of several bars, and of a beat in a bar without chords, in sizes of
#: symbols, and what the time of a bar without chords takes beside that of others, where nothing is
#: struck in it.
REST, BEAT, EMPTY = 1.8, 0.55, 0.6


@frozen
class Passage:
    """The bars of a section, measured: `needs` tells of each what the breaking of lines asks.

    `under` holds for the first bar of a later ending the index of the bar under which it stands;
    `whole`: its bars are as measured, none shrunk or cut.
    """

    section: int
    parts: tuple[BarPart, ...] = ()
    needs: tuple[BarNeed, ...] = ()
    under: tuple[tuple[int, int], ...] = ()
    whole: bool = True


def break_lines(context: LayoutContext, width: float) -> tuple[ChartLine, ...]:
    """The lines of a tune in a column `width` points wide."""
    passages = measure_passages(context)
    return set_lines(break_passages(context, passages, width, context.style.cells), width)


def measure_passages(context: LayoutContext) -> tuple[Passage, ...]:
    """The bars of every section, measured; a pickup before a section joins its first line."""
    passages: list[Passage] = []
    pickup: list[int] = []
    for number, section in enumerate(context.chart.sheet.sections):
        bars = [*pickup, *range(section.first, section.first + section.count)]
        pickup = []
        if not section.count:
            passages.append(Passage(number))
        elif _is_pickup(context, number):
            pickup = bars
        else:
            passages.append(_passage(context, number, bars))
    return tuple(passages)


def _is_pickup(context: LayoutContext, number: int) -> bool:
    """Whether a section is no more than a pickup to the next one."""
    sections, bars = context.chart.sheet.sections, context.chart.sheet.bars
    section, after = sections[number], sections[number + 1 : number + 2]
    plain = not (section.label or section.key or section.text)
    pickup = section.count == 1 and bars[section.first].pickup
    return plain and pickup and any(each.count for each in after)


def _passage(context: LayoutContext, section: int, bars: Sequence[int]) -> Passage:
    """The bars of one section with their places in its strains."""
    parts = tuple(_whole(context, bar) for bar in bars)
    written = [context.chart.sheet.bars[bar] for bar in bars]
    needs: list[BarNeed] = []
    under: list[tuple[int, int]] = []
    place, ending = 0, -1
    for at, (bar, part) in enumerate(zip(written, parts, strict=True)):
        before = written[at - 1] if at else None
        later = bool(bar.endings) and ending >= 0
        if later:
            place = needs[ending].place
            under.append((at, ending))
        elif before is not None and (bar.repeat_open or before.double_bar or before.repeat_close):
            place, ending = 0, -1
        if bar.endings and ending < 0:
            ending = at
        tied = before is not None and (before.pickup or second_of_two(written, at))
        needs.append(BarNeed(part.least, place, later, tied, not bar.pickup))
        place += 0 if bar.pickup else bar.bar_count
    return Passage(section, parts, tuple(needs), tuple(under))


def _whole(context: LayoutContext, bar: int) -> BarPart:
    """A written bar with what it needs and wishes."""
    changes = _meter_changes(context, bar)
    space = space_of(context, bar, changes)
    chords = measure_chords(context, bar)
    least = needed(context, bar, chords, space)
    return BarPart(bar, chords, space, least, ideal(context, bar, chords, space, least), changes)


def _meter_changes(context: LayoutContext, bar: int) -> bool:
    """Whether a time signature stands in a bar: in the first of a chart, and where it changes."""
    sheet = context.chart.sheet
    if bar == 0:
        return context.numbered or sheet.bars[0].meter != sheet.header.meter
    return sheet.bars[bar].meter != sheet.bars[bar - 1].meter


#: Sections, fitted to a width, with the ranges of their bars that share a line.
Broken = tuple[tuple[Passage, tuple[range, ...]], ...]


def break_passages(
    context: LayoutContext, passages: Sequence[Passage], width: float, most: int
) -> Broken:
    """Measured sections broken into lines `width` points wide of at most `most` bars."""
    fitted = [_fitted(context, passage, width) for passage in passages]
    return tuple((passage, break_bars(passage.needs, width, most)) for passage in fitted)


def needed(
    context: LayoutContext, bar: int, chords: tuple[MeasuredChord, ...], space: Space
) -> float:
    """The least width of a bar, or a part of one, with these chords and all their ticks."""
    rooms = sum(least_rooms(chords, space))
    if not chords:
        written = context.chart.sheet.bars[bar]
        beats = BEAT * float(written.meter.quarters)
        rooms = context.sizes.symbol * max(beats, REST if written.rest_bars else 2 * BEAT)
        ends, strokes = (Fraction(0), Fraction(written.meter.beats)), context.strokes_in(bar)
        rooms = max(rooms, *stroke_gaps(strokes, written.meter, ends, context.sizes))
    return max(space.before + space.after + rooms, form_width(context, bar))


def ideal(
    context: LayoutContext,
    bar: int,
    chords: tuple[MeasuredChord, ...],
    space: Space,
    least: float,
) -> float:
    """The width of a bar where there is plenty of room, at least `least`; bars of a line share it
    in proportion."""
    unit = QUARTER * context.sizes.symbol
    meter = context.chart.sheet.bars[bar].meter
    if not chords:
        wide = (1.0 if context.strokes_in(bar) else EMPTY) * unit * room_of(meter.quarters)
        return max(space.before + space.after + wide, least)
    rooms = least_rooms(chords, space)
    unit *= room_of(4 / meter.unit)
    pairs = zip(rooms, chords, strict=True)
    wide = sum(max(room, unit * context.times[each.index].room) for room, each in pairs)
    return max(space.before + space.after + wide, least)


@frozen
class LinePlace:
    """A line of a passage, its bars as a range, with the x of the first and the widths of all.

    A line without bars stands for a section that is played again.
    """

    passage: Passage
    bars: range
    left: float
    widths: Sequence[float]

    @property
    def parts(self) -> tuple[BarPart, ...]:
        """Its bars."""
        return self.passage.parts[self.bars.start : self.bars.stop]


def place_lines(pairs: Broken, width: float) -> list[LinePlace]:
    """The lines of broken sections with the places of their bars."""
    fullest = max((_fullness(each, line) for each, lines in pairs for line in lines), default=None)
    out: list[LinePlace] = []
    for passage, lines in pairs:
        if not passage.parts or fullest is None:
            out.append(LinePlace(passage, range(0), 0.0, ()))
            continue
        own = max(_fullness(passage, line) for line in lines) if len(lines) > 1 else fullest
        above: list[LinePlace] = []
        for line in lines:
            above.append(_placed(passage, line, above, (width, own)))
        out += above
    return out


def set_lines(pairs: Broken, width: float, factor: float = 1.0) -> tuple[ChartLine, ...]:
    """The lines of broken sections, their bars with their places, all sizes times a factor."""
    return tuple(_set(place, factor) for place in place_lines(pairs, width))


def _set(place: LinePlace, factor: float) -> ChartLine:
    xs = accumulate(place.widths, initial=place.left)
    pieces = tuple(
        part.placed(x, width, factor)
        for part, x, width in zip(place.parts, xs, place.widths, strict=False)
    )
    return ChartLine(place.passage.section, place.bars.start == 0, pieces)


def cuts_of(broken: Broken) -> float:
    """The price of all phrases and bars that are cut: 0 where none is."""
    phrases = sum(phrase_cuts(passage.needs, lines) for passage, lines in broken)
    cut = sum(not part.closes for passage, _ in broken for part in passage.parts)
    return round(phrases + CUT_BAR * cut, 6)


def _fullness(passage: Passage, line: range) -> tuple[int, float]:
    """How many full bars a line has, and the sum of the widths that they wish."""
    full = [at for at in line if passage.needs[at].counts]
    return len(full), sum(passage.parts[at].ideal for at in full)


def _fitted(context: LayoutContext, passage: Passage, width: float) -> Passage:
    """A section without bars that are wider than a line: in large print they shrink as far as
    may be, and what is then too wide is cut between chords."""
    if all(part.least <= width for part in passage.parts):
        return passage
    parts: list[BarPart] = []
    needs: list[BarNeed] = []
    moved_to: list[int] = []
    for part, need in zip(passage.parts, passage.needs, strict=True):
        moved_to.append(len(parts))
        part = _shrunk(context, part, width) if context.style.large else part
        for place, piece in enumerate(_cut(context, part, width)):
            parts.append(piece)
            needs.append(replace(need, least=piece.least, breaks=need.breaks or place > 0))
    under = tuple((moved_to[at], moved_to[first]) for at, first in passage.under)
    return Passage(passage.section, tuple(parts), tuple(needs), under, whole=False)


def _shrunk(context: LayoutContext, part: BarPart, width: float) -> BarPart:
    """A bar of large print that is made smaller until it fits a line or would be too small.

    Its grids show no fingers: their numbers would be too small.
    """
    factor = 1.0
    while part.least > width and factor * context.sizes.symbol > context.sizes.least:
        factor *= SHRINKING
        smaller = context.scaled(factor)
        chords = tuple(
            replace(chord, look=replace(chord.look, finger=0.0))
            for chord in measure_chords(smaller, part.bar)
        )
        part = replace(part, chords=chords, least=needed(context, part.bar, chords, part.space))
    return part


def _cut(context: LayoutContext, part: BarPart, width: float) -> list[BarPart]:
    """The parts of a bar that is wider than a line, each as full as it can be."""
    if part.least <= width or len(part.chords) < 2:
        return [part]
    parts: list[list[MeasuredChord]] = [[]]
    for chord in part.chords:
        if parts[-1] and needed(context, part.bar, (*parts[-1], chord), part.space) > width:
            parts.append([])
        parts[-1].append(chord)
    last = len(parts) - 1
    return [
        _part(context, part, tuple(chords), (place == 0, place == last))
        for place, chords in enumerate(parts)
    ]


def _part(
    context: LayoutContext,
    whole: BarPart,
    chords: tuple[MeasuredChord, ...],
    ends: tuple[bool, bool],
) -> BarPart:
    """A part of a bar with some of its chords; `ends`: whether it opens and closes the bar."""
    least = needed(context, whole.bar, chords, whole.space)
    plenty = ideal(context, whole.bar, chords, whole.space, least)
    return replace(whole, chords=chords, least=least, ideal=plenty, opens=ends[0], closes=ends[1])


def _placed(
    passage: Passage,
    line: range,
    above: Sequence[LinePlace],
    size: tuple[float, tuple[int, float]],
) -> LinePlace:
    """A line with the widths of its bars; `size`: a line's width and how full the fullest is.

    A later ending stands under the first one where it fits; a short last line is no wider than its
    bars are beside those of full lines, but the second half of a phrase is as wide as the first.
    """
    width, full = size
    parts = passage.parts[line.start : line.stop]
    needs, wished = [part.least for part in parts], [part.ideal for part in parts]
    beside = dict(passage.under).get(line.start)
    if beside is not None:
        left, over = _ending_above(above, beside)
        if left + sum(needs) <= width:
            return LinePlace(passage, line, left, _under(needs, wished, over, width - left))
    last = parts[-1].closes and (line.stop == len(passage.parts) or passage.needs[line.stop].breaks)
    count, ideals = _fullness(passage, line)
    before = _fullness(passage, above[-1].bars)[0] if above else full[0]
    short = width * ideals / full[1] if count < before else width
    if last and short < NEARLY_FULL * width:
        width = min(width, max(short, sum(needs)))
    return LinePlace(passage, line, 0.0, share(needs, wished, width))


def _ending_above(above: Sequence[LinePlace], first: int) -> tuple[float, Sequence[float]]:
    """The x of the bar `first`, with which an ending begins, and the widths of the bars from there
    to the end of its line."""
    line = next(line for line in above if first in line.bars)
    at = first - line.bars.start
    return line.left + sum(line.widths[:at]), line.widths[at:]


def _under(
    needs: Sequence[float], wished: Sequence[float], over: Sequence[float], width: float
) -> Sequence[float]:
    """The widths of an ending's bars under those of the first ending, in so much room."""
    if len(needs) > len(over):
        return share(needs, wished, width)
    if all(need <= room for need, room in zip(needs, over, strict=False)):
        return over[: len(needs)]
    return share(needs, wished, max(sum(over[: len(needs)]), sum(needs)))


#: Bars of a phrase.
PHRASE: Final = 4
#: What a line costs, and the square of the part of it that its bars do not need.
LINE, SLACK = 1.0, 0.5
#: What a break costs in the middle of a phrase, and behind its first or third bar.
HALF, ODD = 1.2, 4.5
#: What a line costs that holds no whole phrases and no half of one: a single bar, a lone last bar,
#: any other number.
SINGLE, LONE, UNUSUAL = 2.0, 6.0, 4.5
#: What a break costs between bars that belong together.
TIED = 20.0
#: Rounding that a full line forgives.
ROUNDING: Final = 1e-6


@frozen
class BarNeed:
    """What the breaking of lines knows of a bar, or of a part of one.

    `least`: the width it needs. `place`: how many bars of its strain come before it; a second
    ending counts from where the first began. `breaks`: a line must begin with it. `tied`: it stays
    beside the bar before. `counts`: whether it counts among the bars of a line, as pickups do not.
    """

    least: float
    place: int = 0
    breaks: bool = False
    tied: bool = False
    counts: bool = True


@lru_cache(maxsize=1024)
def break_bars(needs: tuple[BarNeed, ...], width: float, most: int) -> tuple[range, ...]:
    """The lines of a section with at most `most` bars each, as ranges of indices of `needs`.

    A bar that is wider than a line has one to itself.
    """
    count = len(needs)
    breaks = [_break_price(needs, end) for end in range(count + 1)]
    best: list[tuple[float, int]] = [(0.0, count)] * (count + 1)
    for start in range(count - 1, -1, -1):
        lines = _lines_from(needs, start, width, most)
        best[start] = min((price + breaks[end] + best[end][0], end) for end, price in lines)
    found, start = [], 0
    while start < count:
        found.append(range(start, best[start][1]))
        start = best[start][1]
    return tuple(found)


def _lines_from(
    needs: Sequence[BarNeed], start: int, width: float, most: int
) -> Iterator[tuple[int, float]]:
    """Every line that may begin with a bar: the bar behind its last, and its price without that of
    the break there."""
    used, bars = 0.0, 0
    for end in range(start + 1, len(needs) + 1):
        last = needs[end - 1]
        used, bars = used + last.least, bars + last.counts
        too_full = used > width + ROUNDING or bars > most
        if end > start + 1 and (too_full or last.breaks):
            break
        slack = SLACK * max(0.0, 1 - used / width) ** 2 if end < len(needs) else 0.0
        yield end, LINE + slack + _count_price(needs, start, end, bars, most)


def _count_price(needs: Sequence[BarNeed], start: int, end: int, bars: int, most: int) -> float:
    """What the number of bars of a line costs."""
    if bars == 1 and len(needs) > 1:
        lone = end == len(needs) and start > 0 and not needs[start].breaks
        return LONE if lone else SINGLE
    usual = bars in (1, 2, most) or bars % PHRASE == 0
    return 0.0 if usual else UNUSUAL


def _break_price(needs: Sequence[BarNeed], end: int) -> float:
    """What it costs that a line ends before the bar `end`."""
    if end == len(needs) or needs[end].breaks:
        return 0.0
    if needs[end].tied:
        return TIED
    within = needs[end].place % PHRASE
    if within == 0:
        return 0.0
    return HALF if 2 * within == PHRASE else ODD


def phrase_cuts(needs: Sequence[BarNeed], lines: Sequence[range]) -> float:
    """What all breaks inside phrases cost: 0 where every phrase is whole."""
    return sum(_break_price(needs, line.stop) for line in lines)
