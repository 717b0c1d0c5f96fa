"""What an SVG page draws, its elements at their places on the page.

Groups move what is in them by `translate(x y)` alone (SVG 1.1, 7.6), and what an element does not
say of its font it has from the one around it (SVG 1.1, 6.16).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree.ElementTree import Element

SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Drawn:
    """An element, how far it is moved, and the typeface and size of its letters."""

    element: Element
    dx: float
    dy: float
    face: str
    size: float

    def number(self, name: str) -> float:
        """A number of the element; a place is that on the page."""
        moved = {"x": self.dx, "cx": self.dx, "y": self.dy, "cy": self.dy}.get(name, 0.0)
        return float(self.element.get(name, "0")) + moved


def drawn(root: Element) -> Iterator[Drawn]:
    """Every element of a page in order."""
    return _drawn(Drawn(root, 0.0, 0.0, "", 0.0))


def _drawn(around: Drawn) -> Iterator[Drawn]:
    element = around.element
    transform = element.get("transform", "translate(0 0)")
    moved = re.fullmatch(r"translate\((\S+) (\S+)\)", transform)
    assert moved is not None, transform
    here = Drawn(
        element,
        around.dx + float(moved[1]),
        around.dy + float(moved[2]),
        element.get("font-family", around.face),
        float(element.get("font-size", around.size)),
    )
    yield here
    for inside in element:
        yield from _drawn(Drawn(inside, here.dx, here.dy, here.face, here.size))
