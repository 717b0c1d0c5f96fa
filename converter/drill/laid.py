"""A written exercise laid on the neck: places of the roots, the plan, the stations.

Takes a `Written` sheet, what is asked of the strings and a player, gives the planned chart and its
stations. All keys are planned in one go, as one form.
"""

from __future__ import annotations

from dataclasses import replace

from ...grammar.chord import Chord
from ...grammar.key import Key
from ...grammar.numeral import Numeral
from ..chart import CompingChart
from ..form import Form, unfold
from ..hand.plan import GripPlan
from ..hand.planner import plan_hand
from ..hand.player import Player
from ..hand.wishes import PlanWishes
from ..harmony import Analysis, analyse
from ..harmony.numerals import applied, numeral_in
from ..harmony.sounds import hear
from .places import Lay, Place, choose_places
from .sentences import change_sentence, choice_sentence, pivot_sentence, start_sentence
from .values import Station
from .written import Block, Written


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
    """The analysis of the sheet, each chord read in the key of its station.

    A drill goes round many keys: home is the first, and that the chords say otherwise is no news.
    """
    analysis = analyse(written.sheet, form)
    readings = list(analysis.readings)
    for block, indices in zip(written.blocks, written.ranges, strict=True):
        for index in indices:
            reading, one = readings[index], block.chords[written.sources[index]]
            if reading is not None and one.numeral is not None:
                roman = _roman(one.numeral, one.chord, block.key)
                readings[index] = replace(reading, key=block.key, roman=roman)
    home = written.blocks[0].key
    return replace(analysis, key=home, readings=tuple(readings), notes=())


def _roman(numeral: Numeral, chord: Chord, key: Key) -> str:
    """The numeral as charts print it; an applied one and a substitute stay what they are."""
    if numeral.of is None and not numeral.substitute:
        return numeral_in(chord, key)
    goal = "" if numeral.of is None else str(numeral).rpartition("/")[2]
    signs = goal.replace("b", "♭").replace("#", "♯")
    return applied(numeral.roman, hear(chord).sound, signs)


def _stations(written: Written, plan: GripPlan, lay: Lay, player: Player) -> tuple[Station, ...]:
    found: list[Station] = []
    before: tuple[Block, list[Place]] | None = None
    for block, indices in zip(written.blocks, written.ranges, strict=True):
        roots = _places(plan, indices)
        pivot = change = None
        chords = [one.chord for one in block.chords]
        if block.opens:
            change = start_sentence(lay.strings, roots, chords, player)
        elif before is not None:
            pivot = _pivot(before[0], block)
            if lay.strings is None:
                change = choice_sentence(before[1][0], roots[0], chords[0])
            else:
                change = change_sentence(before[1], roots, chords, player)
        found.append(Station(block.key, block.round, indices, roots[0][0], pivot, change))
        before = block, roots
    return tuple(found)


def _pivot(before: Block, block: Block) -> str | None:
    here = block.chords[0]
    if here.numeral is None:
        return None
    return pivot_sentence(before.chords[-1].chord, here.chord, here.numeral, block.key)


def _places(plan: GripPlan, indices: range) -> list[Place]:
    grips = (plan.grips[index] for index in indices)
    return [grip.voicing.root.place for grip in grips if grip is not None]
