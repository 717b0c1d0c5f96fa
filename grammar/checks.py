"""Checks of what callers give: constructors of values and functions that take text call them.

A value of another type raises TypeError, a value that cannot be `InvalidValueError`; both name the
value. Numbers that are not finite are refused.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from fractions import Fraction
from math import isfinite
from typing import Any

from .errors import SHOWN_TEXT, InvalidValueError, cut


def check_type(name: str, value: object, *kinds: type) -> None:
    """Check that a value is of one of the types; a bool is no number."""
    if isinstance(value, kinds) and (not isinstance(value, bool) or bool in kinds):
        return
    wanted = " or ".join("None" if kind is type(None) else kind.__name__ for kind in kinds)
    raise TypeError(f"{name} is {wanted}, not {type(value).__name__}")


def check_text(name: str, value: object) -> None:
    """Check that a value is a string."""
    check_type(name, value, str)


def check_whole(name: str, value: Any, least: int, most: int) -> None:
    """Check that a value is a whole number in a range, its ends included."""
    check_type(name, value, int)
    if not least <= value <= most:
        raise InvalidValueError(f"{name} is from {least} to {most:,}, not {shown(value)}")


def check_number(name: str, value: Any, least: float, most: float) -> None:
    """Check that a value is a finite number in a range, its ends included."""
    check_type(name, value, int, float, Fraction)
    if not (isinstance(value, int) or isfinite(value)) or not least <= value <= most:
        raise InvalidValueError(f"{name} is from {least:g} to {most:g}, not {shown(value)}")


def check_one_of(name: str, value: object, allowed: Collection[object]) -> None:
    """Check that a value is one of those that are allowed."""
    if value not in allowed:
        names = ", ".join(map(str, allowed))
        raise InvalidValueError(f"{name} cannot be {shown(value)}; there are: {names}")


def check_numbers(
    name: str, values: Sequence[Any], count: int, limits: tuple[float, float]
) -> None:
    """Check that values are so many numbers in a range."""
    check_type(name, values, tuple)
    if len(values) != count:
        raise InvalidValueError(f"{name} is {count} numbers, not {len(values)}")
    for value in values:
        check_number(name, value, *limits)


def shown(value: object) -> str:
    """A value as it is shown in a message, cut where it is long."""
    if isinstance(value, int) and abs(value) > 10**SHOWN_TEXT:
        return "a number of many digits"
    return cut(repr(value))
