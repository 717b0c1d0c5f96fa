"""The same grips for repeated phrases: exact, priced, and only for phrases that are the same."""

from __future__ import annotations

import random
from functools import cache

import pytest
from midneck.converter.hand.phrases import shared_chords
from midneck.converter.hand.plan import GripPlan, PlanOptions
from midneck.converter.hand.planner import plan_hand, task_of
from midneck.converter.hand.player import PRESETS, Player
from midneck.converter.timeline import Timeline, timeline_of
from midneck.grammar.form.unfold import unfold
from midneck.grammar.text.reader import read_sheet
from support.brute_force import brute_force
from support.roots import ROOTS
from support.tunes import tune_text

APART = PlanOptions(same_grips=False)


def shared(text: str) -> dict[int, int]:
    sheet = read_sheet(text)
    return shared_chords(sheet, unfold(sheet))


def small_tune(seed: int) -> tuple[str, list[int]]:
    """Four phrases, two of them the same; and for each chord the first that shares its grip."""
    chance = random.Random(seed)
    chords = [root + chance.choice(("7", "m7", "6", "maj7")) for root in chance.sample(ROOTS, 4)]
    phrase = f"| {chords[0]} | {chords[1]} | N.C. | N.C. |"
    others = [f"| {chord} | N.C. | N.C. | N.C. |" for chord in chords[2:]]
    text = f"Tempo: {chance.randrange(80, 240, 20)}\n\n"
    return text + "\n".join([phrase, others[0], phrase, others[1]]) + "\n", [0, 1, 4, 0, 1, 12]


@pytest.mark.parametrize("seed", range(30))
def test_shared_grips_are_the_least_of_all_plans_that_share_them(seed: int) -> None:
    """Brute force over X Y, Z, X Y, W with one axis for each of the four different chords."""
    text, firsts = small_tune(seed)
    timeline = timeline_of(read_sheet(text))
    task = task_of(timeline, Player(), PlanOptions())
    sounding = [playing.chord for playing in task.played]
    assert [sounding[task.nodes.index(node)] for node in task.nodes] == firsts
    plan, apart = plan_hand(timeline), plan_hand(timeline, options=APART)
    assert plan.travel.optimal
    assert plan.effort_mm == pytest.approx(brute_force(task).min(), abs=0.01)
    assert plan.effort_mm == pytest.approx(apart.effort_mm + plan.shared_mm, abs=0.01)
    for chord, first in zip(sounding, firsts, strict=True):
        assert plan.grips[chord] == plan.grips[first]


def test_some_of_the_small_tunes_pay_for_shared_grips() -> None:
    prices = [plan_hand(timeline_of(read_sheet(small_tune(seed)[0]))).shared_mm
              for seed in range(30)]  # fmt: skip
    assert min(prices) == 0.0
    assert sum(price > 1.0 for price in prices) >= 3


@cache
def tunes() -> tuple[Timeline, ...]:
    return tuple(timeline_of(read_sheet(tune_text(seed))) for seed in range(60))


def grips_differ(timeline: Timeline, plan: GripPlan) -> bool:
    """Whether two bars of repeated phrases have different grips, by the symbols of the sheet."""
    sheet = timeline.sheet
    phrases: dict[tuple[str, ...], set] = {}
    for section in sheet.sections:
        for start in range(section.first, section.first + section.count - 3, 4):
            bars = [timeline.form.sounding[bar] for bar in range(start, start + 4)]
            chords = [chord for bar in bars for chord in sheet.chords_of(bar)]
            symbols = tuple(f"{bar}{sheet.chords[chord].symbol}{sheet.chords[chord].start}"
                            for bar, sounding in enumerate(bars)
                            for chord in sheet.chords_of(sounding))  # fmt: skip
            grips = tuple(plan.grips[chord].frets for chord in chords if plan.grips[chord])
            phrases.setdefault(symbols, set()).add(grips)
    return any(len(grips) > 1 for grips in phrases.values())


@pytest.mark.slow
@pytest.mark.parametrize("style", ["shell", "four-note", "colour"])
@pytest.mark.parametrize("player", PRESETS)
def test_repeated_phrases_of_tunes_have_the_same_grips(player: str, style: str) -> None:
    asked = PlanOptions(style=style), PlanOptions(style=style, same_grips=False)
    apart = 0
    for timeline in tunes():
        together, free = (plan_hand(timeline, PRESETS[player], one) for one in asked)
        assert not grips_differ(timeline, together)
        assert together.travel.optimal
        assert together.effort_mm >= free.effort_mm
        apart += grips_differ(timeline, free)
    assert apart > 2, "no tune needs the option: the test proves nothing"


def test_a_pin_in_one_phrase_leaves_the_other_free() -> None:
    phrase = "| Dm7 | G7 | Cmaj7 | A7 |\n"
    pinned = "| Dm7<10 x 10 10 x x> | G7 | Cmaj7 | A7 |\n"
    plan = plan_hand(timeline_of(read_sheet(phrase + "| Em7 | A7 | Dm7 | G7 |\n" + pinned)))
    assert plan.grips[8].frets == (10, None, 10, 10, None, None)
    assert [plan.grips[at] for at in (1, 2, 3)] == [plan.grips[at] for at in (9, 10, 11)]


def test_the_string_of_the_first_root_holds_for_its_repeats() -> None:
    phrase = "| Dm7 | G7 | Cmaj7 | A7 |\n"
    timeline = timeline_of(read_sheet(phrase + "| Em7 | A7 | Dm7 | G7 |\n" + phrase))
    for string in (6, 5):
        plan = plan_hand(timeline, options=PlanOptions(first_root_string=string))
        assert plan.grips[0] == plan.grips[8]
        assert plan.grips[0].voicing.root.string == string


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("| C7 | F7 | C7 | % |\n| C7 | F7 | C7 | C7 |\n",
         {0: 0, 1: 1, 2: 2, 3: 0, 4: 1, 5: 2, 6: 2}),
        ("| C7 | F7 | C7 | G7 |\n| C7 | F7 | C7 / / G7 | G7 |\n", {}),
        ("| C7 | F7 | C7 | G7 |\n| Cm7 | F7 | C7 | G7 |\n", {}),
        ("A:\n| C-7 | F7 | C7 | G7 |\nB:\n| Cm7 | F7 | C7 | G7 |\n",
         {0: 0, 1: 1, 2: 2, 3: 3, 4: 0, 5: 1, 6: 2, 7: 3}),
        ("A:\n| C7 | F7 | C7 | G7 | F7 |\nB:\n| C7 | F7 | C7 | G7 |\n",
         {0: 0, 1: 1, 2: 2, 3: 3, 5: 0, 6: 1, 7: 2, 8: 3}),
        ("| C7 | F7 | C7 |\n| C7 | F7 | C7 |\n", {}),
    ],
)  # fmt: skip
def test_phrases_are_four_bars_of_the_same_chords_on_the_same_beats(
    text: str, expected: dict[int, int]
) -> None:
    """However their chords are spelled; the sections of a sheet begin phrases anew."""
    assert shared(text) == expected


def test_grips_are_shared_where_a_phrase_is_repeated_and_they_are_wished() -> None:
    phrase = "| Dm7 | G7 | Cmaj7 | A7 |\n"
    timeline = timeline_of(read_sheet(phrase + "| Em7 | A7 | Dm7 | G7 |\n" + phrase))
    assert plan_hand(timeline, options=APART).shared_mm is None
    assert plan_hand(timeline).shared_mm is not None
