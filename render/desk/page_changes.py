"""What of a page's picture changed: the parts to take out and to put in.

Takes two SVG pages as `write_svg` gives them, an element or the start or end of a group a line.
Pure: nothing here knows of a browser.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher

from ...grammar.frozen import frozen


@frozen
class Splice:
    """So many parts from the index `start` on make room for the SVG text `added`."""

    start: int
    removed: int
    added: str


@frozen
class PageParts:
    """A page as its `head`, the opening tag, and its `parts`: one SVG element of its top each."""

    head: str
    parts: tuple[str, ...]


def parts_of(page: str) -> PageParts:
    """The parts of a page; an empty text has none."""
    head, *lines = page.strip().split("\n")
    return PageParts(head, tuple(_parts(lines[:-1])))


def _parts(lines: Sequence[str]) -> Iterator[str]:
    held, depth = list[str](), 0
    for line in filter(None, lines):
        held.append(line)
        depth += line.startswith("<g ") - (line == "</g>")
        if depth == 0:
            yield "\n".join(held)
            held = []


def splices_between(before: PageParts, after: PageParts) -> list[Splice] | None:
    """What makes one page of another, the last first; None where the whole page is another."""
    if before.head != after.head or not before.parts:
        return None
    matcher = SequenceMatcher(None, before.parts, after.parts, autojunk=False)
    return [
        Splice(old, old_end - old, "\n".join(after.parts[new:new_end]))
        for tag, old, old_end, new, new_end in reversed(matcher.get_opcodes())
        if tag != "equal"
    ]
