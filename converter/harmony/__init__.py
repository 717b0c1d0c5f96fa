"""Harmony: keys, roman numerals, what dominants aim at, and the areas that a student should see."""

from __future__ import annotations

from .analysis import Analysis, Area, Reading
from .hearing import analyse
from .numerals import ROLES

__all__ = ["ROLES", "Analysis", "Area", "Reading", "analyse"]
