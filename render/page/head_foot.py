"""The head and the foot of a page: title and facts, running head, legend, caution, page number.

Takes a `Title` and a `PageStyle`; gives items and the height where the head ends. Lengths are
points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field, replace
from typing import Final

from ...converter.chart import CompingChart
from ...converter.explain import stretches
from ...converter.practice.rhythm import plain_name
from ...converter.prose.facts import (
    HAND_CAUTION_SHORT,
    bars_text,
    hand_facts,
    heading_facts,
    playing_facts,
    title_text,
    transposition_facts,
)
from ...grammar.frozen import frozen, mutable
from .drawing.blocks import LEADING, SHRINK, Frame, wrapped
from .drawing.fonts import ASCENT, BOLD, CAP_HEIGHT, REGULAR, fitted, measure, shortened, spans
from .drawing.geometry import box_of, heavy, moved
from .drawing.items import (
    FURNITURE_GROUP,
    HEADING_GROUP,
    TEXT_GROUP,
    TITLE_GROUP,
    Box,
    Group,
    Item,
    Line,
    Open,
    Page,
    Text,
    finished,
    grouped,
)
from .drawing.neckmap import draw_small_map
from .drawing.signs import with_signs
from .drawing.style import SOFT, UNBOUND, PageStyle
from .legend import (
    STEP,
    LegendRows,
    draw_legend,
    foot_size,
    legend_rows,
    marks_shown,
    possible_marks,
)

#: Sizes of the title and of the lines beside and below it: plain, on A5, in large print.
TITLE, SIDE = 24.0, 10.0
SMALL_TITLE, SMALL_SIDE = 19.0, 9.0
LARGE_TITLE, LARGE_SIDE = 30.0, 18.0
#: The least and greatest width, and the least height, of the hand's way beside a title.
WAY, LEAST_WAY = (40.0, 110.0), 11.0
DOT: Final = "  ·  "


@mutable
class Column:
    """A column of text that grows downwards while a head is built; lengths in points."""

    left: float
    right: float
    y: float
    items: list[Item] = field(default_factory=list)

    @property
    def width(self) -> float:
        """The room for text."""
        return self.right - self.left

    def put(
        self, text: str, name: str, size: float, grey: float = 0.0, group: Group = TEXT_GROUP
    ) -> None:
        """Set a text, in as many lines as it takes, and move down."""
        lines: list[Item] = []
        for line in wrapped(text, name, size, self.width):
            fit = fitted(line, name, size, self.width)
            baseline = self.y + ASCENT * size
            lines.append(Text(self.left, baseline, spans(line, name, fit), grey))
            self.y += 1.35 * size
        self.items += grouped(group, lines)

    def rule(self, width: float, above: float, below: float) -> None:
        """A line across the column."""
        self.y += above
        self.items.append(Line(self.left, self.y, self.right, self.y, width))
        self.y += below


def sizes_of_head(style: PageStyle) -> tuple[float, float]:
    """Sizes of a title and of the lines with it."""
    if style.large:
        return LARGE_TITLE, LARGE_SIDE
    return (SMALL_TITLE, SMALL_SIDE) if style.paper == "a5" else (TITLE, SIDE)


@frozen
class Title:
    """What a head says: the `name` of what follows, by whom, and rows of facts beside it.

    The hand's way through `chart` is drawn small beside the name.
    """

    name: str
    by: str = ""
    rows: tuple[str, ...] = ()
    chart: CompingChart | None = None


def title_of(chart: CompingChart, style: PageStyle) -> Title:
    """The head of a chart."""
    rhythm = [] if style.rhythm is None else [plain_name(style.rhythm)]
    facts = (
        [*heading_facts(chart), *rhythm],
        hand_facts(chart),
        transposition_facts(chart),
        playing_facts(chart),
    )
    rows = tuple(with_signs(DOT.join(row)) for row in facts if row)
    return Title(title_text(chart.sheet), chart.sheet.header.by, rows, chart)


def draw_head(title: Title, style: PageStyle) -> tuple[list[Item], float]:
    """The head of a first page and the height where it ends."""
    left, top, right, _ = style.frame
    size, side = sizes_of_head(style)
    column = Column(left, right, top)
    _owner(column, style, side)
    beside = max((measure(row, REGULAR, side) for row in title.rows), default=0.0)
    if measure(title.name, BOLD, size) + beside + 2 * side <= column.width:
        above = column.y
        column.put(title.name, BOLD, size, group=TITLE_GROUP)
        column.y += 1.25 * side - 0.35 * size
        _beside(column, title, side, above)
        span = column.left + measure(title.name, BOLD, size), column.right - beside
        _way(column, title, span, (above + ASCENT * size, size))
    else:
        shrunk = fitted(title.name, BOLD, size, column.width)
        column.put(title.name, BOLD, max(shrunk, SHRINK * size, side), group=TITLE_GROUP)
        for row in (title.by, *title.rows):
            column.put(row, REGULAR, side, SOFT)
        longest = max(measure(row, REGULAR, side) for row in (title.by, *title.rows))
        ends = column.left + longest, column.right + side
        _way(column, title, ends, (column.y - (1.35 - ASCENT) * side, side))
    column.rule(1.2, 0.7 * side, 0.75 * side)
    if style.heading.note:
        column.put(style.heading.note, REGULAR, side)
        column.y += 0.4 * side
    return column.items, column.y


def _way(column: Column, title: Title, span: tuple[float, float], row: tuple[float, float]) -> None:
    """The hand's way small in a row (its baseline and size) between two texts, or in a row of its
    own where these leave no room."""
    if title.chart is None:
        return
    baseline, size = row
    height = max(CAP_HEIGHT * size, LEAST_WAY)
    left, right = span[0] + 0.6 * size, span[1] - size
    if right - left < WAY[0]:
        left, right = column.left, column.right
        column.y += height + 0.3 * size
        baseline = column.y
    box = (left, baseline - height, min(right, left + WAY[1]), baseline)
    column.items += _small_map(title.chart, box)


def _small_map(chart: CompingChart, box: Box) -> list[Item]:
    beats = [float(written.beats) for written in chart.sheet.chords]
    stays = list(zip(beats, chart.plan.grips, strict=True))
    return draw_small_map(stays, chart.player.window, box)


def _beside(column: Column, title: Title, side: float, top: float) -> None:
    """By whom under the name, the rows of facts at the right, the last of them level with it.

    Where the rows are taller than the name they begin level with its top and end lower.
    """
    if title.by:
        by = spans(title.by, REGULAR, side)
        column.items += grouped(TEXT_GROUP, [Text(column.left, column.y, by, SOFT)])
    step = 1.45 * side
    first = max(column.y - (len(title.rows) - 1) * step, top + 1.3 * ASCENT * side)
    for place, row in enumerate(title.rows):
        column.y = max(column.y, first + place * step)
        x = column.right - measure(row, REGULAR, side)
        text = Text(x, first + place * step, spans(row, REGULAR, side), SOFT)
        column.items += grouped(TEXT_GROUP, [text])


def _owner(column: Column, style: PageStyle, side: float) -> None:
    """Studio, student and date in one row, or each in a line where they are too long for it."""
    heading = style.heading
    parts = [part for part in (heading.studio, heading.student, heading.date) if part]
    if not parts:
        return
    if len(parts) == 1 or sum(measure(p, REGULAR, side) + 2 * side for p in parts) > column.width:
        for part in parts:
            column.put(part, REGULAR, side)
        return
    free = column.width - sum(measure(part, REGULAR, side) for part in parts)
    x, y = column.left, column.y + ASCENT * side
    for part in parts:
        column.items += grouped(TEXT_GROUP, [Text(x, y, spans(part, REGULAR, side))])
        x += measure(part, REGULAR, side) + free / (len(parts) - 1)
    column.y += 1.6 * side


def draw_running_head(
    name: str, style: PageStyle, chart: CompingChart | None = None
) -> tuple[list[Item], float]:
    """The head of a later page: the name again, in one line, over a rule.

    The hand's way through `chart` stands small behind it.
    """
    left, top, right, _ = style.frame
    _, side = sizes_of_head(style)
    column = Column(left, right, top)
    room = column.width - (WAY[1] + 2 * side if chart is not None else 0.0)
    column.put(shortened(name, BOLD, side, room), BOLD, side, group=FURNITURE_GROUP)
    if chart is not None:
        bottom = column.y - 0.3 * side
        column.items += _small_map(chart, (right - WAY[1], top + 0.1 * side, right, bottom))
    column.rule(0.8, 0.1 * side, 0.9 * side)
    return column.items, column.y


def foot_height(style: PageStyle, rows: int = 1, caution: bool = False) -> float:
    """What the foot takes of a page, with so many rows of a legend and with the caution or not."""
    size = foot_size(style)
    legend = STEP * size * (max(rows, 1) - 1)
    return 2.0 * size + legend + (_caution_height(style) if caution else 0.0)


def _caution_height(style: PageStyle) -> float:
    size = foot_size(style)
    return LEADING * size * len(_caution(style)) + 0.4 * size


def needs_caution(chart: CompingChart, style: PageStyle) -> bool:
    """Whether grids show a grip that spreads fingers beyond the player's comfort."""
    if style.grids == "none":
        return False
    grips = {grip for grip in chart.plan.grips if grip is not None}
    return any(stretches(grip, chart.player) for grip in grips)


def _caution(style: PageStyle) -> tuple[str, ...]:
    left, _, right, _ = style.frame
    return wrapped(HAND_CAUTION_SHORT, REGULAR, foot_size(style), right - left)


def draw_caution(style: PageStyle, bottom: float) -> list[Item]:
    """The caution, its last line over what stands at `bottom`."""
    left = style.frame[0]
    size, said = foot_size(style), _caution(style)
    first = bottom - LEADING * size * (len(said) - 1) + 0.1 * size
    lines = [
        Text(left, first + place * LEADING * size, spans(line, REGULAR, size), SOFT)
        for place, line in enumerate(said)
    ]
    return grouped(TEXT_GROUP, lines)


def first_foot_height(
    charts: Sequence[CompingChart], style: PageStyle, caution: bool, drill: bool = False
) -> float:
    """What the foot takes of a first page, with the caution or not.

    It holds the legend, except in large print, where that stands behind the music.
    """
    rows = 1
    if not style.large:
        rows = len(_legend(possible_marks(charts, style, drill), charts[0].player.window, style))
    return foot_height(style, rows, caution)


def running_frame(name: str, style: PageStyle, chart: CompingChart | None = None) -> Frame:
    """A page under the running head, to be filled down to its foot."""
    left, _, _, bottom = style.frame
    head, top = draw_running_head(name, style, chart)
    return Frame(head, left, top, bottom - foot_height(style))


def with_feet(
    pages: Sequence[Sequence[Item]],
    window: tuple[int, int],
    style: PageStyle,
    caution: bool = False,
    numbered: bool = True,
) -> tuple[Page, ...]:
    """The pages of a document, each with its foot; a legend for all of them, `window` in it.

    The legend stands at the foot of the first page, in large print behind the last one's items;
    over it the caution, where it is due. `numbered`: the bars have numbers, which the running heads
    of a book name.
    """
    rows = _legend(marks_shown(pages), window, style)
    filled = [finished(items) for items in pages]
    if style.large:
        filled = _legend_behind(filled, rows, style)
    elif filled:
        size, (left, _, _, bottom) = foot_size(style), style.frame
        filled[0] += draw_legend(rows, (left, bottom - 0.3 * size), size)
    if caution and filled:
        taken = foot_height(style, 1 if style.large else len(rows))
        filled[0] += draw_caution(style, style.frame[3] - taken)
    width, height = style.size
    if style.in_book and numbered:
        filled = [*filled[:1], *(_with_bars(items, style) for items in filled[1:])]
    if style.folio == UNBOUND:
        return tuple(Page(width, height, tuple(items)) for items in filled)
    whole = [
        whole_page(items, style, (number, len(filled)))
        for number, items in enumerate(filled, style.folio or 1)
    ]
    return tuple(Page(width, height, items) for items in whole)


def whole_page(
    items: Sequence[Item], style: PageStyle, number: tuple[int, int], shown: bool = True
) -> tuple[Item, ...]:
    """A page with its number (and that of all pages); in a book on its side of the opening.

    The number is printed unless it is not `shown`.
    """
    whole = (*items, *(_folio(style, *number) if shown else ()))
    dx = style.verso_dx(number[0])
    placed = tuple(moved(whole, -dx, 0.0)) if dx else whole
    return heavy(placed) if style.large else placed


def _with_bars(items: list[Item], style: PageStyle) -> list[Item]:
    """A later page of a book with its bars behind the name in its running head: `– bars 17–32`."""
    groups = (item.group for item in items if isinstance(item, Open))
    bars = [group.bar for group in groups if group.kind == "bar" and group.bar is not None]
    place = next((at for at, item in enumerate(items) if isinstance(item, Text)), None)
    if not bars or place is None:
        return items
    head = items[place]
    assert isinstance(head, Text)
    end, size = head.spans[-1].end, head.spans[0].size
    behind = spans(f" – {bars_text((min(bars), max(bars)))}", REGULAR, size, end)
    if head.x + behind[-1].end + size > style.frame[2] - WAY[1]:
        return items
    return [*items[:place], replace(head, spans=(*head.spans, *behind)), *items[place + 1 :]]


def _legend(names: frozenset[str], window: tuple[int, int], style: PageStyle) -> LegendRows:
    """The legend of marks at the foot of a page; it leaves room for the page's number."""
    left, _, right, _ = style.frame
    size = foot_size(style)
    width = right - left - measure("00 / 00", REGULAR, size) - size
    return legend_rows(names, window, width, size)


def _legend_behind(
    pages: Sequence[list[Item]],
    rows: LegendRows,
    style: PageStyle,
) -> list[list[Item]]:
    """The pages with a legend below the last one's items, or on a page of its own."""
    size, (left, top, _, _) = foot_size(style), style.frame
    if not rows:
        return list(pages)
    height = _height_behind(len(rows), size)
    under = _end(pages[-1], style)
    if not _fits(under, height, style):
        name = Text(left, top + size, spans("What the marks mean", BOLD, size))
        pages, under = [*pages, grouped(HEADING_GROUP, [name])], top + 1.5 * size
    legend = draw_legend(rows, (left, under + height - 0.4 * size), size)
    return [*pages[:-1], [*pages[-1], *legend]]


def height_of_legend_behind(
    pages: Sequence[Sequence[Item]], window: tuple[int, int], style: PageStyle
) -> float:
    """The height of a legend of large print that has no room on the last page, 0 where it has."""
    size = foot_size(style)
    rows = _legend(marks_shown(pages), window, style)
    height = _height_behind(len(rows), size)
    return 0.0 if not rows or _fits(_end(pages[-1], style), height, style) else height


def _height_behind(rows: int, size: float) -> float:
    """The height of a legend behind the music."""
    return STEP * size * rows + 0.6 * size


def _end(items: Sequence[Item], style: PageStyle) -> float:
    """Where the items of a page end."""
    box = box_of(items)
    return style.frame[1] if box is None else box[3]


def _fits(under: float, height: float, style: PageStyle) -> bool:
    """Whether so much stands under a height of a page."""
    return under + height <= style.frame[3] - foot_height(style)


def _folio(style: PageStyle, page: int, pages: int) -> list[Item]:
    """The number of a page, on its outer side."""
    left, _, right, bottom = style.frame
    size = foot_size(style)
    number = f"{page} / {pages}" if style.folio is None else str(page)
    verso = style.in_book and page % 2 == 0
    x = left if verso else right - measure(number, REGULAR, size)
    text = Text(x, bottom - 0.3 * size, spans(number, REGULAR, size), SOFT)
    return grouped(FURNITURE_GROUP, [text])
