"""What stands above and below the music of a page: head, texts for the player, legend."""

from __future__ import annotations

from dataclasses import replace

import pytest
from midneck.converter.hand.grip import Grip, VoicedNote, Voicing
from midneck.grammar.chord import Tone
from midneck.render.page import Heading, PageStyle, lay_out
from midneck.render.page.drawing.items import Text
from midneck.render.page.drawing.scripts import ScriptError
from midneck.render.page.drawing.style import LARGE_PT
from midneck.render.page.legend import legend_of, possible_marks
from support.charts import LANTERNS, chart_of
from support.pages import outside, overlaps, texts

PLAIN = PageStyle()
NO_GRIDS = PageStyle(grids="none")


def test_a_title_without_width_is_refused_in_words() -> None:
    """A combining accent by itself has no advance to fit to the column."""
    chart = chart_of("Title: \u0301\nBy: \u0301\n\nA:\n| C | G7 ||\n")
    with pytest.raises(ScriptError, match="combining acute accent: write it without"):
        lay_out(chart, PLAIN)


@pytest.mark.parametrize(("large", "least"), [(False, 0.7 * 8.2), (True, LARGE_PT)])
def test_a_long_text_for_the_player_takes_lines_rather_than_shrink(large, least) -> None:
    said = "quietly, with brushes, and let the second guitar lead the way into the bridge " * 2
    tune = f'A:\n"{said}"\n| Gm7 | C7 ||\nB:\n| F6 ||\nA: again\n"{said}"\n'
    style = PageStyle(large=large)
    document = lay_out(chart_of(tune), style)
    words = [item for page in document.pages for item in page.items
             if isinstance(item, Text) and item.string in said]  # fmt: skip
    assert " ".join(word.string for word in words).startswith(said.strip())
    assert min(span.size for word in words for span in word.spans) >= least
    assert not any(outside(page, style) or overlaps(page) for page in document.pages)


def test_heading_prints_what_was_asked_and_nothing_else() -> None:
    chart = chart_of(LANTERNS)
    plain = texts(lay_out(chart, PLAIN).pages[0])
    heading = Heading("Northgate Studio", "Ada", "4 May", "Slowly first.")
    asked = texts(lay_out(chart, PageStyle(heading=heading)).pages[0])
    added = [text for text in asked if text not in plain]
    assert added == ["Northgate Studio", "Ada", "4 May", "Slowly first."]


def test_untitled_tune() -> None:
    assert "Untitled" in texts(lay_out(chart_of("Key: C\n\nA:\n| C ||\n"), PLAIN).pages[0])


def test_a_silent_tune_says_nothing_of_the_hand() -> None:
    page = lay_out(chart_of("Key: F\n\nA:\n| N.C. | % ||\n"), PLAIN).pages[0]
    texts = [item.string for item in page.items if isinstance(item, Text)]
    assert "F major  ·  4/4" in texts
    assert not any("shift" in text for text in texts)


@pytest.mark.parametrize(
    ("bars", "said"),
    [
        ("G7<3 x 3 4 x x> | C7<x 3 2 3 x x> | F7<x x 3 5 4 5>", "6, on 5, on 4"),
        ("C7<x 3 2 3 x x> | D7<x 5 4 5 x x>", "5"),
        ("F7<x x 3 5 4 5> | G7<3 x 3 4 x x>", "6, on 4"),
        ("N.C.", None),
    ],
)
def test_the_legend_tells_the_strings_that_roots_lie_on(bars: str, said: str | None) -> None:
    page = lay_out(chart_of(f"A:\n| {bars} ||\n"), PLAIN).pages[0]
    found = [text for text in texts(page) if text.startswith("root on string")]
    assert found == ([] if said is None else [f"root on string {said}"])


def test_one_mark_stands_for_roots_on_strings_other_than_6_and_5() -> None:
    chart = chart_of("A:\n| B7 | F7 ||\n")
    roots = Voicing((VoicedNote(7, 2, 37, Tone(1)),)), Voicing((VoicedNote(4, 3, 53, Tone(1)),))
    frets = (2, *[None] * 6), (*[None] * 3, 3, *[None] * 3)
    grips = tuple(Grip(*each, each[1], 2) for each in zip(roots, frets, strict=True))
    chart = replace(chart, plan=replace(chart.plan, grips=grips))
    names = possible_marks([chart], NO_GRIDS)
    assert legend_of(names, (3, 10))[-1].words == "root on string 7 or 4"
    assert len(legend_of(names, (3, 10))[-1].marks) == 1
