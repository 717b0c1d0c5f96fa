"""One kind of mistake: what is said about it, and small sheets that make it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Mistake:
    """What is said of one kind of mistake, what was expected instead, and sheets that make it.

    Braces in `message` and `expected` are filled in where the mistake is found.
    """

    message: str
    expected: str = ""
    examples: tuple[str, ...] = ()
