"""Every beat of every bar can be read back from what a page shows."""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import pairwise

import pytest
from midneck.render.page import PageStyle, lay_out
from support.charts import FERRYMAN, LANTERNS, chart_of, example_texts
from support.page_beats import compare, read_bars

STYLES = [
    PageStyle(),
    PageStyle(paper="a5", symbols="letters"),
    PageStyle(landscape=True, grids="none", neck_map="none", analysis=False),
    PageStyle(grids="new", bars_per_line=3),
    PageStyle(large=True),
    PageStyle(rhythm="four-to-the-bar"),
]


def check(text: str, style: PageStyle) -> int:
    """Compare all bars of a tune with what its page says; how many of them show their beats."""
    chart = chart_of(text)
    read = read_bars(lay_out(chart, style))
    written = chart.sheet.bars
    assert len(read) == len(written), style
    for bar, found in zip(written, read, strict=True):
        compare(bar, found)
    return sum(found.ticks for found in read)


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("name", sorted(example_texts()))
def test_examples_read_back(name: str, style: PageStyle) -> None:
    check(example_texts()[name], style)


@pytest.mark.parametrize("style", STYLES)
def test_a_tune_with_all_that_a_chart_can_show_reads_back(style: PageStyle) -> None:
    assert check(FERRYMAN, style) > 1
    assert check(LANTERNS, style) == 0


def test_bars_that_used_to_print_alike_read_differently() -> None:
    bars = "| Em7b5 / / A7b9 | Em7b5 / A7b9 / | Em7b5 A7b9 | Dm7=3.5 G7=0.5 | Dm7=1.5 G7=2.5 ||"
    read = read_bars(lay_out(chart_of(f"Key: C\n\nA:\n{bars}\n"), PageStyle()))
    half = Fraction(1, 2)
    assert [(bar.ticks, bar.lengths) for bar in read] == [
        (True, (3, 1)),
        (False, (half, half)),
        (False, (half, half)),
        (True, (3 + half, half)),
        (True, (1 + half, 2 + half)),
    ]


CHORDS = ("Dm7", "G7b9", "C6", "Ebmaj7", "F#m7b5", "Bb13", "Ab7/C", "N.C.")


def uneven_bars(seed: int, beats: int, unit: int) -> str:
    """A tune of bars that chords share in all ways, in halves, thirds and quarters of beats."""
    chance = random.Random(seed)
    bars = []
    for _ in range(12):
        grain = chance.choice((1, 1, 1, 2, 2, 3, 4))
        count = min(chance.randint(1, 4), beats)
        cuts = sorted(chance.sample(range(1, beats * grain), count - 1))
        edges = [Fraction(cut, grain) for cut in (0, *cuts, beats * grain)]
        lengths = [end - start for start, end in pairwise(edges)]
        bars.append(" ".join(f"{chance.choice(CHORDS)}={length}" for length in lengths))
    rows = (" | ".join(bars[at : at + 4]) for at in range(0, len(bars), 4))
    lines = "\n".join(f"| {row} |" for row in rows)
    return f"Title: Uneven {seed}\nKey: C\nTime: {beats}/{unit}\n\nA:\n{lines}\n"


@pytest.mark.parametrize("meter", [(3, 4), (4, 4), (5, 4), (6, 8), (7, 4)])
def test_uneven_bars_of_every_meter_read_back(meter: tuple[int, int]) -> None:
    for seed in range(6):
        assert check(uneven_bars(seed, *meter), STYLES[seed % len(STYLES)]) > 0
