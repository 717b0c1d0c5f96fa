"""Drills: progressions round the keys, and a tune's own, as planned exercises."""

from __future__ import annotations

from .cycles import CYCLES, Cycle, find_cycle
from .drill import Drill, DrillError, Exercise, Practice, Station
from .make import Route, drill_of, find_progression, make_drill
from .positions import StringChoice
from .progressions import PROGRESSIONS, NamedProgression

__all__ = [
    "CYCLES",
    "PROGRESSIONS",
    "Cycle",
    "Drill",
    "DrillError",
    "Exercise",
    "NamedProgression",
    "Practice",
    "Route",
    "Station",
    "StringChoice",
    "drill_of",
    "find_cycle",
    "find_progression",
    "make_drill",
]
