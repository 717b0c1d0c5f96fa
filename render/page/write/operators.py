"""Lines, circles, rectangles and paths as PDF operators (ISO 32000-1, 8.5), y turned upwards."""

from __future__ import annotations

from typing import Any

from ..drawing import Circle, Item, Line, Path, Rect

#: Control points of a quarter circle of radius 1: 4/3·(√2 − 1).
_ROUND = 0.5522847498
_OPERATORS = {"M": "m", "L": "l"}


def shape(item: Item, height: float) -> str:
    """The PDF operators of a line, circle, rectangle or path."""
    if type(item) is Line:
        start = f"{item.x1:.2f} {height - item.y1:.2f} m {item.x2:.2f} {height - item.y2:.2f} l S"
        return f"{item.width:.2f} w {_dash(item.dash)}{item.grey:g} G {start}{_undash(item.dash)}"
    if type(item) is Rect:
        area = f"{item.x:.2f} {height - item.y - item.h:.2f} {item.w:.2f} {item.h:.2f} re"
        return _painted(item.fill, item.stroke, item.width, area)
    if type(item) is Circle:
        return _painted(item.fill, item.stroke, item.width, _circle(item, height))
    assert type(item) is Path
    drawn = _painted(
        item.fill, item.stroke, item.width, " ".join(_step(step, height) for step in item.steps)
    )
    return f"{_dash(item.dash)}{drawn}{_undash(item.dash)}"


def _dash(dash: tuple[float, ...]) -> str:
    return f"[{' '.join(f'{n:.2f}' for n in dash)}] 0 d " if dash else ""


def _undash(dash: tuple[float, ...]) -> str:
    return " [] 0 d" if dash else ""


def _painted(fill: float | None, stroke: float | None, width: float, area: str) -> str:
    if stroke is None:
        return f"{fill or 0:g} g {area} f"
    if fill is None:
        return f"{width:.2f} w {stroke:g} G {area} S"
    return f"{width:.2f} w {stroke:g} G {fill:g} g {area} B"


def _step(step: Any, height: float) -> str:
    if step[0] == "Z":
        return "h"
    if step[0] == "C":
        _, x1, y1, x2, y2, x, y = step
        control = f"{x1:.2f} {height - y1:.2f} {x2:.2f} {height - y2:.2f}"
        return f"{control} {x:.2f} {height - y:.2f} c"
    operator, x, y = step
    return f"{x:.2f} {height - y:.2f} {_OPERATORS[operator]}"


def _circle(item: Circle, height: float) -> str:
    x, y, r = item.x, height - item.y, item.radius
    k = r * _ROUND
    return (
        f"{x + r:.2f} {y:.2f} m "
        f"{x + r:.2f} {y + k:.2f} {x + k:.2f} {y + r:.2f} {x:.2f} {y + r:.2f} c "
        f"{x - k:.2f} {y + r:.2f} {x - r:.2f} {y + k:.2f} {x - r:.2f} {y:.2f} c "
        f"{x - r:.2f} {y - k:.2f} {x - k:.2f} {y - r:.2f} {x:.2f} {y - r:.2f} c "
        f"{x + k:.2f} {y - r:.2f} {x + r:.2f} {y - k:.2f} {x + r:.2f} {y:.2f} c h"
    )
