"""A piece of the score's XML: only what a lead sheet needs, with its place in the file."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Final

from ..sheet import Place
from .faults import ScoreError, fault

#: Numbers of up to nine digits: enough for any score, and none that takes long to work out.
_DECIMAL: Final = re.compile(r"[+-]?(?:\d{1,9}(?:\.\d{0,9})?|\.\d{1,9})\Z", re.ASCII)


@dataclass(frozen=True, slots=True)
class Node:
    """An XML element: `text` is its own, spaces folded; `children` are those that are kept."""

    name: str
    attributes: dict[str, str]
    text: str
    children: tuple[Node, ...]
    place: Place

    def find(self, name: str) -> Node | None:
        """The first child of that name."""
        return next(self.all(name), None)

    def all(self, name: str) -> Iterator[Node]:
        """The children of that name, in order."""
        return (child for child in self.children if child.name == name)

    def text_of(self, name: str) -> str:
        """The text of the first child of that name, "" when there is none."""
        child = self.find(name)
        return "" if child is None else child.text

    def number(self) -> Fraction:
        """Its text as an exact number; raises ScoreError when it is none."""
        return number(self.text, self)

    def number_of(self, name: str, default: int = 0) -> Fraction:
        """The number in the first child of that name, `default` when there is none."""
        child = self.find(name)
        return Fraction(default) if child is None else child.number()

    def fault(self, message: str) -> ScoreError:
        """A fault at this element's place."""
        return fault(message, self.place.line, self.place.column, self.text or self.name)


def number(text: str, at: Node) -> Fraction:
    """A decimal number of up to nine digits on each side of its point, exact."""
    found = _decimal(text)
    if found is None:
        raise at.fault(f"<{at.name}> should hold a number")
    return found


@lru_cache(maxsize=1024)
def _decimal(text: str) -> Fraction | None:
    return Fraction(text) if _DECIMAL.match(text) else None
