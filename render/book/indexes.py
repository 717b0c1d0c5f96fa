"""What the indexes of a book say: lines of text that lead to tunes.

Takes the tunes of a book; gives `IndexSection`s. A line leads to tunes by their places in the book.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ...converter.hand.grip import Grip
from ...converter.harmony.analysis import AREA_KINDS
from ...grammar.chord import Chord
from ...grammar.frozen import frozen
from ..page.drawing.signs import with_signs
from .book import BookTune, key_order, sort_title


@frozen
class IndexEntry:
    """Where something is found: the tune's place in the book, its title, and its bars as text."""

    tune: int
    title: str
    bars: str = ""

    @property
    def text(self) -> str:
        """The title, with the bars behind it."""
        return f"{self.title} {self.bars}".rstrip()


@frozen
class IndexSection:
    """A heading of an index and what is found under it."""

    name: str
    entries: tuple[IndexEntry, ...]


def key_index(tunes: Sequence[BookTune]) -> list[IndexSection]:
    """The tunes of each key, along the circle of fifths from C."""
    found: dict[tuple[int, str], list[IndexEntry]] = {}
    for place, tune in enumerate(tunes):
        found.setdefault(key_order(tune.key), []).append(IndexEntry(place, tune.title))
    return [
        IndexSection(with_signs(name), _by_title(entries))
        for (_, name), entries in sorted(found.items())
    ]


def area_index(tunes: Sequence[BookTune]) -> list[IndexSection]:
    """Where each kind of area is found, by key: `ii–V–I in A♭ major`, with tunes and bars."""
    found: dict[tuple[int, int, str], dict[int, list[str]]] = {}
    for place, tune in enumerate(tunes):
        for area in tune.areas:
            heading = (AREA_KINDS.index(area.kind), *key_order(area.key))
            found.setdefault(heading, {}).setdefault(place, []).append(area.bars)
    sections = []
    for (kind, _, key), places in sorted(found.items()):
        entries = [
            IndexEntry(place, tunes[place].title, "; ".join(bars)) for place, bars in places.items()
        ]
        name = AREA_KINDS[kind].replace("-", "–")
        sections.append(IndexSection(with_signs(f"{name} in {key}"), _by_title(entries)))
    return sections


def difficulty_index(tunes: Sequence[BookTune]) -> list[IndexSection]:
    """The tunes from easy to hard for the hand of their player, by whole figures of 0 to 10."""
    found: dict[int, list[IndexEntry]] = {}
    for place, tune in sorted(enumerate(tunes), key=lambda each: each[1].difficulty):
        entry = IndexEntry(place, tune.title, f"({tune.difficulty:.1f})")
        found.setdefault(int(tune.difficulty), []).append(entry)
    return [
        IndexSection(f"Difficulty {figure}", tuple(entries)) for figure, entries in found.items()
    ]


@frozen
class GripEntry:
    """A grip of the book with its chord, and the tunes that hold it."""

    chord: Chord
    grip: Grip
    entries: tuple[IndexEntry, ...]


def grip_index(tunes: Sequence[BookTune]) -> list[GripEntry]:
    """Each grip of the book once, by chord, with the tunes and bars where it is played."""
    found: dict[tuple[Chord, Grip], list[IndexEntry]] = {}
    for place, tune in enumerate(tunes):
        for chord, grip, bars in tune.grips:
            entry = IndexEntry(place, tune.title, ", ".join(map(str, bars)))
            found.setdefault((chord, grip), []).append(entry)
    ordered = sorted(found.items(), key=lambda each: _grip_order(*each[0]))
    return [GripEntry(chord, grip, tuple(entries)) for (chord, grip), entries in ordered]


def _grip_order(chord: Chord, grip: Grip) -> tuple[int, str, tuple[int, ...]]:
    frets = tuple(-1 if fret is None else fret for fret in grip.frets)
    return chord.root.pitch_class, str(chord), frets


def _by_title(entries: Iterable[IndexEntry]) -> tuple[IndexEntry, ...]:
    return tuple(sorted(entries, key=lambda entry: (sort_title(entry.title), entry.tune)))
