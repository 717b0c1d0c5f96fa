"""The pages of a book: title page, contents, the charts on facing pages, drills, indexes.

Takes the parts of tunes in their order and a page style; gives one `Document` with links, an
outline and page labels. Front matter has small Roman numbers; the first chart begins on page 1, a
right-hand page. A chart or drill of two or more pages begins on a left-hand page, so that two pages
never need a turn.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final

from ...converter.drill.collection import SharedDrill, shared_drills
from ...converter.drill.drill import Drill
from ...converter.prose.facts import counted
from ...grammar.sheet import COMMON_TIME
from ..page.drawing.items import Document, OutlineEntry
from ..page.drawing.signs import with_signs
from ..page.drawing.style import PageStyle
from ..page.drill.layout import lay_out_drill
from .back import INDEXES, Starts, index_of
from .book import BookOptions, BookTune
from .front import ContentsRow, contents, title_page
from .part import BookPages, BookPart, Leaf, PackedPages, letters_of, packed, unbound
from .pieces import PageParts, pages_of

#: The names of the parts with drills.
ROUND_THE_KEYS: Final = "Drills round the keys"
IN_PLACE: Final = "Drills of each tune"
#: The most tunes that the head of a shared drill names.
MOST_NAMED: Final = 6


class _Binder:
    """Collects the pages of a book after its front matter, with the outline.

    `places` are the pages where parts begin that the contents name.
    """

    def __init__(self, front: int) -> None:
        self.front = front
        self.leaves: list[Leaf] = []
        self.outline: list[OutlineEntry] = []
        self.places: dict[str, int] = {}
        self.letters: dict[str, set[str]] = {}

    @property
    def folio(self) -> int:
        """The number of the next page."""
        return len(self.leaves) + 1

    @property
    def page(self) -> int:
        """The place of the next page in the document."""
        return self.front + len(self.leaves)

    def add(self, pages: PackedPages, level: int = 0) -> int:
        """Add pages that were laid out; several begin on the left. Gives the place of the first."""
        if len(pages.pages) > 1 and self.folio % 2:
            self.leaves.append(Leaf((), self.folio))
        first = self.page
        self.outline.append(OutlineEntry(pages.title, first, 0.0, level))
        for entry in pages.outline:
            self.outline.append(replace(entry, page=entry.page + first, level=level + 1))
        for content in pages.pages:
            self.leaves.append(Leaf(content, self.folio))
        self.add_letters(pages.letters)
        return first

    def add_part(self, name: str, every: Iterable[PackedPages]) -> None:
        """Add a part of the book with its drills below it in the outline."""
        place = len(self.outline)
        firsts = [self.add(pages, 1) for pages in every]
        self.places[name] = firsts[0] if firsts else self.page
        self.outline.insert(place, OutlineEntry(name, self.places[name], 0.0))

    def add_index(self, name: str, pages: Sequence[PageParts]) -> None:
        """Add the pages of an index."""
        self.places[name] = self.page
        self.outline.append(OutlineEntry(name, self.page, 0.0))
        for items, links in pages:
            self.leaves.append(Leaf(items, self.folio, links))
            self.add_letters(letters_of(items))

    def add_letters(self, letters: Iterable[tuple[str, str]]) -> None:
        """Add the characters of texts by their typeface."""
        for face, found in letters:
            self.letters.setdefault(face, set()).update(found)


def lay_out_book(parts: Sequence[BookPart], options: BookOptions, style: PageStyle) -> Document:
    """The pages of a book of parts in their order, which were made in the same style.

    The pages are put together one by one while they are read. Raises DrillError or PlanError when
    no hand can take a progression round the keys.
    """
    bound = replace(style, binding="book")
    tunes = [part.tune for part in parts]
    names = _names_of_parts(parts, options)
    front = _front_length(tunes, names, bound)
    binder = _Binder(front)
    starts = Starts(tuple(binder.add(part.chart) for part in parts), front)
    _add_drills(binder, parts, starts, bound)
    for name in INDEXES if options.indexes else ():
        index = index_of(name, tunes, starts, bound)
        binder.add_index(name, pages_of(index.pieces, bound, index.columns))
    rows = [
        *_tune_rows(tunes, starts),
        *(_row(name, binder.places[name], front) for name in names),
    ]
    leaves = _front(rows, tunes, options, front, bound)
    for leaf in leaves:
        binder.add_letters(letters_of(leaf.items))
    letters = tuple((face, "".join(sorted(one))) for face, one in sorted(binder.letters.items()))
    return Document(
        BookPages([*leaves, *binder.leaves], bound), options.title, options.by,
        outline=tuple(binder.outline), front=front, letters=letters,
    )  # fmt: skip


def _names_of_parts(parts: Sequence[BookPart], options: BookOptions) -> list[str]:
    """The names of what follows the tunes."""
    names = [ROUND_THE_KEYS] if any(part.rounds is not None for part in parts) else []
    names += [IN_PLACE] if any(part.drill is not None for part in parts) else []
    return [*names, *(INDEXES if options.indexes else ())]


def _front_length(tunes: Sequence[BookTune], names: Sequence[str], style: PageStyle) -> int:
    """How many pages title page and contents take, with a blank one where that is odd."""
    nowhere = Starts((0,) * len(tunes), 0)
    rows = [*_tune_rows(tunes, nowhere), *(_row(name, 0, 0) for name in names)]
    front = 1 + len(pages_of(contents(rows, style), style))
    return front + front % 2


def _tune_rows(tunes: Sequence[BookTune], starts: Starts) -> Iterable[ContentsRow]:
    for tune, page in zip(tunes, starts.pages, strict=True):
        words = "  ·  ".join(part for part in (tune.by, with_signs(tune.key_text)) if part)
        yield ContentsRow(tune.title, words, page, page - starts.front + 1)


def _row(name: str, page: int, front: int) -> ContentsRow:
    return ContentsRow(name, "", page, page - front + 1)


def _front(
    rows: Sequence[ContentsRow],
    tunes: Sequence[BookTune],
    options: BookOptions,
    front: int,
    style: PageStyle,
) -> list[Leaf]:
    """Title page and contents, with a blank page where the charts would begin on the left."""
    player = tunes[0].player if tunes else None
    leaves = [Leaf(title_page(len(tunes), player, options, style), 1, shown=False)]
    for items, links in pages_of(contents(rows, style), style):
        leaves.append(Leaf(items, len(leaves) + 1, links, shown=False))
    return leaves + [Leaf((), number) for number in range(len(leaves) + 1, front + 1)]


def _add_drills(
    binder: _Binder, parts: Sequence[BookPart], starts: Starts, style: PageStyle
) -> None:
    """The progressions round the keys, each once, then the drills of each tune in place."""
    rounds = [part.rounds for part in parts if part.rounds is not None]
    if rounds:
        plain, tunes = replace(unbound(style), rhythm=None), [part.tune for part in parts]
        drills = [_with_tunes(shared, tunes, starts) for shared in shared_drills(rounds)]
        binder.add_part(ROUND_THE_KEYS, (_shared_pages(drill, plain) for drill in drills))
    own = [part.drill for part in parts if part.drill is not None]
    if own:
        binder.add_part(IN_PLACE, own)


def _shared_pages(drill: Drill, style: PageStyle) -> PackedPages:
    """The pages of a shared drill; its title in the outline names a meter that is not 4/4."""
    pages, meter = packed(lay_out_drill(drill, style)), drill.practice.meter
    return pages if meter == COMMON_TIME else replace(pages, title=f"{pages.title}, in {meter}")


def _with_tunes(shared: SharedDrill, tunes: Sequence[BookTune], starts: Starts) -> Drill:
    """A shared drill whose head names the tunes that have the progression."""
    named = [f"{tunes[at].title} (p. {starts.folio(at)})" for at in shared.tunes[:MOST_NAMED]]
    more = len(shared.tunes) - len(named)
    said = [*named, f"{counted(more, 'more tune')}"] if more else named
    listed = said[0] if len(said) == 1 else f"{', '.join(said[:-1])} and {said[-1]}"
    return replace(shared.drill, notes=(f"In {listed}.", *shared.drill.notes))
