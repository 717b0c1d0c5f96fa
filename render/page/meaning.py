"""What the items of a line mean: the groups of its bars and chords, with words for readers who do
not see them."""

from __future__ import annotations

from ...converter.prose.alternative import bar_alternative, chord_alternative
from .chords import BarPart
from .context import LayoutContext
from .drawing import Group, with_signs


def bar_group(context: LayoutContext, piece: BarPart) -> Group:
    """The group of a bar, or of the part of it that stands on a line."""
    bar = context.chart.sheet.bars[piece.bar]
    said = bar_alternative(bar, piece.meter_changes) if piece.opens else ""
    return Group("bar", bar.number, alternative=said)


def chord_group(context: LayoutContext, bar: int, chord: int) -> Group:
    """The group of the written chord with index `chord` in the bar with index `bar`."""
    shown = context.style.analysis is not False
    said = chord_alternative(context.chart, chord, context.chords[chord], shown, with_signs)
    return Group("chord", context.chart.sheet.bars[bar].number, chord, said)
