"""The finished comping chart, the only input of a renderer. `make.py` makes it from a sheet."""

from __future__ import annotations

from ..grammar.form.unfold import Form
from ..grammar.frozen import frozen
from ..grammar.sheet import Sheet
from .hand.plan import GripPlan, PlanOptions
from .hand.player import Player
from .harmony.analysis import Analysis
from .timeline import Timeline


@frozen
class CompingChart:
    """A tune in its played order, its analysis and the plan of the hand.

    `player` and `options` are those that the plan was made for; hard changes, alternative grips and
    explanations of the chart are computed for the same ones.
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
