"""What a score says about the form at one written bar: as it stands there, and as it is read."""

from __future__ import annotations

from dataclasses import dataclass

from ..sheet import Jump
from .barlines import Barlines
from .marks import Mark
from .spans import Span


@dataclass(frozen=True, slots=True)
class Signs:
    """What stands at the bar lines of one written bar: the fields of `Bar` of the same names."""

    repeat_open: bool = False
    repeat_close: int = 0
    endings: tuple[int, ...] = ()
    ending_close: bool = False
    double_bar: bool = False
    segno: bool = False
    coda: bool = False
    to_coda: bool = False
    fine: bool = False
    jump: Jump | None = None


@dataclass(frozen=True, slots=True)
class Edges:
    """A written bar's bar lines (those of its first and last measure) and its marks."""

    span: Span
    barlines: Barlines
    marks: tuple[Mark, ...]
