"""The finished comping chart: everything a renderer needs, ready to draw."""

from __future__ import annotations

from dataclasses import dataclass

from ..grammar.sheet import Sheet
from .form import Form
from .hand.plan import GripPlan
from .hand.player import Player
from .harmony.analysis import Analysis


@dataclass(frozen=True, slots=True)
class CompingChart:
    """A tune with its played order, its analysis and the plan of the hand for one player."""

    sheet: Sheet
    form: Form
    analysis: Analysis
    plan: GripPlan
    player: Player
