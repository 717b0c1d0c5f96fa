"""The values of a book: what it is called, what is known of its tunes, the orders they stand in.

A `BookTune` holds what contents, orders and indexes say of a tune, so that a book of many tunes
does not hold their charts.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final, Literal, TypeVar, get_args

from ...converter.chart import CompingChart
from ...converter.explain import difficulty_of
from ...converter.hand.grip import Grip
from ...converter.hand.player import Player
from ...converter.prose.facts import heading_key, played_text, title_text
from ...grammar.chord import Chord
from ...grammar.frozen import frozen
from ...grammar.key import Key
from ..page.layout import grips_used

Each = TypeVar("Each")
Order = Literal["given", "title", "key", "difficulty"]
ORDERS: Final[tuple[Order, ...]] = get_args(Order)
#: Words that do not count where titles are ordered.
_ARTICLES: Final = ("the ", "a ", "an ")


@frozen
class BookOptions:
    """What a book is called, for whom it is, how its tunes are ordered, what follows them.

    `note` stands on the title page. `drills`: those of the tunes, shared ones once. `indexes`:
    keys, areas, grips and difficulty at the end.
    """

    title: str = "Comping charts"
    by: str = ""
    note: str = ""
    order: Order = "given"
    drills: bool = False
    indexes: bool = True


@frozen
class IndexedArea:
    """An area of a tune as an index names it: its kind, its key, the bars that are played."""

    kind: str
    key: Key
    bars: str


@frozen
class BookTune:
    """What a book says of a tune besides its pages.

    `key_text` is the key as the heading of the chart names it, `difficulty` a figure of 0 to 10,
    `grips` each chord with its grip and the written bars where they stand.
    """

    title: str
    by: str
    key: Key
    key_text: str
    difficulty: float
    player: Player
    areas: tuple[IndexedArea, ...] = ()
    grips: tuple[tuple[Chord, Grip, tuple[int, ...]], ...] = ()


def book_tune(chart: CompingChart) -> BookTune:
    """What a book says of the tune of a chart."""
    sheet, analysis = chart.sheet, chart.analysis
    areas = (
        IndexedArea(area.kind, area.key, played_text(sheet, area.bars)) for area in analysis.areas
    )
    grips = grips_used(chart)
    return BookTune(
        title_text(sheet),
        sheet.header.by,
        analysis.key,
        heading_key(analysis),
        difficulty_of(chart).total,
        chart.player,
        tuple(dict.fromkeys(areas)),
        tuple((chord, grip, tuple(bars)) for (chord, grip), bars in grips.items()),
    )


def in_order(each: Sequence[Each], tune_of: Callable[[Each], BookTune], order: Order) -> list[Each]:
    """What belongs to tunes in an order of these: by title (articles do not count), by key along
    the circle of fifths from C, by difficulty, or as given. Equal tunes keep their order.
    """
    if order == "title":
        return sorted(each, key=lambda one: sort_title(tune_of(one).title))
    if order == "difficulty":
        return sorted(each, key=lambda one: round(tune_of(one).difficulty, 3))
    if order == "key":
        return sorted(each, key=lambda one: key_order(tune_of(one).key))
    return list(each)


def sort_title(title: str) -> str:
    """A title as it is sorted: without case and without an article."""
    folded = title.casefold()
    article = next((word for word in _ARTICLES if folded.startswith(word)), "")
    return folded.removeprefix(article)


def key_order(key: Key) -> tuple[int, str]:
    """The place of a key: sharps up from C, then flats down; minor by its signature."""
    return key.fifths % 12, str(key)
