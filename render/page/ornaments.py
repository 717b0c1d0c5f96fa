"""The signs of a form, drawn by ourselves: segno, coda, fermata, the arrow of an early stroke."""

from __future__ import annotations

from .items import Circle, Item, Line, Path


def segno(x: float, y: float, size: float) -> list[Item]:
    """The sign that D.S. leads to, `size` high, centred on (`x`, `y`)."""
    s = 0.5 * size
    curve = Path(
        (
            ("M", x + 0.42 * s, y - 0.52 * s),
            (
                "C",
                x + 0.40 * s,
                y - 1.02 * s,
                x - 0.62 * s,
                y - 1.02 * s,
                x - 0.50 * s,
                y - 0.45 * s,
            ),
            (
                "C",
                x - 0.40 * s,
                y - 0.05 * s,
                x + 0.40 * s,
                y + 0.05 * s,
                x + 0.50 * s,
                y + 0.45 * s,
            ),
            (
                "C",
                x + 0.62 * s,
                y + 1.02 * s,
                x - 0.40 * s,
                y + 1.02 * s,
                x - 0.42 * s,
                y + 0.52 * s,
            ),
        ),
        width=0.17 * size,
    )
    slash = Line(x + 0.62 * s, y - 0.95 * s, x - 0.62 * s, y + 0.95 * s, 0.08 * size)
    dots: list[Item] = [
        Circle(x + side * 0.72 * s, y + side * 0.02 * s, 0.09 * size) for side in (-1, 1)
    ]
    return [curve, slash, *dots]


def coda(x: float, y: float, size: float) -> list[Item]:
    """The sign of the coda, `size` high, centred on (`x`, `y`)."""
    s = 0.5 * size
    k = 0.5523
    rx, ry = 0.48 * s, 0.66 * s
    ring = Path(
        (
            ("M", x + rx, y),
            ("C", x + rx, y + k * ry, x + k * rx, y + ry, x, y + ry),
            ("C", x - k * rx, y + ry, x - rx, y + k * ry, x - rx, y),
            ("C", x - rx, y - k * ry, x - k * rx, y - ry, x, y - ry),
            ("C", x + k * rx, y - ry, x + rx, y - k * ry, x + rx, y),
            ("Z",),
        ),
        width=0.13 * size,
    )
    arms = (
        Line(x - 0.85 * s, y, x + 0.85 * s, y, 0.07 * size),
        Line(x, y - s, x, y + s, 0.07 * size),
    )
    return [ring, *arms]


def fermata(x: float, y: float, size: float) -> list[Item]:
    """A hold: an arch over a dot, `size` wide, standing on `y`."""
    half = 0.5 * size
    rise = 0.78 * size
    arch = Path(
        (("M", x - half, y), ("C", x - half, y - rise, x + half, y - rise, x + half, y)),
        width=0.12 * size,
    )
    return [arch, Circle(x, y - 0.12 * size, 0.11 * size)]


def early(x: float, y: float, size: float) -> list[Item]:
    """An arrow to the left: struck an eighth early. Its head is at `x`, its shaft at height `y`."""
    head = Path(
        (
            ("M", x, y),
            ("L", x + 0.45 * size, y - 0.26 * size),
            ("L", x + 0.45 * size, y + 0.26 * size),
            ("Z",),
        ),
        0.0,
        None,
    )
    return [Line(x + 0.4 * size, y, x + size, y, 0.1 * size), head]
