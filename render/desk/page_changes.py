"""What of a page's picture changed: the parts to take out and to put in.

Takes two SVG pages as `write_svg` gives them, an element or the start or end of a group a line of
text. A page has elements at its top, and some of them are lines of the chart, with elements of
their own. A line that moved is one attribute, and a part that changes does not touch other lines.
Pure: nothing here knows of a browser.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from difflib import SequenceMatcher
from typing import Final

from ...grammar.frozen import frozen

#: How the group of a line of the chart begins, before its place and `">`.
LINE: Final = '<g class="line" transform="'


@frozen
class LinePart:
    """A line of the chart: its place, as its `transform`, and the elements in it."""

    place: str
    parts: tuple[str, ...]


Part = str | LinePart


@frozen
class PageParts:
    """A page as its `head`, the opening tag, and the elements at its top."""

    head: str
    parts: tuple[Part, ...]

    @property
    def count(self) -> int:
        """The number of elements at its top and in its lines."""
        lines = [len(part.parts) for part in self.parts if isinstance(part, LinePart)]
        return len(self.parts) + sum(lines)


@frozen
class Splice:
    """So many elements from the index `start` on make room for the SVG text `added`.

    They are at the page's top, or within the line that is its element `line`.
    """

    line: int | None
    start: int
    removed: int
    added: str


@frozen
class PageChange:
    """What makes another page of one with `count` elements: first the `moves`, each a line and its
    new place, then the splices one by one."""

    count: int
    moves: tuple[tuple[int, str], ...]
    splices: tuple[Splice, ...]


def parts_of(page: str) -> PageParts:
    """The parts of a page; an empty text has none."""
    head, *lines = page.strip().split("\n")
    return PageParts(head, tuple(map(_part, _elements(lines[:-1]))))


def _elements(lines: Iterable[str]) -> Iterator[list[str]]:
    """The elements that lines of text hold side by side, each as its lines of text."""
    held, depth = list[str](), 0
    for line in filter(None, lines):
        held.append(line)
        depth += line.startswith("<g ") - line.endswith("</g>")
        if depth == 0:
            yield held
            held = []


def _part(lines: Sequence[str]) -> Part:
    if not lines[0].startswith(LINE):
        return "\n".join(lines)
    inside = tuple(map("\n".join, _elements(lines[1:-1])))
    return LinePart(lines[0].removeprefix(LINE).removesuffix('">'), inside)


def change_between(before: PageParts, after: PageParts) -> PageChange | None:
    """What makes one page of another; None where the whole page is another."""
    if before.head != after.head or not before.parts:
        return None
    moves, splices = list[tuple[int, str]](), list[Splice]()
    for old, new in _differences(before.parts, after.parts):
        run, fresh = before.parts[old], after.parts[new]
        if len(run) != len(fresh):
            splices.append(_splice(None, old, map(_text, fresh)))
            continue
        for index in reversed(range(len(run))):
            at, one, other = old.start + index, run[index], fresh[index]
            if isinstance(one, LinePart) and isinstance(other, LinePart):
                moves += [(at, other.place)] if one.place != other.place else []
                found = _differences(one.parts, other.parts)
                splices += [_splice(at, old, other.parts[new]) for old, new in found]
            else:
                splices.append(_splice(None, slice(at, at + 1), [_text(other)]))
    return PageChange(before.count, tuple(moves), tuple(splices))


def _splice(line: int | None, old: slice, added: Iterable[str]) -> Splice:
    return Splice(line, old.start, old.stop - old.start, "\n".join(added))


def _differences(before: Sequence[Part], after: Sequence[Part]) -> Iterator[tuple[slice, slice]]:
    """The places that differ in two rows of parts, the last first, so that indices stay right."""
    matcher = SequenceMatcher(None, before, after, autojunk=False)
    for tag, old, old_end, new, new_end in reversed(matcher.get_opcodes()):
        if tag != "equal":
            yield slice(old, old_end), slice(new, new_end)


def _text(part: Part) -> str:
    if isinstance(part, str):
        return part
    return "\n".join((f'{LINE}{part.place}">', *part.parts, "</g>"))
