"""The values of a book, and the orders that its tunes may stand in.

A book holds finished charts; what it is called and in which order they stand are its options.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, Literal, get_args

from ...converter.chart import CompingChart
from ...converter.hand.explain import difficulty_of
from ...converter.prose.facts import title_text
from ...grammar.frozen import frozen

Order = Literal["given", "title", "key", "difficulty"]
ORDERS: Final[tuple[Order, ...]] = get_args(Order)
#: Words that do not count where titles are ordered.
_ARTICLES: Final = ("the ", "a ", "an ")


@frozen
class BookOptions:
    """What a book is called, for whom it is, how its tunes are ordered.

    `note` stands on the title page. `indexes`: keys, areas, grips and difficulty at the end.
    """

    title: str = "Comping charts"
    by: str = ""
    note: str = ""
    order: Order = "given"
    indexes: bool = True


@frozen
class BookTune:
    """A tune of a book with the figure of its difficulty, 0 to 10."""

    chart: CompingChart
    difficulty: float

    @property
    def title(self) -> str:
        """Its title."""
        return title_text(self.chart.sheet)


def book_tune(chart: CompingChart) -> BookTune:
    """A chart as a tune of a book."""
    return BookTune(chart, difficulty_of(chart).total)


def in_order(tunes: Sequence[BookTune], order: Order) -> list[BookTune]:
    """The tunes in an order: by title (articles do not count), by key along the circle of fifths
    from C, by difficulty, or as given. Tunes that are equal keep their order.
    """
    if order == "title":
        return sorted(tunes, key=lambda tune: sort_title(tune.title))
    if order == "difficulty":
        return sorted(tunes, key=lambda tune: round(tune.difficulty, 3))
    if order == "key":
        return sorted(tunes, key=lambda tune: key_order(tune.chart))
    return list(tunes)


def sort_title(title: str) -> str:
    """A title as it is sorted: without case and without an article."""
    folded = title.casefold()
    article = next((word for word in _ARTICLES if folded.startswith(word)), "")
    return folded.removeprefix(article)


def key_order(chart: CompingChart) -> tuple[int, str]:
    """The place of a chart's key: sharps up from C, then flats down; minor by its signature."""
    key = chart.analysis.key
    return key.fifths % 12, str(key)
