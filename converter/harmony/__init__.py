"""Harmony: keys, roman numerals, what dominants aim at, and the areas that a student should see."""

from __future__ import annotations

from .analyse import analyse, key_of
from .analysis import AREA_KINDS, DOUBTFUL_MARGIN, Analysis, Area, Reading, Summary, summarise
from .numerals import ROLES, numeral_in

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
