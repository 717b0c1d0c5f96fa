"""The finished comping chart: everything a renderer needs, ready to draw."""

from __future__ import annotations

from dataclasses import dataclass

from ..grammar.form.unfold import Form, unfold
from ..grammar.sheet import Sheet
from .hand.plan import GripPlan, PlanOptions
from .hand.planner import plan_hand
from .hand.player import Player
from .harmony import Analysis, analyse


@dataclass(frozen=True, slots=True)
class CompingChart:
    """A tune with its played order, its analysis and the plan of the hand for one player."""

    sheet: Sheet
    form: Form
    analysis: Analysis
    plan: GripPlan
    player: Player


def make_chart(
    sheet: Sheet, player: Player | None = None, options: PlanOptions | None = None
) -> CompingChart:
    """The whole way from a sheet to its chart, by default for an adult and for shells.

    Raises PlanError when a chord cannot be played as asked.
    """
    player = player or Player()
    form = unfold(sheet)
    plan = plan_hand(sheet, form, player, options)
    return CompingChart(sheet, form, analyse(sheet, form), plan, player)
