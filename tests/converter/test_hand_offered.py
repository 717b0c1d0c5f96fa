"""The grips that a chord can be given: those inside the window, then the best of other styles."""

from __future__ import annotations

from midneck.converter.alternatives import alternatives, in_other_styles, offered
from midneck.converter.prose.hand import offer_text
from support.hand_sheets import planned, sheet


def test_grips_inside_the_window_come_first_and_then_other_styles() -> None:
    chart = planned(sheet("Dm7 G7 C6 F7"))
    chords = range(4)
    for chord, found in zip(chords, offered(chart, chords, 4), strict=True):
        (every,) = alternatives(chart, [chord], 4)
        styled = in_other_styles(chart, chord)
        own = [one for one in found if one.style == chart.options.style]
        assert found == (*own, *styled)
        assert own
        assert own == [one for one in every if one.inside] or own == [every[0]]
        assert len(styled) == 3


def test_what_is_offered_says_its_style_and_whether_it_lies_outside() -> None:
    chart = planned(sheet("Fm7 Bb7 Eb6"))
    (found,) = offered(chart, [0], 4)
    said = [offer_text(chart, one) for one in found]
    for one, text in zip(found, said, strict=True):
        assert text.startswith("in ") == (one.style != chart.options.style)
        assert ("outside the window" in text) == (not one.inside)
        assert text.split(", ")[-1].split(" ")[-1] in ("more", "less")
    assert {one.inside for one in found} == {True, False}
