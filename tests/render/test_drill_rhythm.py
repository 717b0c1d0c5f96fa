"""Strokes over bars: where they stand, how thick they are, what rings, what is counted.

The patterns are common practice, no source; the Charleston has its strokes on 0 and 1.5 beats.
"""

from __future__ import annotations

from fractions import Fraction

import midneck
import pytest
from midneck.converter.drill.drill import Practice
from midneck.converter.practice.rhythm import PATTERNS, ChordSpan, apply_pattern, find_pattern
from midneck.converter.prose.facts import rhythm_sentence
from midneck.grammar.sheet import Meter
from midneck.render.page import PageStyle
from midneck.render.page.beats import BarTimes
from midneck.render.page.drawing.blocks import Block
from midneck.render.page.drawing.items import Line, Text
from midneck.render.page.drawing.style import PAPERS
from midneck.render.page.drill.layout import how_blocks
from midneck.render.page.drill.lines import lay_out_exercise
from midneck.render.page.drill.rows import rows_of
from midneck.render.page.rhythm import BarSpan, draw_strokes, rhythm_block
from support.drills import drill

FOUR, THREE = Meter(4, 4), Meter(3, 4)


def drawn(name: str, meter: Meter = FOUR, cycle: int = 0) -> list[Line]:
    whole = (ChordSpan(0, Fraction(0), meter.quarters),)
    strokes = apply_pattern(find_pattern(name, meter), meter, cycle, whole)
    ends = Fraction(0), Fraction(meter.beats)
    times = BarTimes(ends, (100.0, 100.0 + 40.0 * meter.beats))
    span = BarSpan(meter, times, 90.0, 110.0 + 40.0 * meter.beats)
    return [item for item in draw_strokes(strokes, span, 10.0, 8.0) if isinstance(item, Line)]


def lefts(lines: list[Line]) -> list[float]:
    """The left ends of strokes at their feet."""
    return [line.x1 - 0.5 * line.width for line in slanted(lines)]


def slanted(lines: list[Line]) -> list[Line]:
    return [line for line in lines if line.y1 != line.y2]


def held(lines: list[Line]) -> list[Line]:
    return [line for line in lines if line.y1 == line.y2]


def test_a_rhythm_wider_than_the_page_is_told_in_words_alone() -> None:
    left, _, right, _ = PageStyle().frame
    for meter in ("4/4", "30/4"):
        tune = midneck.chart(f"Time: {meter}\n| Dm7 | G7 | C6 |\n")
        how = how_blocks(midneck.drill(tune).planned, PageStyle())
        assert max(block.width for block in how) <= right - left
        assert any(isinstance(item, Line) for block in how for item in block.items) == (
            meter == "4/4"
        )


def test_four_strokes_the_weak_beats_thicker() -> None:
    lines = drawn("four-to-the-bar")
    assert lefts(lines) == pytest.approx([100, 140, 180, 220])
    # Accents on 2 and 4: a quarter of the height against 0.13 of it.
    assert [line.width for line in slanted(lines)] == pytest.approx([1.04, 2.0, 1.04, 2.0])
    assert held(lines) == []


def test_the_charleston_holds_its_first_stroke() -> None:
    lines = drawn("charleston")
    # Beat 1 and the "and" of 2: 1.5 beats are 60 points.
    assert lefts(lines) == pytest.approx([100, 160])
    (ring,) = held(lines)
    assert (ring.x1, ring.x2) == (100, pytest.approx(160 - 0.35 * 8))
    assert ring.y2 < 18.0


def test_a_waltz_softens_two_and_three() -> None:
    lines = drawn("waltz", THREE)
    assert lefts(lines) == pytest.approx([100, 140, 180])
    assert [line.width for line in slanted(lines)] == pytest.approx([1.04, 0.8, 0.8])


def test_half_notes_ring_on_to_each_other() -> None:
    rings = held(drawn("half-notes"))
    assert [(ring.x1, round(ring.x2, 1)) for ring in rings] == [(100, 177.2), (180, 257.2)]


@pytest.mark.parametrize("pattern", PATTERNS, ids=lambda each: each.name)
def test_the_picture_counts_what_is_struck(pattern) -> None:
    meter = THREE if pattern.name == "waltz" else FOUR
    block: Block = rhythm_block(pattern, meter, 10.0)
    counts = [item for item in block.items if isinstance(item, Text)]
    cycle = pattern.cycle(meter.beats) or ()
    bold = [item.string for item in counts if item.spans[0].face.endswith("Bold")]
    struck = [str(int(beat.at) + 1) if beat.at % 1 == 0 else "&" for bar in cycle for beat in bar]
    assert sorted(bold) == sorted(struck)
    plain = [item.string for item in counts if item.string != "&"]
    assert plain == [str(beat + 1) for beat in range(meter.beats)] * len(cycle)
    assert max(item.x for item in counts) < block.width
    assert rhythm_sentence(pattern).startswith(pattern.name.capitalize())


def test_strokes_stand_over_the_bars_of_every_line() -> None:
    made = drill("ii-V-I", None, Practice(rhythm="four-to-the-bar"))
    layout = lay_out_exercise(made.exercises[0], made.practice, PageStyle())
    row = rows_of(layout, PAPERS["a4"][1])[0]
    strokes = [
        item for item in row.draw()
        if isinstance(item, Line) and item.y1 != item.y2 and item.x1 != item.x2
        and max(item.y1, item.y2) < row.lines[0].music
    ]  # fmt: skip
    # Four bars of four.
    assert len(strokes) == 16
    pieces = row.lines[0].line.pieces
    starts = [layout.column + layout.context.gutter + one.x + one.space.before for one in pieces]
    assert lefts(strokes[::4]) == pytest.approx(starts)


def test_a_cycle_of_two_bars_goes_on_through_a_line_and_begins_anew_with_each_key() -> None:
    made = drill("ii-V-I", None, Practice(rhythm="bossa"))
    layout = lay_out_exercise(made.exercises[0], made.practice, PageStyle())
    # The first bar of the bossa has a stroke on 1, the second none before 2: common practice.
    firsts = [strokes[0].at for strokes in layout.context.strokes]
    assert firsts[3:8] == [1, 0, 0, 0, 1]
