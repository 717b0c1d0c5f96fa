"""A written exercise laid on the neck: places of the roots, the plan, the stations.

Takes a `Written` sheet, what is asked of the strings and a player, gives the planned chart and its
stations. All keys are planned in one go, as one form.
"""

from __future__ import annotations

from dataclasses import replace

from ..chart import CompingChart
from ..form import Form, unfold
from ..hand.choices import root_place
from ..hand.plan import GripPlan
from ..hand.planner import plan_hand
from ..hand.player import Player
from ..hand.wishes import PlanWishes
from ..harmony import Analysis, analyse
from ..harmony.numerals import numeral_in
from .places import Lay, Place, choose_places
from .sentences import change_sentence, pivot_sentence
from .values import Station
from .written import Written


def laid(written: Written, lay: Lay, player: Player) -> tuple[tuple[Station, ...], CompingChart]:
    """The stations and the planned chart of a written exercise.

    Raises DrillError or PlanError when no hand of this reach can do it.
    """
    sheet, form = written.sheet, unfold(written.sheet)
    roots = None if lay.strings is None else _roots(written, lay, player)
    plan = plan_hand(sheet, form, player, PlanWishes(roots=roots))
    chart = CompingChart(sheet, form, _analysis(written, form), plan, player)
    return _stations(written, plan, lay, player), chart


def _roots(written: Written, lay: Lay, player: Player) -> tuple[Place, ...]:
    """The place of every written chord's root."""
    chords = [tuple(one.chord for one in block.chords) for block in written.blocks]
    opens = [block.opens for block in written.blocks]
    places = choose_places(chords, opens, lay, player)
    return tuple(
        roots[written.sources[index]]
        for roots, indices in zip(places, written.ranges, strict=True)
        for index in indices
    )


def _analysis(written: Written, form: Form) -> Analysis:
    """The analysis of the sheet, each chord read in the key of its station."""
    analysis = analyse(written.sheet, form)
    readings = list(analysis.readings)
    for block, indices in zip(written.blocks, written.ranges, strict=True):
        for index in indices:
            reading, one = readings[index], block.chords[written.sources[index]]
            if reading is not None and one.numeral is not None:
                roman = numeral_in(one.chord, block.key)
                readings[index] = replace(reading, key=block.key, roman=roman)
    return replace(analysis, readings=tuple(readings))


def _stations(written: Written, plan: GripPlan, lay: Lay, player: Player) -> tuple[Station, ...]:
    found: list[Station] = []
    before: int | None = None
    for block, indices in zip(written.blocks, written.ranges, strict=True):
        roots = _places(plan, indices)
        pivot = change = None
        if before is not None and not block.opens:
            numeral, last = block.chords[0].numeral, written.sheet.chords[before].chord
            if numeral is not None and last is not None:
                pivot = pivot_sentence(last, block.chords[0].chord, numeral, block.key)
            (left,) = _places(plan, range(before, before + 1))
            chords = [written.sheet.chords[index].chord for index in indices]
            change = change_sentence(left, roots, [c for c in chords if c is not None], player)
        found.append(Station(block.key, block.round, indices, roots[0][0], pivot, change))
        before = indices[-1]
    return tuple(found)


def _places(plan: GripPlan, indices: range) -> list[Place]:
    grips = (plan.grips[index] for index in indices)
    return [root_place(grip.voicing) for grip in grips if grip is not None]
