"""The plan of any sheet: its cost is that of its grips, and no other grip would make it less."""

from __future__ import annotations

import random

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from midneck.converter.hand.costs import candidates
from midneck.converter.hand.grip import Grip
from midneck.converter.hand.plan import GripPlan, PlanError, PlanOptions
from midneck.converter.hand.planner import plan_hand, task_of
from midneck.converter.hand.player import Player
from midneck.converter.timeline import timeline_of
from midneck.grammar.chord import Chord
from midneck.grammar.form.unfold import Form, unfold
from midneck.grammar.sheet import Sheet
from midneck.grammar.text.reader import read_sheet
from support.examples import share
from support.hand_effort import plan_cost
from support.sheets import sheet_texts

pytestmark = pytest.mark.slow

PLAYER = Player()


def planned(text: str) -> tuple[Sheet, Form, GripPlan]:
    """A sheet with its plan; sheets with a grip that no hand can hold are passed over."""
    sheet = read_sheet(text)
    form = unfold(sheet)
    try:
        return sheet, form, plan_hand(timeline_of(sheet, form), PLAYER)
    except PlanError:
        assume(False)
        raise


def cost_of(sheet: Sheet, form: Form, grips: list[Grip | None]) -> float:
    """What playing these grips costs, added up one change after another."""
    task = task_of(timeline_of(sheet, form), PLAYER, PlanOptions())
    played = [grip for grip in (grips[chord] for chord in form.chords) if grip is not None]
    seconds = [playing.seconds for playing in task.played]
    chords = [sheet.chords[playing.chord].chord for playing in task.played]
    return plan_cost(played, task.nodes, seconds, chords, PLAYER)


@given(sheet_texts())
@share(0.3)
def test_every_chord_has_a_grip_of_its_own_notes(text: str) -> None:
    sheet, form, plan = planned(text)
    assert len(plan.grips) == len(sheet.chords)
    assert [plan.grips[chord] for chord in form.chords] == list(plan.playings)
    for written, grip in zip(sheet.chords, plan.grips, strict=True):
        assert (grip is None) == (written.chord is None)
        if grip is not None and written.pin is not None:
            assert grip.frets == written.pin
        elif grip is not None and written.chord is not None:
            heard = {
                (PLAYER.neck.tuning[string] + fret) % 12
                for string, fret in enumerate(grip.frets)
                if fret is not None
            }
            bass = written.chord.bass
            low = set() if bass is None else {bass.pitch_class}
            assert heard - low == sounds(grip, written.chord) - low


def sounds(grip: Grip, chord: Chord) -> set[int]:
    """The pitch classes of the tones that a grip says it plays of a chord."""
    tones = [note.tone for note in grip.voicing.notes if note.tone is not None]
    return {(chord.root.pitch_class + tone.semitones) % 12 for tone in tones}


@given(sheet_texts(), st.integers(0, 2**32))
@share(0.15)
def test_no_other_grip_at_one_chord_makes_the_plan_cheaper(text: str, seed: int) -> None:
    sheet, form, plan = planned(text)
    best = cost_of(sheet, form, list(plan.grips))
    chance = random.Random(seed)
    free = [
        index
        for index, written in enumerate(sheet.chords)
        if written.chord is not None and written.pin is None and index in set(form.chords)
    ]
    assume(free)
    for index in chance.sample(free, min(3, len(free))):
        others = candidates(sheet.chords[index].chord, PLAYER, "shell").grips
        for grip in chance.sample(others, min(3, len(others))):
            grips = [*plan.grips[:index], grip, *plan.grips[index + 1 :]]
            assert cost_of(sheet, form, grips) >= best - 0.01 - plan.travel.gap_mm


@given(sheet_texts())
@share(0.15)
def test_the_cost_is_that_of_the_grips(text: str) -> None:
    sheet, form, plan = planned(text)
    assert abs(plan.effort_mm - cost_of(sheet, form, list(plan.grips))) < 0.01
    assert plan.travel.gap_mm == 0 or not plan.travel.optimal
