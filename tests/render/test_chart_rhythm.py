"""Strokes of a rhythm on charts: over their beats, apart, explained, in words, refused.

The patterns are common practice, no source: the Charleston has strokes on 0 and 1.5 beats.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import midneck
import pytest
from midneck.converter.chart import CompingChart
from midneck.converter.practice.rhythm import PATTERNS, RhythmError, named_pattern
from midneck.converter.practice.written import tune_pattern, written_strokes
from midneck.render.commands.main import run
from midneck.render.page import PageStyle, lay_out
from midneck.render.page.drawing.items import Document, Line, Page
from midneck.render.text import chart_in_words, text_chart
from support.charts import FERRYMAN, chart_of, example_texts
from support.pages import (
    TOLERANCE,
    outside,
    overlaps,
    struck_through,
    text_boxes,
    texts,
    with_groups,
)

UNEVEN = "Title: Steps\nKey: C\n\nA:\n| Dm7 / / G7 | C6=1.5 A7=2.5 | % | Dm7 / / G7 (push) ||\n"
#: Every way to set a chart that strokes must fit.
STYLES = [
    PageStyle(),
    PageStyle(grids="none", paper="a5"),
    PageStyle(grids="new", landscape=True, analysis=False, neck_map="none"),
    PageStyle(large=True),
    PageStyle(symbols="signs", bars_per_line=8),
]


def strokes_by_bar(page: Page) -> dict[int | None, list[Line]]:
    """The slanted lines of decoration in each bar: strokes, left to right."""
    found: dict[int | None, list[Line]] = {}
    for item, groups in with_groups(page.items):
        if isinstance(item, Line) and item.x1 != item.x2 and item.y1 != item.y2:
            kinds = [group.kind for group in groups]
            if kinds == ["bar", "decoration"]:
                found.setdefault(groups[0].bar, []).append(item)
    return {bar: sorted(lines, key=lambda line: line.x1) for bar, lines in found.items()}


def ticks_by_bar(page: Page) -> dict[int | None, list[Line]]:
    """The slanted lines of each bar itself: the ticks of its beats."""
    found: dict[int | None, list[Line]] = {}
    for item, groups in with_groups(page.items):
        slanted = isinstance(item, Line) and item.x1 != item.x2 and item.y1 != item.y2
        if isinstance(item, Line) and slanted and [group.kind for group in groups] == ["bar"]:
            found.setdefault(groups[0].bar, []).append(item)
    return found


def left(line: Line) -> float:
    """The left end of the foot of a stroke or a tick."""
    return line.x1 - 0.5 * line.width


def page_of(text: str, style: PageStyle) -> Page:
    (page,) = lay_out(chart_of(text), style).pages
    return page


def test_a_stroke_on_each_beat_stands_over_its_tick_and_its_symbol() -> None:
    page = page_of(UNEVEN, PageStyle(rhythm="four-to-the-bar"))
    strokes, ticks = strokes_by_bar(page), ticks_by_bar(page)
    assert [len(strokes[bar]) for bar in (1, 2, 3, 4)] == [4, 4, 4, 4]
    assert [left(line) for line in strokes[1]] == pytest.approx([left(tick) for tick in ticks[1]])
    symbols = [
        text.x for _, text in text_boxes(page)
        if text.spans[0].size >= 20 and text.string[0] in "DG"
    ]  # fmt: skip
    assert left(strokes[1][0]) == pytest.approx(min(symbols))


def test_offbeats_stand_between_the_beats_of_an_uneven_bar() -> None:
    """The Charleston: on 1, and in the middle of 2 and 3; G7 on 4 is struck as a new chord."""
    page = page_of(UNEVEN, PageStyle(rhythm="charleston"))
    beats = [left(tick) for tick in ticks_by_bar(page)[1]]
    expected = [beats[0], (beats[1] + beats[2]) / 2, beats[3]]
    found = [left(line) for line in strokes_by_bar(page)[1]]
    assert found == pytest.approx(expected)


def test_an_early_chord_is_struck_before_its_beat() -> None:
    page = page_of(UNEVEN, PageStyle(rhythm="four-to-the-bar"))
    beats = [left(tick) for tick in ticks_by_bar(page)[4]]
    last = left(strokes_by_bar(page)[4][-1])
    assert last == pytest.approx((beats[2] + beats[3]) / 2)


def test_a_stroke_over_the_bar_line_is_held_up_to_it_and_on_from_it() -> None:
    page = page_of("A:\n| Dm7 | G7 (push) | C6 | % ||\n", PageStyle(rhythm="charleston"))
    bars: dict[int | None, list[Line]] = {}
    uprights: dict[int | None, list[float]] = {}
    for item, groups in with_groups(page.items):
        if isinstance(item, Line) and groups and groups[0].kind == "bar":
            if groups[-1].kind == "decoration" and item.y1 == item.y2:
                bars.setdefault(groups[0].bar, []).append(item)
            elif len(groups) == 1 and item.x1 == item.x2:
                uprights.setdefault(groups[0].bar, []).append(item.x1)
    bar_line = uprights[1][-1]
    assert max(line.x2 for line in bars[1]) == pytest.approx(bar_line)
    assert min(line.x1 for line in bars[2]) == pytest.approx(bar_line)
    # The chord itself has no stroke of its own on 1: only that of its "and" of 2.
    assert len(strokes_by_bar(page)[2]) == 1


def drawn(chart: CompingChart, style: PageStyle) -> Document:
    document = lay_out(chart, style)
    assert style.rhythm is not None
    pattern = named_pattern(style.rhythm)
    written = written_strokes(chart.timeline, chart.plan, pattern)
    expected = sum(not stroke.tied for bar in written for stroke in bar)
    found = [lines for page in document.pages for lines in strokes_by_bar(page).values()]
    assert sum(map(len, found)) == expected
    return document


def check_apart(page: Page, style: PageStyle) -> None:
    """Strokes stand on the page, beside each other and over no text."""
    assert outside(page, style) == []
    assert overlaps(page) == []
    assert struck_through(page) == []
    for lines in strokes_by_bar(page).values():
        rows: dict[float, list[Line]] = {}
        for line in lines:
            rows.setdefault(round(line.y1, 2), []).append(line)
        for row in rows.values():
            for one, other in pairwise(row):
                assert left(other) - left(one) > one.width + 0.5


@pytest.mark.slow
@pytest.mark.parametrize("style", STYLES, ids=str)
@pytest.mark.parametrize("pattern", PATTERNS, ids=lambda each: each.name)
def test_all_strokes_of_all_bars_are_drawn_and_touch_nothing(pattern, style: PageStyle) -> None:  # type: ignore[no-untyped-def]
    fits = 0
    for text in (*example_texts().values(), FERRYMAN, UNEVEN):
        chart = chart_of(text)
        asked = replace(style, rhythm=pattern.name)
        try:
            tune_pattern(chart.sheet, pattern.name)
        except RhythmError:
            with pytest.raises(RhythmError, match="does not fit"):
                lay_out(chart, asked)
            continue
        fits += 1
        for page in drawn(chart, asked).pages:
            check_apart(page, asked)
    assert fits > 0 or pattern.name == "waltz"


def test_the_legend_and_the_head_tell_of_strokes_only_where_they_are_drawn() -> None:
    with_strokes = texts(page_of(UNEVEN, PageStyle(rhythm="charleston")))
    assert {"stroke", "louder stroke", "held"} <= set(with_strokes)
    assert any(text.endswith("charleston") for text in with_strokes)
    plain = texts(page_of(UNEVEN, PageStyle()))
    assert not {"stroke", "louder stroke", "held"} & set(plain)


def test_symbols_that_rise_over_their_bar_stay_below_the_strokes() -> None:
    page = page_of("A:\n| C7(b9,#11) | F7(#9,b13) | % | C6 ||\n", PageStyle(rhythm="bossa"))
    feet = max(line.y1 for lines in strokes_by_bar(page).values() for line in lines)
    symbols = [box for box, text in text_boxes(page) if text.string.startswith(("C7", "F7"))]
    assert symbols
    assert min(box[1] for box in symbols) > feet + TOLERANCE


def test_repeated_bars_have_as_much_room_for_strokes_as_others() -> None:
    page = page_of("A:\n| Dm7 | G7 | C6 | % ||\n", PageStyle(rhythm="four-to-the-bar"))
    steps = [left(lines[1]) - left(lines[0]) for lines in strokes_by_bar(page).values()]
    assert min(steps) > 0.8 * max(steps)


def test_text_and_words_say_the_rhythm_once() -> None:
    chart = chart_of(UNEVEN)
    sentence = "Charleston: a held stroke on 1 and a short one on the “and” of 2."
    for said in (
        text_chart(chart, rhythm="charleston"),
        chart_in_words(chart, rhythm="charleston"),
    ):
        assert said.splitlines().count(sentence) == 1
        assert said.splitlines().index(sentence) < 4
    assert sentence not in text_chart(chart)
    with pytest.raises(RhythmError, match="waltz does not fit 4/4"):
        text_chart(chart, rhythm="waltz")


def test_the_command_and_python_draw_the_same_strokes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheet = tmp_path / "steps.txt"
    sheet.write_text(UNEVEN)
    asked = ["chart", str(sheet), "--rhythm", "Charleston", "-q"]
    assert run([*asked, "-o", str(tmp_path / "one.svg")]) == 0
    tune = midneck.chart(str(sheet))
    tune.save(tmp_path / "two.svg", rhythm="Charleston")
    tune.save(tmp_path / "plain.svg")
    one, two, plain = ((tmp_path / f"{name}.svg").read_text() for name in ("one", "two", "plain"))
    assert "louder stroke" in one
    assert "louder stroke" in two
    assert "louder stroke" not in plain
    assert run([*asked[:-1], "--text"]) == 0
    assert "Charleston: a held stroke" in capsys.readouterr().out


def test_a_rhythm_that_does_not_fit_is_refused_in_words(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheet = tmp_path / "steps.txt"
    sheet.write_text(UNEVEN)
    for name, words in (
        ("waltz", "waltz does not fit 4/4; in 4/4 there are four-to-the-bar"),
        ("tango", "there is no rhythm 'tango'; there are four-to-the-bar"),
        ("charlston", "there is no rhythm 'charlston'; did you mean 'charleston'?"),
    ):
        assert run(["chart", str(sheet), "--rhythm", name, "-o", str(tmp_path / "x.pdf")]) == 2
        assert words in capsys.readouterr().err
        with pytest.raises(midneck.MidneckError, match=words.split(";")[0]):
            midneck.chart(str(sheet)).save(tmp_path / "x.pdf", rhythm=name)
    assert not (tmp_path / "x.pdf").exists()
    asked = ["chart", str(sheet), "--rhythm", "bossa", "--format", "musicxml"]
    assert run(asked) == 2
    assert "--rhythm draws strokes on a page" in capsys.readouterr().err
