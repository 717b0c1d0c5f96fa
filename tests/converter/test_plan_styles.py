"""Invented tunes in every style for every player: plans proved, roots inside the window.

The bounds on shifts are measured figures with some room; a change that exceeds them is to be looked
at, not to be waved through.
"""

from __future__ import annotations

from functools import cache

import pytest
from midneck.converter.hand.plan import GripPlan, PlanOptions, Style
from midneck.converter.hand.planner import plan_hand
from midneck.converter.hand.player import PRESETS
from midneck.converter.timeline import Timeline, timeline_of
from midneck.grammar.text.reader import read_sheet
from support.tunes import tune_text

pytestmark = pytest.mark.slow

TUNES = 300

#: Style → the least share of lowest notes in frets 3 to 10.
INSIDE: dict[Style, float] = {"shell": 0.995, "four-note": 0.995, "colour": 0.993}


@cache
def tunes() -> tuple[Timeline, ...]:
    return tuple(timeline_of(read_sheet(tune_text(seed))) for seed in range(TUNES))


@cache
def plans(style: Style, player: str) -> tuple[GripPlan, ...]:
    options = PlanOptions(style=style)
    return tuple(plan_hand(timeline, PRESETS[player], options) for timeline in tunes())


@pytest.mark.parametrize("style", INSIDE)
@pytest.mark.parametrize("player", PRESETS)
def test_plans_are_proved_and_stay_inside_the_window(style: Style, player: str) -> None:
    made = plans(style, player)
    assert all(plan.travel.optimal for plan in made)
    frets = [grip.voicing.bass.fret for plan in made for grip in plan.grips if grip is not None]
    assert len(frets) > 7000
    inside = sum(3 <= fret <= 10 for fret in frets)
    assert inside / len(frets) >= INSIDE[style]
    assert sum(2 <= fret <= 11 for fret in frets) / len(frets) >= 0.9995


@pytest.mark.parametrize("player", PRESETS)
def test_half_diminished_chords_sound_their_fifth_mostly(player: str) -> None:
    """For a beginner a bare shell is enough; the others hear the flat fifth in most of them."""
    heard = []
    for timeline, plan in zip(tunes(), plans("shell", player), strict=True):
        for written, grip in zip(timeline.sheet.chords, plan.grips, strict=True):
            if grip is not None and written.chord.kind == "half-diminished":
                fifth = (written.chord.root.pitch_class + 6) % 12
                heard.append(any(note.midi % 12 == fifth for note in grip.voicing.notes))
    assert len(heard) > 300
    if player != "beginner":
        # An adult's plans sound it in 0.699 of them, those of a small hand in 0.763.
        assert sum(heard) / len(heard) >= 0.69
