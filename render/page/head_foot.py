"""The head and the foot of a page: title and facts, running head, legend, caution, page number.

Takes a `Title` and a `PageStyle`; gives items and the height where the head ends. Lengths are
points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

from ...converter.chart import CompingChart
from ...converter.hand.explain import stretches
from ...converter.hand.grip import Grip
from ...converter.hand.voicings import unsounded_tones
from ...converter.prose.facts import (
    HAND_CAUTION_SHORT,
    hand_facts,
    heading_facts,
    playing_facts,
    title_text,
    transposition_facts,
)
from ...grammar.chord import Chord
from .drawing import (
    ASCENT,
    BOLD,
    CAP_HEIGHT,
    FURNITURE_GROUP,
    LARGE_PT,
    LEADING,
    LEGEND_GROUP,
    REGULAR,
    SHADE,
    SHRINK,
    SOFT,
    TEXT_GROUP,
    TITLE_GROUP,
    Frame,
    Group,
    Item,
    Line,
    Page,
    PageStyle,
    Rect,
    Text,
    draw_small_map,
    fitted,
    grouped,
    mark,
    measure,
    root_mark,
    root_string,
    spans,
    with_signs,
    wrapped,
)

#: Sizes of the title and of the lines beside and below it: plain, on A5, in large print.
TITLE, SIDE = 24.0, 10.0
SMALL_TITLE, SMALL_SIDE = 19.0, 9.0
LARGE_TITLE, LARGE_SIDE = 30.0, 18.0
#: The least and greatest width, and the least height, of the hand's way beside a title.
WAY, LEAST_WAY = (40.0, 110.0), 11.0
DOT: Final = "  ·  "


@dataclass(slots=True)
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
            lines.append(Text(self.left, baseline, tuple(spans(line, name, fit)), grey))
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


@dataclass(frozen=True, slots=True)
class Title:
    """What a head says: the `name` of what follows, by whom, and rows of facts beside it.

    The hand's way through `chart` is drawn small beside the name.
    """

    name: str
    by: str = ""
    rows: tuple[str, ...] = ()
    chart: CompingChart | None = None


def title_of(chart: CompingChart) -> Title:
    """The head of a chart."""
    facts = (
        heading_facts(chart),
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
    column.items += draw_small_map(title.chart, box)


def _beside(column: Column, title: Title, side: float, top: float) -> None:
    """By whom under the name, the rows of facts at the right, the last of them level with it.

    Where the rows are taller than the name they begin level with its top and end lower.
    """
    if title.by:
        by = tuple(spans(title.by, REGULAR, side))
        column.items += grouped(TEXT_GROUP, [Text(column.left, column.y, by, SOFT)])
    step = 1.45 * side
    first = max(column.y - (len(title.rows) - 1) * step, top + 1.3 * ASCENT * side)
    for place, row in enumerate(title.rows):
        column.y = max(column.y, first + place * step)
        x = column.right - measure(row, REGULAR, side)
        text = Text(x, first + place * step, tuple(spans(row, REGULAR, side)), SOFT)
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
        column.items += grouped(TEXT_GROUP, [Text(x, y, tuple(spans(part, REGULAR, side)))])
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
    while measure(name, BOLD, side) > room:
        name = name[:-2].rstrip(" …") + "…"
    column.put(name, BOLD, side, group=FURNITURE_GROUP)
    if chart is not None:
        bottom = column.y - 0.3 * side
        column.items += draw_small_map(chart, (right - WAY[1], top + 0.1 * side, right, bottom))
    column.rule(0.8, 0.1 * side, 0.9 * side)
    return column.items, column.y


#: Marks, by name (roots on the neck by their string), with what they mean.
Legend = list[tuple[tuple[str | int, ...], str]]

GRID_LEGEND: Legend = [
    (("root",), "root"),
    (("guide",), "guide tone"),
    (("other",), "other tone"),
]
#: Size of the foot's text on plain pages.
FOOT = 7.6


def foot_size(style: PageStyle) -> float:
    """The size of the foot's text."""
    return LARGE_PT if style.large else FOOT


def foot_height(style: PageStyle, caution: bool = False) -> float:
    """What the foot takes of a page, with or without the caution in it."""
    size = foot_size(style)
    return 2.0 * size + (LEADING * size * len(_caution(style)) + 0.4 * size if caution else 0.0)


def needs_caution(chart: CompingChart, style: PageStyle) -> bool:
    """Whether grids show a grip that spreads fingers beyond the player's comfort."""
    if style.grids == "none":
        return False
    grips = {grip for grip in chart.plan.grips if grip is not None}
    return any(stretches(grip, chart.player) for grip in grips)


def _caution(style: PageStyle) -> list[str]:
    left, _, right, _ = style.frame
    return wrapped(HAND_CAUTION_SHORT, REGULAR, foot_size(style), right - left)


def draw_caution(style: PageStyle) -> list[Item]:
    """The caution, over the legend."""
    left, _, _, bottom = style.frame
    size, said = foot_size(style), _caution(style)
    first = bottom - 2.0 * size - LEADING * size * (len(said) - 1) + 0.1 * size
    lines = [
        Text(left, first + place * LEADING * size, tuple(spans(line, REGULAR, size)), SOFT)
        for place, line in enumerate(said)
    ]
    return grouped(TEXT_GROUP, lines)


def running_frame(name: str, style: PageStyle, chart: CompingChart | None = None) -> Frame:
    """A page under the running head, to be filled down to its foot."""
    left, _, _, bottom = style.frame
    head, top = draw_running_head(name, style, chart)
    return Frame(head, left, top, bottom - foot_height(style))


def with_feet(
    pages: Sequence[Sequence[Item]], legend: Legend, style: PageStyle
) -> tuple[Page, ...]:
    """The pages of a document, each with its foot."""
    width, height = style.size
    return tuple(
        Page(width, height, (*items, *_foot(legend, style, number, len(pages))))
        for number, items in enumerate(pages, 1)
    )


def _foot(legend: Legend, style: PageStyle, page: int, pages: int) -> list[Item]:
    """The legend, as much of it as fits, and the page's number."""
    left, _, right, bottom = style.frame
    size = foot_size(style)
    y = bottom - 0.3 * size
    number = f"{page} / {pages}"
    end = right - measure(number, REGULAR, size)
    folio = Text(end, y, tuple(spans(number, REGULAR, size)), SOFT)
    items: list[Item] = []
    x = left
    for shapes, words in legend:
        start = x + size * (1.05 * len(shapes) + 0.1)
        width = measure(words, REGULAR, size)
        if start + width > end - size:
            break
        for place, shape in enumerate(shapes):
            middle = x + (0.45 + 1.05 * place) * size
            items += _legend_mark(shape, middle, y - 0.33 * size, 0.36 * size)
        items.append(Text(start, y, tuple(spans(words, REGULAR, size)), SOFT))
        x = start + width + 1.2 * size
    return [*grouped(LEGEND_GROUP, items), *grouped(FURNITURE_GROUP, [folio])]


def legend_of(charts: Sequence[CompingChart], style: PageStyle) -> Legend:
    """The marks of the pages of charts that one player plays."""
    rows: Legend = []
    if style.grids != "none":
        rows += GRID_LEGEND
        rows += _kept_and_lacking(charts, style)
    if style.neck_map != "none":
        low, high = charts[0].player.window
        rows.append((("step",), "hand along the neck"))
        rows.append((("shade",), f"frets {low}–{high}"))
        rows += _roots(charts)
    return rows


def _kept_and_lacking(charts: Sequence[CompingChart], style: PageStyle) -> Legend:
    """The signs of grips that are kept and of those that lack a tone, where there are any."""
    played: list[list[tuple[Chord | None, Grip | None]]] = []
    for chart in charts:
        chords = (written.chord for written in chart.sheet.chords)
        played.append(list(zip(chords, chart.plan.grips, strict=True)))
    kept = (one == other for pairs in played for one, other in pairwise(pairs) if one[1])
    rows: Legend = []
    if style.grids == "each" and any(kept):
        rows.append((("same",), "same grip"))
    if any(
        chord is not None and grip is not None and unsounded_tones(chord, grip.voicing)
        for pairs in played
        for chord, grip in pairs
    ):
        rows.append((("lacking",), "symbol says more than the grip sounds"))
    return rows


def _roots(charts: Sequence[CompingChart]) -> Legend:
    """The marks of the strings that roots lie on: one for 6, one for 5, one for all others."""
    grips = (grip for chart in charts for grip in chart.plan.grips if grip is not None)
    strings = {string for grip in grips if (string := root_string(grip)) is not None}
    groups = strings & {6}, strings & {5}, strings - {6, 5}
    parts = [sorted(group, reverse=True) for group in groups if group]
    if not parts:
        return []
    words = (" or ".join(map(str, part)) for part in parts)
    return [(tuple(part[0] for part in parts), "root on string " + ", on ".join(words))]


def _legend_mark(shape: str | int, x: float, y: float, radius: float) -> list[Item]:
    """A mark of the legend in its place."""
    if isinstance(shape, int):
        return root_mark(shape, (x, y), radius, 0.8)
    if shape == "step":
        return [Line(x - 1.1 * radius, y, x + 1.1 * radius, y, 0.9)]
    if shape == "shade":
        return [Rect(x - radius, y - radius, 2 * radius, 2 * radius, SHADE - 0.05)]
    if shape == "same":
        pair = (y - 0.4 * radius, y + 0.4 * radius)
        return [Line(x - 0.8 * radius, each, x + 0.8 * radius, each, 0.9) for each in pair]
    if shape == "lacking":
        return [mark("other", x, y, radius, hollow=True)]
    return [mark(shape, x, y, radius)]
