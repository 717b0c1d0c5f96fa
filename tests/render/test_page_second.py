"""The page of grips, areas and practice, the page of the neck, cautions."""

from __future__ import annotations

from dataclasses import replace

import pytest
from midneck.converter.explain import stretches
from midneck.converter.hand.player import Player
from midneck.converter.prose.facts import HAND_CAUTION, HAND_CAUTION_SHORT
from midneck.render.page import PageStyle, lay_out
from midneck.render.page.drawing.signs import with_signs
from midneck.render.page.layout import grips_used
from support.charts import LANTERNS
from support.fixed import fixed_chart
from support.pages import texts

CHART = fixed_chart(LANTERNS)


def test_every_grip_stands_there_once_with_its_bars() -> None:
    used = grips_used(CHART)
    assert len(used) == len(set(used)) == 11
    (chord, grip), bars = next(iter(used.items()))
    # Gm7: root G on string 6 at fret 3, seventh and third beside it; bars 1, 5 and 8 of each A.
    assert (str(chord.root), grip.frets) == ("G", (3, None, 3, 3, None, None))
    assert bars == [1, 5, 8, 9, 13, 16, 25, 29, 32]
    page = lay_out(CHART, PageStyle(second_page=True)).pages[1]
    assert texts(page).count("G–7") == 1
    # G, its seventh F and third B flat, from the lowest string up.
    assert "G F B♭" in texts(page)


@pytest.mark.parametrize(("typed", "printed"), [
    ("Bbm7b5 to Eb7#9", "B♭m7♭5 to E♭7♯9"), ("F# minor", "F♯ minor"), ("C7(b9,#11)", "C7(♭9,♯11)"),
    ("Both stay; A sub for D7", "Both stay; A sub for D7"), ("Abmaj7/Eb", "A♭maj7/E♭"),
    ("Bars stay bars", "Bars stay bars"), ("Ebb", "E♭♭"),
])  # fmt: skip
def test_sentences_get_true_signs(typed: str, printed: str) -> None:
    assert with_signs(typed) == printed


def test_cautions_stand_where_stretches_are_shown() -> None:
    # Index at fret 1 and little finger at fret 6: 647.7 · (2^(−1/12) − 2^(−6/12)) = 153 mm.
    grips = CHART.plan.grips
    assert grips[0] is not None
    wide = replace(
        grips[0], frets=(1, None, 6, None, None, None), fingers=(1, None, 4, *[None] * 3)
    )
    assert stretches(wide, CHART.player)
    chart = replace(CHART, plan=replace(CHART.plan, grips=(wide, *grips[1:])))
    first, *rest = lay_out(chart, PageStyle(second_page=True)).pages
    assert HAND_CAUTION_SHORT in " ".join(texts(first))
    assert HAND_CAUTION in " ".join(text for page in rest for text in texts(page))
    without = lay_out(chart, PageStyle(grids="none")).pages[0]
    assert HAND_CAUTION_SHORT not in " ".join(texts(without))


def test_no_caution_where_nothing_stretches() -> None:
    chart = fixed_chart("Key: F\n\nA:\n| Gm7 | C7 ||\n", Player())
    assert not any(stretches(grip, chart.player) for grip in chart.plan.grips if grip is not None)
    assert HAND_CAUTION_SHORT not in " ".join(texts(lay_out(chart, PageStyle()).pages[0]))


def test_neck_page_shows_every_chord() -> None:
    document = lay_out(CHART, PageStyle(neck_map="page"))
    assert len(document.pages) == 2
    assert texts(document.pages[1]).count("G–7") == 9
    assert document.outline[-1].title == "The hand on the neck"


def test_practice_names_brackets_only_where_the_page_shows_them() -> None:
    def told(style: PageStyle) -> str:
        return " ".join(text for page in lay_out(CHART, style).pages for text in texts(page))

    assert "bracketed" in told(PageStyle(second_page=True))
    assert "bracketed" in told(PageStyle(second_page=True, large=True, analysis=True))
    assert "bracketed" not in told(PageStyle(second_page=True, large=True))
    assert "bracketed" not in told(PageStyle(second_page=True, analysis=False))
