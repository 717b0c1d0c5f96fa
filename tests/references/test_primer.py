"""The reference progressions worked again by the rules that their blocks name, without the code."""

from __future__ import annotations

from dataclasses import replace

import pytest
from references.primer import (
    is_two_five_one,
    numeral_root,
    rules_of,
    sounding_roots,
    symbols,
)
from references.progressions import Progression, progressions, rule_bases

ALL = progressions()
each_progression = pytest.mark.parametrize("progression", ALL, ids=[p.name for p in ALL])


def test_the_head_says_of_each_rule_what_it_rests_on_and_each_is_needed() -> None:
    assert set(rule_bases().values()) == {"primer", "convention"}
    assert {rule for one in ALL for rule in one.rules} == set(rule_bases())


@each_progression
def test_a_block_names_the_rules_that_explain_it(progression: Progression) -> None:
    assert progression.rules == rules_of(progression)
    bases = {rule_bases()[rule] for rule in progression.rules}
    assert progression.basis == ("convention" if "convention" in bases else "primer")


@each_progression
def test_the_numerals_stand_on_the_roots_of_the_symbols(progression: Progression) -> None:
    numerals = zip(progression.romans, progression.local, strict=True)
    assert [numeral_root(*one) for one in numerals] == sounding_roots(progression)


@each_progression
def test_a_two_five_one_goes_from_the_second_degree_to_the_first(progression: Progression) -> None:
    for area in progression.areas:
        if area.kind == "ii-V-I":
            assert is_two_five_one(progression, area.chords, area.key)


def test_a_wrong_goal_numeral_or_area_is_noticed() -> None:
    right = ALL[0]
    assert [chord.quality for chord in symbols(right)] == ["m7", "7", "maj7"]
    with pytest.raises(AssertionError, match="no rule takes chord 1 to chord 0"):
        rules_of(replace(right, goals={1: 0}))
    assert rules_of(replace(right, goals={0: 2, 1: 2})) != right.rules
    assert numeral_root("V7/ii", "Bb") == 7
    assert numeral_root("subV7", "Am") == 10
    assert not is_two_five_one(right, (0, 1, 2), "G")
    assert not is_two_five_one(right, (0, 2), "C")
