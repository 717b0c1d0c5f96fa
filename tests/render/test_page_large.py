"""Large print: sizes, black alone, heavy lines, whole bars, what is left out unless asked for."""

from __future__ import annotations

import pytest
from midneck.render.page import PageStyle, lay_out
from midneck.render.page.body import set_body
from midneck.render.page.drawing.geometry import heavy
from midneck.render.page.drawing.items import Circle, Close, Item, Line, Open, Path, Rect, Text
from midneck.render.page.drawing.style import LARGE_PT
from midneck.render.page.head_foot import needs_caution
from midneck.render.page.layout import frames_of
from support.charts import FERRYMAN, LANTERNS, chart_of, example_texts
from support.pages import smallest_text, texts
from support.tunes import tune_text

LARGE = PageStyle(large=True, symbols="letters")
TUNES = {**example_texts(), "lanterns": LANTERNS, "ferryman": FERRYMAN}


def items_of(text: str, style: PageStyle = LARGE) -> list[Item]:
    return [item for page in lay_out(chart_of(text), style).pages for item in page.items]


@pytest.mark.parametrize("name", ["lanterns", "harbour_at_six"])
@pytest.mark.parametrize("landscape", [False, True])
def test_32_bars_take_four_a4_pages_at_most(name: str, landscape: bool) -> None:
    style = PageStyle(large=True, landscape=landscape)
    document = lay_out(chart_of(TUNES[name]), style)
    assert len(document.pages) <= (5 if landscape else 4)


@pytest.mark.parametrize("name", ["harbour_at_six", "five_corners", "the_long_platform"])
def test_the_legend_stands_behind_music(name: str) -> None:
    """Where the pages of the music have the room, no page holds the legend alone."""
    last = lay_out(chart_of(TUNES[name]), PageStyle(large=True)).pages[-1]
    kinds = {item.group.kind for item in last.items if isinstance(item, Open)}
    assert {"legend", "bar"} <= kinds


def test_symbols_have_40_points() -> None:
    for name in ("lanterns", "harbour_at_six", "the_long_platform", "slate_roofs"):
        chart = chart_of(TUNES[name])
        body = set_body(chart, LARGE, frames_of(chart, LARGE, needs_caution(chart, LARGE)))
        chords = [c for line in body.lines for piece in line.line.pieces for c in piece.chords]
        assert {span.size for chord in chords for span in chord.symbol.spans} == {40.0}
        assert {chord.look.finger for chord in chords} == {18.0}


@pytest.mark.parametrize("name", sorted(TUNES))
def test_no_text_is_small(name: str) -> None:
    assert smallest_text(lay_out(chart_of(TUNES[name]), LARGE)) >= LARGE_PT


@pytest.mark.slow
@pytest.mark.parametrize("landscape", [False, True])
def test_bars_are_never_split_over_lines(landscape: bool) -> None:
    style = PageStyle(large=True, landscape=landscape, symbols="letters")
    for text in (*TUNES.values(), *map(tune_text, range(60))):
        chart = chart_of(text)
        body = set_body(chart, style, frames_of(chart, style, needs_caution(chart, style)))
        pieces = [piece for line in body.lines for piece in line.line.pieces]
        assert all(piece.opens and piece.closes for piece in pieces)
        for line in body.lines:
            assert line.line.right <= body.context.music_width + 0.01


def test_a_bar_wider_than_a_line_shrinks_and_shows_no_fingers() -> None:
    text = "Time: 5/4\nA:\n| Cm7b5 F7b9 Bbm9 Eb7sus Abmaj9 | C6 ||\n"
    chart = chart_of(text)
    body = set_body(chart, LARGE, frames_of(chart, LARGE, needs_caution(chart, LARGE)))
    crowded, plain = (line.line.pieces[0].chords[0] for line in body.lines)
    assert LARGE_PT <= crowded.symbol.spans[0].size < 40.0
    assert (crowded.look.finger, plain.look.finger) == (0.0, 18.0)
    white = [item for item in items_of(text) if isinstance(item, Text) and item.grey == 1.0]
    grip = chart.plan.grips[5]
    assert grip is not None
    places = zip(grip.frets, grip.fingers, strict=True)
    assert len(white) == sum(bool(fret) and finger is not None for fret, finger in places)


@pytest.mark.parametrize("style", [
    LARGE, PageStyle(large=True, neck_map="line", analysis=True, second_page=True),
], ids=["plain", "all"])  # fmt: skip
def test_everything_is_black(style: PageStyle) -> None:
    for item in items_of(FERRYMAN, style):
        if isinstance(item, (Text, Line)):
            assert item.grey in (0.0, 1.0)
        elif isinstance(item, (Circle, Rect, Path)):
            assert item.fill in (None, 0.0, 1.0)
            assert item.stroke in (None, 0.0)


def test_lines_are_doubled() -> None:
    def widths(style: PageStyle) -> list[float]:
        return [item.width for item in items_of(LANTERNS, style) if isinstance(item, Line)]

    # The thinnest bar line is 0.8 points plain and 1.6 large; the lines of grids 0.45 and 0.9.
    assert min(widths(LARGE)) >= 1.6
    nets = [item.width for item in items_of(LANTERNS) if isinstance(item, Path) and not item.fill]
    assert min(nets) >= 0.9


def test_heavy_items() -> None:
    assert heavy([Line(0, 0, 1, 1, 0.8, 0.4)]) == (Line(0, 0, 1, 1, 1.6, 0.0),)
    # What is thicker than a line, white, and groups stay; a light ground becomes a frame.
    assert heavy([Line(0, 0, 1, 1, 2.6)]) == (Line(0, 0, 1, 1, 2.6),)
    assert heavy([Circle(0, 0, 1, 1.0)])[0] == Circle(0, 0, 1, 1.0, width=1.0)
    assert heavy([Rect(0, 0, 1, 1, 0.9)]) == (Rect(0, 0, 1, 1, None, 0.0, 1.0),)
    groups = [item for item in items_of(LANTERNS) if isinstance(item, (Open, Close))]
    assert heavy(groups) == tuple(groups)


@pytest.mark.parametrize(("asked", "numerals", "neck_map"), [
    ({}, False, False),
    ({"analysis": True}, True, False),
    ({"neck_map": "line"}, False, True),
    ({"analysis": False, "neck_map": "none"}, False, False),
])  # fmt: skip
def test_numerals_and_map_are_printed_when_asked_for(asked, numerals, neck_map) -> None:
    chart, style = chart_of(LANTERNS), PageStyle(large=True, **asked)
    assert ("V7" in texts(lay_out(chart, style).pages[0])) == numerals
    body = set_body(chart, style, frames_of(chart, style, needs_caution(chart, style)))
    assert all((line.neck > 0) == neck_map for line in body.lines)
    plain = PageStyle(**asked)
    assert plain.numerals == asked.get("analysis", True)
    assert plain.map_place == asked.get("neck_map", "line")
