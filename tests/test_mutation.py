"""The sampler of mutants: what its operators change, what they leave alone, how it counts."""

from __future__ import annotations

import pytest
from mutation.operators import OPERATORS, mutants_of, mutated
from mutation.package import ROOT
from mutation.sample import equivalent_names, folder_of, report, sampled
from mutation.touched import UNSEEN, unseen_by_trace

SOURCE = '''
"""A docstring with 1 and a < b."""
from typing import Final

LIMIT: Final[int] = 3


def first(items: list[int], most: int = 2) -> int | None:
    """Another docstring."""
    found = [item for item in items if not item < most and item + 1]
    if found:
        return max(found[0], LIMIT, key=abs)
    print(items)
    return None
'''


@pytest.mark.parametrize(
    ("operator", "before", "after"),
    [
        ("comparison", "item < most", "item <= most"),
        ("arithmetic", "item + 1", "item - 1"),
        ("boolean", "not item < most and item + 1", "not item < most or item + 1"),
        ("boolean", "not item < most", "item < most"),
        ("constant", "3", "4"),
        ("condition", "for item in items if not item < most and item + 1",
         "for item in items if not (not item < most and item + 1)"),
        ("returned", "return max(found[0], LIMIT, key=abs)", "return None"),
        ("deleted", "print(items)", "pass"),
        ("swapped", "max(found[0], LIMIT, key=abs)", "max(LIMIT, found[0], key=abs)"),
        ("dropped", "max(found[0], LIMIT, key=abs)", "max(found[0], LIMIT)"),
    ],
)  # fmt: skip
def test_an_operator_makes_its_change(operator: str, before: str, after: str) -> None:
    [mutant] = [
        one
        for one in mutants_of("m.py", SOURCE)
        if (one.operator, one.before, one.after) == (operator, before, after)
    ]
    changed = mutated(SOURCE, mutant)
    assert after in changed
    assert compile(changed, "m.py", "exec")
    assert mutant.name.startswith(f"m.py {'module' if before == '3' else 'first'}: {operator}: ")


def test_every_mutant_has_a_name_of_its_own_and_leaves_words_and_types_alone() -> None:
    mutants = mutants_of("m.py", SOURCE)
    assert {mutant.operator for mutant in mutants} == set(OPERATORS)
    assert len({mutant.name for mutant in mutants}) == len(mutants)
    assert not any(
        "docstring" in mutant.before or "int" in mutant.before.split() for mutant in mutants
    )
    assert [one.line for one in mutants] == sorted(one.line for one in mutants)


def test_what_changes_nothing_whatever_it_is_given_is_left_alone() -> None:
    source = "a = min(b, c)\nd = list(zip(e, f, strict=True))\ng = min(b, c, key=abs)\n"
    changed = {(one.operator, one.before) for one in mutants_of("m.py", source)}
    assert ("swapped", "min(b, c)") not in changed
    assert ("dropped", "zip(e, f, strict=True)") not in changed
    assert ("constant", "True") not in changed
    assert {("swapped", "min(b, c, key=abs)"), ("swapped", "zip(e, f, strict=True)")} <= changed


def test_a_sample_is_the_same_for_the_same_seed() -> None:
    every = {"a/b.py": mutants_of("a/b.py", SOURCE), "c.py": mutants_of("c.py", SOURCE)}
    assert sampled(every, 9, 1) == sampled(every, 9, 1)
    assert sampled(every, 9, 1) != sampled(every, 9, 2)
    assert len({mutant.name for mutant in sampled(every, 9, 1)}) == 9
    assert len(sampled(every, 10_000, 1)) == sum(map(len, every.values()))


def test_equivalent_mutants_count_for_nothing() -> None:
    verdicts = [
        ("a", "killed"), ("a", "slowly"), ("a", "survived"), ("a", "survived"),
        ("a", "equivalent"), ("b", "killed"),
    ]  # fmt: skip
    rows = [[cell.strip() for cell in line.split("|")[1:-1]] for line in report(verdicts)][1:]
    assert rows == [
        ["a", "5", "1", "1", "2", "0", "1", "25 %", "50 %"],
        ["b", "1", "1", "0", "0", "0", "0", "100 %", "100 %"],
        ["all", "6", "2", "1", "2", "0", "1", "40 %", "60 %"],
    ]
    assert folder_of("render/page/write/pdf.py") == "render/page"
    assert all(": " in name for name in equivalent_names())


def test_slow_tests_are_named_for_modules_that_the_trace_does_not_see() -> None:
    for begin, files in UNSEEN.items():
        assert list(ROOT.glob(f"{begin}*")), begin
        assert all(ROOT.joinpath(name).is_file() for name in files), begin
    [browser] = unseen_by_trace("render/desk/player_panel.py")
    assert browser == "tests/desk/test_browser_player.py"
    assert unseen_by_trace("converter/chart.py") == ()
