"""Forms past the budget of the planner: no proof but a gap, or a refusal in words."""

from __future__ import annotations

from itertools import combinations

import pytest
from midneck.converter.hand import graph as graphs
from midneck.converter.hand import solver
from midneck.converter.hand.plan import PlanError, PlanOptions
from midneck.converter.hand.planner import plan_hand
from midneck.converter.hand.player import PRESETS
from midneck.converter.timeline import Timeline, timeline_of
from midneck.grammar.text.reader import read_sheet

CHORDS = ["C7", "F7", "G7", "Bb7", "Eb7", "Ab7", "Dm7", "Em7", "Am7", "Gm7", "Cm7", "Fm7"]


def tangle(count: int, pin: str = "") -> Timeline:
    """Sections of one bar, every two of which follow each other somewhere."""
    labels = [f"S{at}" for at in range(count)]
    written = [f"{label}:\n| {CHORDS[at % 12]}{pin} |" for at, label in enumerate(labels)]
    pairs = [f"{one}: again\n{two}: again" for one, two in combinations(labels, 2)]
    return timeline_of(read_sheet("\n".join(written + pairs)))


def test_a_tangle_past_the_budget_has_a_plan_with_a_gap(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(solver, "SUMS_LIMIT", 100_000)
    monkeypatch.setattr(solver, "COSTS_LIMIT", 10_000)
    options = PlanOptions(style="colour", same_grips=False)
    travel = plan_hand(tangle(16), PRESETS["adult"], options).travel
    assert not travel.optimal
    assert travel.gap_mm > 0


def test_tables_have_no_more_axes_than_numpy_allows() -> None:
    """A pinned chord has one grip, so that its axis costs nothing but its place."""
    pinned = tangle(40, pin="<x 3 2 3 x x>")
    assert plan_hand(pinned, PRESETS["adult"]).travel.optimal


def test_more_changes_than_fit_are_refused_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(graphs, "GRAPH_LIMIT", 10)
    with pytest.raises(PlanError, match="too many different changes"):
        plan_hand(timeline_of(read_sheet("| C7 | F7 |")), PRESETS["adult"])
