"""Makes the finished chart of a sheet from the analysis and the plan of the hand.

This module is separate from `chart.py`, so that modules that describe or draw a chart import its
value without the analysis and the planner.
"""

from __future__ import annotations

from ..grammar.sheet import Sheet
from .chart import CompingChart
from .hand.plan import PlanOptions
from .hand.planner import plan_hand
from .hand.player import ADULT, Player
from .harmony.analyse import analyse
from .timeline import timeline_of


def make_chart(
    sheet: Sheet, player: Player | None = None, options: PlanOptions | None = None
) -> CompingChart:
    """The chart of a sheet, by default for an adult and with shells.

    Raises SheetError when the bars make no form, PlanError when a chord cannot be played with
    these options.
    """
    player, options = player or ADULT, options or PlanOptions()
    timeline = timeline_of(sheet)
    plan = plan_hand(timeline, player, options)
    return CompingChart(timeline, analyse(timeline), plan, player, options)
