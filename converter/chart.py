"""The finished comping chart: everything a renderer needs, ready to draw."""

from __future__ import annotations

from dataclasses import dataclass

from ..grammar.form.unfold import Form
from ..grammar.sheet import Sheet
from .hand.plan import GripPlan, PlanOptions
from .hand.planner import plan_hand
from .hand.player import Player
from .harmony import Analysis, analyse
from .timeline import Timeline, timeline_of


@dataclass(frozen=True, slots=True)
class CompingChart:
    """A tune in its played order, its analysis and the plan of the hand.

    `player` and `options` are those that the plan was made for: whatever is asked about the chart
    later (its hard changes, other grips, an explanation) is answered for them.
    """

    timeline: Timeline
    analysis: Analysis
    plan: GripPlan
    player: Player
    options: PlanOptions

    @property
    def sheet(self) -> Sheet:
        """The tune as written."""
        return self.timeline.sheet

    @property
    def form(self) -> Form:
        """Its played order."""
        return self.timeline.form


def make_chart(
    sheet: Sheet, player: Player | None = None, options: PlanOptions | None = None
) -> CompingChart:
    """The chart of a sheet, by default for an adult and with shells.

    Raises SheetError when the bars make no form, PlanError when a chord cannot be played as asked.
    """
    player, options = player or Player(), options or PlanOptions()
    timeline = timeline_of(sheet)
    plan = plan_hand(timeline, player, options)
    return CompingChart(timeline, analyse(timeline), plan, player, options)
