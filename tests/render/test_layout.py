"""Layout of the chart: coordinates with the arithmetic beside them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from midneck.converter.hand.player import Player
from midneck.converter.harmony.analysis import DOUBTFUL_MARGIN
from midneck.grammar.sheet import Meter
from midneck.render.page import PageStyle, lay_out
from midneck.render.page.body import LARGEST
from midneck.render.page.context import layout_context
from midneck.render.page.drawing.fonts import CAP_HEIGHT
from midneck.render.page.drawing.items import Circle, Line, Page, Path, Rect, Text
from midneck.render.page.drawing.signs import THICK, key_text, meter_width, signed
from midneck.render.page.drawing.style import LARGE_PT, PAPERS, REGULAR_METRICS
from midneck.render.page.line import measure_lines, neck_stops
from midneck.render.page.line_breaks import break_lines
from support.charts import FERRYMAN, LANTERNS, chart_of
from support.pages import smallest_text, texts

PLAIN = PageStyle()
NO_GRIDS = PageStyle(grids="none")


def lines_of(text: str, style: PageStyle = PLAIN):
    context = layout_context(chart_of(text), style)
    return context, break_lines(context, context.music_width)


def find(page: Page, text: str) -> list[Text]:
    return [item for item in page.items if isinstance(item, Text) and item.string == text]


def test_paper_sizes() -> None:
    # ISO 216: A4 210 × 297 mm, A5 148 × 210 mm; Letter 8.5 × 11 in; a point is 1/72 in.
    assert PAPERS["a4"] == pytest.approx((595.276, 841.890), abs=0.001)
    assert PAPERS["a5"] == pytest.approx((419.528, 595.276), abs=0.001)
    assert PAPERS["letter"] == (612, 792)
    assert PageStyle(landscape=True).size == (PAPERS["a4"][1], PAPERS["a4"][0])


def test_bars_share_a_line_by_need() -> None:
    context, lines = lines_of(LANTERNS)
    assert [len(line.pieces) for line in lines] == [4] * 8
    # 595.28 − 2 · 36 = 523.28 wide, less the gutter of 2.3 · 8 = 18.4: a quarter is 126.2.
    assert context.gutter == pytest.approx(18.4)
    # The second section: the first bar of all is wider by its time signature.
    even = lines[2].pieces
    assert [piece.x for piece in even] == pytest.approx([0, 126.219, 252.438, 378.657], abs=0.01)
    assert {round(piece.width, 2) for piece in even} == {126.22}
    # In `| Gm7 | C7 | F6 D7 | Gm7 C7 |` bars with two chords are wider, those of a kind equal.
    widths = [piece.width for piece in lines[1].pieces]
    assert sum(widths) == pytest.approx(context.music_width)
    assert widths[0] == pytest.approx(widths[1])
    assert widths[2] == pytest.approx(widths[3], rel=0.05)
    assert 1.2 < widths[2] / widths[0] < 2


def test_sections_begin_lines() -> None:
    _, lines = lines_of("Key: C\n\nA:\n| C | F | G7 ||\n\nB:\n| Am7 | Dm7 | G7 | C | F | C ||\n")
    assert [(line.section, line.begins, len(line.pieces)) for line in lines] == [
        (0, True, 3), (1, True, 4), (1, False, 2),
    ]  # fmt: skip


@pytest.mark.parametrize(("count", "expected"), [(1, [1] * 4), (2, [2, 2]), (3, [2, 2]), (8, [4])])
def test_bars_per_line(count: int, expected: list[int]) -> None:
    _, lines = lines_of("Key: C\n\nA:\n| C | F | G7 | C ||\n", PageStyle(bars_per_line=count))
    assert [len(line.pieces) for line in lines] == expected


def test_bars_per_line_are_checked() -> None:
    with pytest.raises(ValueError, match="1 to 12, not 0"):
        PageStyle(bars_per_line=0)


def test_a_crowded_bar_takes_room_from_the_others_then_their_line() -> None:
    context, lines = lines_of("Key: C\n\nA:\n| C6 Dm7 Em7 F6 | C6 | C6 | C6 ||\n")
    widths = [piece.width for piece in lines[0].pieces]
    assert len(widths) == 4
    assert widths[0] > 2 * max(widths[1:])
    assert sum(widths) == pytest.approx(context.music_width)
    full = "| C6 Dm7 Em7 F6 | C6 | C6 Dm7 Em7 F6 | C6 ||"
    _, wide = lines_of(f"Key: C\n\nA:\n{full}\n", PageStyle(paper="a5"))
    # Too much for one line: the phrase is halved, not cut behind its first or third bar.
    assert [len(line.pieces) for line in wide] == [2, 2]
    assert {
        chord.look.string for line in wide for piece in line.pieces for chord in piece.chords
    } == {context.look.string}


CROWDED = "Key: C\n\nA:\n| C6 Am7 Dm7 G7 C6 Am7 Dm7 G7 | C6 ||\n"


def test_a_bar_wider_than_a_line_is_cut() -> None:
    _, lines = lines_of("Time: 8/4\n" + CROWDED, PageStyle(paper="a5"))
    first, second = lines[0].pieces[0], lines[1].pieces[0]
    assert (first.bar, first.opens, first.closes) == (0, True, False)
    assert (second.bar, second.opens, second.closes) == (0, False, True)
    assert len(first.chords) + len(second.chords) == 8


def test_the_hand_comes_into_a_cut_bar_s_next_line_from_the_chord_before() -> None:
    context, lines = lines_of("Time: 8/4\n" + CROWDED, PageStyle(paper="a5"))
    second = lines[1].pieces[0].chords[0].index
    assert 0 < second < 8
    stops = neck_stops(context, measure_lines(context, lines)[1], 0.0)
    before, here = context.grip(second - 1), context.grip(second)
    assert before is not None
    assert here is not None
    assert [stop.position for stop in stops[:2]] == [before.position, here.position]


def test_a_section_played_again_keeps_its_key_and_text() -> None:
    text = 'Key: C\n\nA:\n| C | G7 ||\n\nA:\nKey: D\n"softly"\n"rubato"\n'
    assert "again, as above – D major – softly – rubato" in texts(
        lay_out(chart_of(text), PLAIN).pages[0]
    )


def test_a_pickup_stands_beside_bar_1() -> None:
    for section in ("A:\n| G7 (pickup) |\n", "| G7 (pickup) |\nA:\n"):
        _, lines = lines_of(f"Key: C\n\n{section}| C | F | G7 | C ||\n")
        assert [piece.bar for piece in lines[0].pieces] == [0, 1, 2, 3, 4]
        assert lines[0].begins
        widths = [piece.width for piece in lines[0].pieces]
        assert widths[0] < min(widths[1:])


def test_chords_stand_where_their_beats_are() -> None:
    context, lines = lines_of(
        "Key: C\n\nA:\n| C / / G7 | C | C | C ||\n", PageStyle(bars_per_line=2)
    )
    placed = measure_lines(context, lines)[0]
    size, width = 20.0, lines[0].pieces[0].width
    # Padding is 0.42 and 0.16 of the symbol's 20 points, the time signature takes 11.3 for its
    # figures and 0.32 of 20 beside them; three beats and one share the rest as 3 ** 0.6 = 1.933
    # to 1.
    start = 0.74 * size + meter_width(Meter(4, 4), size)
    assert start == pytest.approx(26.1)
    room = width - start - 0.16 * size
    assert placed.starts[0] == pytest.approx((start, start + room * 1.933 / 2.933), abs=0.01)


def test_32_bars_with_grids_fit_one_page() -> None:
    for paper in ("a4", "letter"):
        assert len(lay_out(chart_of(LANTERNS), PageStyle(paper=paper)).pages) == 1


def test_chart_grows_where_the_page_has_room() -> None:
    short = lay_out(chart_of("Title: T\nKey: C\n\nA:\n| C | F | G7 | C ||\n"), PLAIN)
    symbol = find(short.pages[0], "G7")[0]
    assert symbol.spans[0].size == pytest.approx(REGULAR_METRICS.symbol * LARGEST)


def test_long_tune_breaks_at_sections_under_running_heads() -> None:
    section = "| Gm7 | C7 | F6 | D7b9 | Gm7 | C7 | F6 D7 | Gm7 C7 ||\n"
    names = ["A", "B", "C", "D", "E", "F"]
    text = "Title: Long Row\nKey: F\n\n" + "".join(f"{n}:\n{section}\n" for n in names)
    document = lay_out(chart_of(text), PLAIN)
    assert len(document.pages) == 2
    assert "1 / 2" in texts(document.pages[0])
    assert "2 / 2" in texts(document.pages[1])
    assert texts(document.pages[1])[0] == "Long Row"
    boxes = [[s for s in texts(page) if s in names] for page in document.pages]
    assert boxes[0] + boxes[1] == names
    first_lines = min(
        item.y
        for item in document.pages[1].items
        if isinstance(item, Text) and item.string == "G–7"
    )
    label = find(document.pages[1], boxes[1][0])[0]
    # The page begins with a section: its letter stands beside the first line of symbols.
    assert abs(label.y - first_lines) < 12


def test_outline_leads_to_sections() -> None:
    document = lay_out(chart_of(FERRYMAN), PLAIN)
    assert [entry.title for entry in document.outline] == ["Intro", "A", "B", "C", "Coda"]
    assert all(0 <= entry.page < len(document.pages) for entry in document.outline)


def test_punch_margin() -> None:
    # ISO 838: holes are 12 mm from the edge and 6 mm wide; 57 points are 20.1 mm.
    assert PageStyle(punch=True).frame[0] == 57
    document = lay_out(chart_of(LANTERNS), PageStyle(punch=True))
    assert min(item.x for item in document.pages[0].items if isinstance(item, Text)) >= 57


def test_left_hand_mirrors_grids() -> None:
    text = "Key: C\n\nA:\n| G7<3 x 3 4 x x> ||\n"
    right = lay_out(chart_of(text), PageStyle(neck_map="none")).pages[0]
    left = lay_out(chart_of(text, Player(hand="left")), PageStyle(neck_map="none")).pages[0]

    def dots(page: Page) -> list[float]:
        legend = max(item.y for item in page.items if isinstance(item, Text)) - 10
        return [item.x for item in page.items if isinstance(item, Circle) and item.y < legend]

    gap = layout_context(chart_of(text), PLAIN).sizes.string * LARGEST
    # Strings 4 and 3 are the third and fourth column from the left; mirrored the fourth and third.
    assert dots(right)[1] - dots(right)[0] == pytest.approx(gap)
    assert dots(left)[1] - dots(left)[0] == pytest.approx(-gap)
    assert sum(dots(left)) == pytest.approx(sum(dots(right)))


@pytest.mark.parametrize(("grids", "expected"), [("each", 3), ("new", 2), ("none", 0)])
def test_where_grids_are_drawn(grids, expected: int) -> None:
    text = "Key: C\n\nA:\n| Dm7 | Dm7 | G7 | Dm7 ||\n"
    context = layout_context(chart_of(text), PageStyle(grids=grids))
    # The second Dm7 is the first struck again; the last is a grid again only under `each`.
    assert sum(context.gridded) == expected


def test_large_print_has_no_small_text_and_does_not_shrink() -> None:
    document = lay_out(chart_of(FERRYMAN), PageStyle(large=True, second_page=True, neck_map="page"))
    assert smallest_text(document) >= LARGE_PT
    symbol = next(text for page in document.pages for text in find(page, "Gø7"))
    assert {span.size for span in symbol.spans} == {symbol.spans[0].size}


def test_analysis_can_be_left_out() -> None:
    with_it = texts(lay_out(chart_of(LANTERNS), PLAIN).pages[0])
    without = texts(lay_out(chart_of(LANTERNS), replace(PLAIN, analysis=False)).pages[0])
    assert "V7" in with_it
    assert "V7" not in without


def test_words_and_signs_of_the_form() -> None:
    page = lay_out(chart_of(FERRYMAN), PLAIN).pages
    words = [text for one in page for text in texts(one)]
    for expected in ("1.", "2.", "To Coda", "D.S. al Coda", "N.C.", "5", "Intro"):
        assert expected in words


def test_numerals_get_true_signs() -> None:
    assert signed("bVII7") == "♭VII7"
    assert signed("subV7/bII") == "subV7/♭II"
    assert signed("#ivo7") == "♯ivo7"
    assert signed("V7#9") == "V7♯9"


def test_key_labels() -> None:
    sheet = chart_of("Key: Bb minor\n\nA:\n| Bbm6 ||\n").sheet
    assert sheet.header.key is not None
    assert key_text(sheet.header.key) == "B♭m"


def test_a_doubtful_reading_has_a_question_mark_in_black() -> None:
    chart = chart_of(LANTERNS)
    readings = chart.analysis.readings
    # The first names its key, the second does not.
    for place, (sure_text, doubtful_text) in enumerate((("F: ii7", "F?: ii7"), ("V7", "V7?"))):
        reading = readings[place]
        assert reading is not None
        sure = replace(reading, runner_up=reading.key, margin=2 * DOUBTFUL_MARGIN)
        doubtful = replace(sure, margin=0.5 * DOUBTFUL_MARGIN)
        for each, text, not_text in (
            (sure, sure_text, doubtful_text), (doubtful, doubtful_text, sure_text)
        ):  # fmt: skip
            changed = (*readings[:place], each, *readings[place + 1 :])
            analysis = replace(chart.analysis, readings=changed)
            page = lay_out(replace(chart, analysis=analysis), PLAIN).pages[0]
            found = min(find(page, text), key=lambda item: (item.y, item.x))
            assert found.grey == 0.0
            others = [(item.x, item.y) for item in find(page, not_text)]
            assert (found.x, found.y) not in others


@pytest.mark.parametrize(("symbol", "marked"), [("C7b9", True), ("C7", False)])
def test_a_symbol_that_says_more_than_its_grip_is_marked_and_explained(symbol, marked) -> None:
    page = lay_out(chart_of(f"Key: C\n\nA:\n| {symbol}<8 x 8 9 x x> | F6 ||\n"), PLAIN).pages[0]
    hollow = [item for item in page.items if isinstance(item, Path) and item.fill == 1.0]
    words = "symbol says more than the grip sounds"
    # One mark behind the symbol and one in the legend.
    assert (len(hollow), words in texts(page)) == ((2, True) if marked else (0, False))
    none = lay_out(chart_of(f"Key: C\n\nA:\n| {symbol}<8 x 8 9 x x> | F6 ||\n"), NO_GRIDS).pages[0]
    assert words not in texts(none)


def test_a_grip_that_is_kept_has_a_sign_that_is_no_tick() -> None:
    page = lay_out(chart_of("Key: C\n\nA:\n| C6 C6 | F6 ||\n"), PLAIN).pages[0]
    lines = [item for item in page.items if isinstance(item, Line)]
    # Neither leans: two level bars under the second C6, and two in the legend.
    assert [line for line in lines if line.x1 != line.x2 and line.y1 != line.y2] == []
    assert "same grip" in texts(page)


def test_lines_without_a_new_grip_are_low() -> None:
    text = (
        "Time: 4/4\n\nA:\n| C6 | F6 | G7 | C6 |\n| F6 | G7 | C6 | C6 |\n| Dm7 | G7 | C6 | C6 ||\n"
    )
    rows = []
    for grids in ("new", "none"):
        context, lines = lines_of(text, PageStyle(grids=grids))  # type: ignore[arg-type]
        rows.append([line.rows.bottom for line in measure_lines(context, lines)])
    # The second line holds no grip that is new: it is as low as a line without grids.
    assert rows[0][1] == rows[1][1]
    assert rows[0][0] > rows[1][0]
    assert rows[0][2] > rows[1][2]


def test_a_sign_over_two_bars_carries_their_number() -> None:
    page = lay_out(chart_of("Key: C\n\nA:\n| C6 | F6 | %% | C6 ||\n"), PLAIN).pages[0]
    (two,) = (text for text in find(page, "2") if text.grey == 0.0 and text.spans[0].size > 10)
    uprights = [item.x1 for item in page.items if isinstance(item, Line) and item.x1 == item.x2]
    line = min(uprights, key=lambda x: abs(x - two.x))
    # It stands left of the bar line between the two bars, beside the sign, for the line is too low
    # for a number above it: no part of it rises above the bar lines.
    sign = 0.58 * two.spans[0].size / 0.6
    assert sign < line - (two.x + two.spans[-1].end) < 2 * sign
    bar_top = min(
        min(item.y1, item.y2)
        for item in page.items
        if isinstance(item, Line) and item.x1 == item.x2 == line
    )
    assert two.y - CAP_HEIGHT * two.spans[0].size > bar_top
    single = lay_out(chart_of("Key: C\n\nA:\n| C6 | % | F6 | C6 ||\n"), PLAIN).pages[0]
    assert [text for text in find(single, "2") if text.spans[0].size > 10 and not text.grey] == []


@pytest.mark.parametrize(("after", "finals"), [("", 1), ("\nA: again\n", 0)])
def test_the_thick_bar_line_stands_where_the_tune_ends(after: str, finals: int) -> None:
    """A section that is played again behind the last written bar has a double bar before it."""
    text = f"Key: C\n\nA:\n| C6 | G7 |\nB:\n| F6 | Fm6 |\n{after}"
    page = lay_out(chart_of(text), PageStyle(grids="none")).pages[0]
    thick = [item for item in page.items if isinstance(item, Rect) and item.w == THICK]
    assert len(thick) == finals
