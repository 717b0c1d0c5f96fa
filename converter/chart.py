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
    """A tune with its played order, its analysis and the plan of the hand.

    `player` and `options` are those that the plan was made for: whatever is asked about the chart
    later (its hard changes, other grips, an explanation) is answered for them.
    """

    sheet: Sheet
    form: Form
    analysis: Analysis
    plan: GripPlan
    player: Player
    options: PlanOptions


def make_chart(
    sheet: Sheet, player: Player | None = None, options: PlanOptions | None = None
) -> CompingChart:
    """The chart of a sheet, by default for an adult and with shells.

    Raises PlanError when a chord cannot be played as asked.
    """
    player, options = player or Player(), options or PlanOptions()
    form = unfold(sheet)
    plan = plan_hand(sheet, form, player, options)
    return CompingChart(sheet, form, analyse(sheet, form), plan, player, options)
