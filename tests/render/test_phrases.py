"""Breaking bars into lines: cheapest by brute force, phrases whole, no lone last bar."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from midneck.render.page import PageStyle
from midneck.render.page.bars import ChartLine
from midneck.render.page.context import layout_context
from midneck.render.page.line_breaks import (
    HALF,
    LINE,
    LONE,
    ODD,
    SINGLE,
    SLACK,
    TIED,
    UNUSUAL,
    BarNeed,
    break_bars,
    break_lines,
    phrase_cuts,
)
from support.charts import chart_of


def bars(count: int, width: float = 10.0) -> list[BarNeed]:
    return [BarNeed(width, place) for place in range(count)]


def counts(needs: list[BarNeed], width: float, most: int = 4) -> list[int]:
    return [len(line) for line in break_bars(tuple(needs), width, most)]


@pytest.mark.parametrize(("count", "room", "most", "expected"), [
    (8, 4, 4, [4, 4]),
    (8, 7, 8, [4, 4]),  # a width for seven: not 7 + 1
    (8, 8, 8, [8]),
    (8, 3, 4, [2, 2, 2, 2]),  # a width for three: phrases are halved, not cut in 3 + 1
    (8, 1, 4, [1] * 8),
    (5, 4, 4, [2, 3]),  # no lone last bar
    (6, 4, 4, [4, 2]),
    (7, 4, 4, [4, 3]),
    (9, 4, 4, [4, 2, 3]),
    (12, 6, 6, [4, 4, 4]),
    (32, 4, 4, [4] * 8),
    (1, 4, 4, [1]),
    (0, 4, 4, []),
])  # fmt: skip
def test_bars_on_each_line(count: int, room: int, most: int, expected: list[int]) -> None:
    assert counts(bars(count), 10.0 * room, most) == expected


def test_a_crowded_bar_halves_its_phrase_and_leaves_the_others_whole() -> None:
    needs = bars(12)
    needs[5] = replace(needs[5], least=25.0)
    assert counts(needs, 40.0) == [4, 2, 2, 4]
    needs[4] = replace(needs[4], least=25.0)
    # Two that have no room beside each other: single bars, no line of three.
    assert counts(needs, 40.0) == [4, 1, 1, 2, 4]


def price_of(needs: list[BarNeed], lines: list[range], width: float, most: int) -> float | None:
    """The price of a way to break, in the words of the module; None where a line is too full."""
    total = 0.0
    for line in lines:
        row = [needs[at] for at in line]
        count = sum(need.counts for need in row)
        used = sum(need.least for need in row)
        full = used > width or count > most or any(need.breaks for need in row[1:])
        if full and len(row) > 1:
            return None
        total += LINE
        last = line.stop == len(needs)
        if count == 1 and last and line.start > 0 and not row[0].breaks:
            total += LONE
        elif count == 1 and len(needs) > 1:
            total += SINGLE
        elif count not in (1, 2, most) and count % 4:
            total += UNUSUAL
        if last:
            continue
        total += SLACK * max(0.0, 1 - used / width) ** 2
        after = needs[line.stop]
        if after.breaks:
            continue
        total += TIED if after.tied else (0.0, ODD, HALF, ODD)[after.place % 4]
    return total


need = st.builds(
    BarNeed,
    st.integers(2, 30).map(float),
    st.integers(0, 7),
    st.sampled_from([False] * 5 + [True]),
    st.sampled_from([False] * 5 + [True]),
    st.sampled_from([True] * 5 + [False]),
)


@given(st.lists(need, min_size=1, max_size=8), st.sampled_from([1, 2, 4, 6, 8]))
def test_the_breaks_are_the_cheapest(needs: list[BarNeed], most: int) -> None:
    prices = []
    for size in range(len(needs)):
        for cuts in combinations(range(1, len(needs)), size):
            lines = [range(*edge) for edge in pairwise([0, *cuts, len(needs)])]
            price = price_of(needs, lines, 40.0, most)
            if price is not None:
                prices.append(price)
    ours = price_of(needs, list(break_bars(tuple(needs), 40.0, most)), 40.0, most)
    assert ours == pytest.approx(min(prices))


def test_what_cut_phrases_cost() -> None:
    needs = bars(8)
    assert phrase_cuts(needs, [range(4), range(4, 8)]) == 0.0
    assert phrase_cuts(needs, [range(2), range(2, 7), range(7, 8)]) == HALF + ODD


def lines_of(text: str, **style: object) -> tuple[ChartLine, ...]:
    context = layout_context(chart_of(text), PageStyle(**style))  # type: ignore[arg-type]
    return break_lines(context, context.music_width)


ENDINGS = "Key: C\n\nA:\n|: C | F | G7 | C | F | F |1. G7 | C :|2. Dm7 G7 | C ||\n"


def test_a_second_ending_stands_under_the_first() -> None:
    lines = lines_of(ENDINGS)
    assert [[piece.bar for piece in line.pieces] for line in lines] == [
        [0, 1, 2, 3], [4, 5, 6, 7], [8, 9],
    ]  # fmt: skip
    first, second = lines[1].pieces[2:], lines[2].pieces
    assert second[0].x == pytest.approx(first[0].x)
    assert lines[2].right == pytest.approx(lines[1].right)
    alike = lines_of(ENDINGS.replace("Dm7 G7", "G7"))
    assert [piece.x for piece in alike[2].pieces] == pytest.approx(
        [piece.x for piece in alike[1].pieces[2:]]
    )


def test_a_second_ending_that_does_not_fit_under_the_first_begins_at_the_left() -> None:
    longer = ENDINGS.replace("2. Dm7 G7 | C |", "2. Dm7 G7 | C | Dm7 | C |")
    lines = lines_of(longer, paper="a5")
    later = next(line for line in lines if line.pieces[0].bar == 8)
    assert later.left == 0.0 or later.right <= lines[0].right + 0.01


def test_a_strain_behind_a_repeat_counts_its_own_phrases() -> None:
    lines = lines_of("Key: C\n\nA:\n| C | F |: C | F | G7 | C :| F | G7 | C | C ||\n")
    assert [[piece.bar for piece in line.pieces] for line in lines] == [
        [0, 1], [2, 3, 4, 5], [6, 7, 8, 9],
    ]  # fmt: skip
