"""Look at pages item by item: overlapping texts, items outside the margins, the smallest text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
import numpy.typing as npt
from midneck.render.page import Document, PageStyle
from midneck.render.page.drawing.geometry import item_box, span_box
from midneck.render.page.drawing.items import (
    Box,
    Close,
    Group,
    Item,
    Open,
    Page,
    Path,
    Rect,
    Shown,
    Text,
)

#: Two boxes overlap when they share more than this in both directions (points).
TOLERANCE = 0.25

#: Left, top, right and bottom of a box in each row.
Boxes = npt.NDArray[np.float64]


def texts(page: Page) -> list[str]:
    """What the texts of a page say, in the order in which they are drawn."""
    return [item.string for item in page.items if isinstance(item, Text)]


def with_groups(items: Iterable[Item]) -> Iterator[tuple[Item, tuple[Group, ...]]]:
    """Every item that is drawn, with the groups that it lies in, its line aside, innermost last."""
    inside: tuple[Group, ...] = ()
    for item in items:
        if isinstance(item, Open):
            inside = (*inside, item.group)
        elif isinstance(item, Close):
            inside = inside[:-1]
        elif not isinstance(item, Shown):
            yield item, tuple(group for group in inside if group.kind != "line")


def text_boxes(page: Page) -> list[tuple[Box, Text]]:
    """The ink of every span of every text, with the text it belongs to."""
    found = []
    for item in page.items:
        if isinstance(item, Text):
            for span in item.spans:
                box = span_box(item, span)
                if box is not None:
                    found.append((box, item))
    return found


def overlaps(page: Page) -> list[tuple[str, str]]:
    """Pairs of different texts whose ink boxes overlap."""
    boxes = text_boxes(page)
    rows = _rows([box for box, _ in boxes])
    return [
        (boxes[one][1].string, boxes[two][1].string)
        for one, two in np.argwhere(np.triu(_shared(rows, rows), 1)).tolist()
        if boxes[one][1] is not boxes[two][1]
    ]


def _rows(boxes: list[Box]) -> Boxes:
    """Boxes as the rows of an array."""
    return np.array(boxes, dtype=float).reshape(-1, 4)


def _shared(ones: Boxes, twos: Boxes) -> npt.NDArray[np.bool_]:
    """Whether each of some boxes (rows) overlaps each of others (columns)."""
    low = np.maximum(ones[:, None, :2], twos[None, :, :2])
    high = np.minimum(ones[:, None, 2:], twos[None, :, 2:])
    return (high - low > TOLERANCE).all(axis=2)


def outside(page: Page, style: PageStyle) -> list[tuple[object, Box]]:
    """Items that leave the frame by more than a tenth of a point.

    At the sides half the thickest bar line (1.3 points) is allowed besides.
    """
    left, top, right, bottom = style.frame
    found = []
    for item in page.items:
        box = item_box(item)
        if box is None:
            continue
        inside = box[0] >= left - 1.4 and box[1] >= top - 0.1
        if not (inside and box[2] <= right + 1.4 and box[3] <= bottom + 0.1):
            found.append((item, box))
    return found


def smallest_text(document: Document) -> float:
    """The smallest size of any text in points."""
    texts = [item for page in document.pages for item in page.items if isinstance(item, Text)]
    return min(span.size for text in texts for span in text.spans)


def greys(document: Document) -> set[float]:
    """The greys of all texts on white (finger numbers are white on black)."""
    texts = [item for page in document.pages for item in page.items if isinstance(item, Text)]
    return {text.grey for text in texts}


def struck_through(page: Page) -> list[tuple[str, object]]:
    """Texts that a line, an outline or a filled shape runs through (white on black ones apart)."""
    boxes = [(box, text) for box, text in text_boxes(page) if text.grey < 1.0]
    drawn = [item for item in page.items if not isinstance(item, Text) and not _paper(item)]
    shapes = [(shape, item) for item in drawn for shape in parts_of(item)]
    through = _shared(_rows([shape for shape, _ in shapes]), _rows([box for box, _ in boxes]))
    return [
        (boxes[text][1].string, shapes[shape][1]) for shape, text in np.argwhere(through).tolist()
    ]


def _paper(item: object) -> bool:
    """Whether an item is a light ground or a frame that text may stand in."""
    return isinstance(item, Rect) and (item.fill is None or item.fill > 0.8)


def parts_of(item: object) -> list[Box]:
    """The boxes of an item's strokes, one for each; of a filled shape its whole box."""
    if isinstance(item, Path) and item.fill is None:
        half, found, here = item.width / 2, [], (0.0, 0.0)
        for step in item.placed:
            points = [here] + [
                (float(step[at]), float(step[at + 1])) for at in range(1, len(step), 2)
            ]
            if step[0] in "LC":
                xs, ys = zip(*points, strict=True)
                found.append((min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half))
            here = points[-1]
        return found
    box = item_box(item)
    return [] if box is None else [box]
