"""The picture of a rhythm on a drill, for rhythms that the table does not hold."""

from __future__ import annotations

from fractions import Fraction

from midneck.converter.practice.rhythm import Beat, Pattern
from midneck.grammar.sheet import Meter
from midneck.render.page.drawing.items import Text
from midneck.render.page.rhythm import rhythm_block


def test_a_rhythm_that_leaves_the_first_beat_out_is_drawn_without_it() -> None:
    beats = tuple(Beat(Fraction(at), Fraction(1)) for at in (1, 3))
    block = rhythm_block(Pattern("two-and-four", ((4, (beats,)),)), Meter(4, 4), 10.0)
    counts = [item for item in block.items if isinstance(item, Text)]
    bold = [item.string for item in counts if item.spans[0].face.endswith("Bold")]
    assert [item.string for item in counts] == ["1", "2", "3", "4"]
    assert bold == ["2", "4"]
