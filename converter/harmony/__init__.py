"""Harmony: keys, roman numerals, what dominants aim at, and the areas that a student should see."""

from __future__ import annotations

from .analysis import DOUBTFUL_MARGIN, Analysis, Area, Reading
from .area_kinds import AREA_KINDS
from .hearing import analyse, key_of
from .numerals import ROLES, numeral_in
from .summary import Summary, summarise

__all__ = [
    "AREA_KINDS",
    "DOUBTFUL_MARGIN",
    "ROLES",
    "Analysis",
    "Area",
    "Reading",
    "Summary",
    "analyse",
    "key_of",
    "numeral_in",
    "summarise",
]
