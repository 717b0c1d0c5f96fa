"""How a chart fills its pages: sizes, sections, phrases and paper."""

from __future__ import annotations

import itertools

import pytest
from midneck.render.page import PageStyle, lay_out
from midneck.render.page.body import Body, pages_of
from midneck.render.page.drawing.geometry import item_box
from midneck.render.page.drawing.items import Page
from midneck.render.page.drawing.style import REGULAR_METRICS
from midneck.render.page.head_foot import needs_caution
from midneck.render.page.layout import frames_of
from support.charts import TUNES, body_of, chart_of
from support.pages import overlaps, struck_through
from support.tunes import tune_text

PAGES = [
    PageStyle(paper=paper, landscape=landscape)
    for paper in ("a4", "letter", "a5")
    for landscape in (False, True)
]  # fmt: skip


def phrases_cut(body: Body) -> list[int]:
    """The bars (by index) that begin a line in the middle of a phrase of a section of whole ones.

    Only sections of plain bars are looked at: 4, 8, 12 … of them with no repeat and no ending.
    """
    sheet = body.context.chart.sheet
    found = []
    for section in sheet.sections:
        bars = sheet.bars[section.first : section.first + section.count]
        odd = any(bar.repeat_open or bar.endings or bar.pickup or bar.rest_bars for bar in bars)
        inner = any(bar.double_bar or bar.repeat_close for bar in bars[:-1])
        if odd or inner or section.count % 4:
            continue
        places = range(section.first, section.first + section.count)
        found += [
            line.line.pieces[0].bar
            for line in body.lines
            if line.line.pieces
            and line.line.pieces[0].bar in places
            and (line.line.pieces[0].bar - section.first) % 4
        ]
    return found


def lone(body: Body) -> list[int]:
    """The sections of several lines whose last line has one bar where the others have more."""
    found = []
    for number in range(len(body.context.chart.sheet.sections)):
        counts = [
            len(line.line.pieces)
            for line in body.lines
            if line.line.section == number and line.line.left == 0.0
        ]
        if len(counts) > 1 and counts[-1] == 1 and max(counts) > 2:
            found.append(number)
    return found


@pytest.mark.slow
@pytest.mark.parametrize("style", PAGES, ids=lambda style: f"{style.paper}-{style.landscape}")
def test_lines_of_60_tunes(style: PageStyle) -> None:
    for seed in range(60):
        body = body_of(tune_text(seed), style)
        assert lone(body) == [], seed
        for line in body.lines:
            pieces = line.line.pieces
            assert line.line.right <= body.context.music_width + 0.01
            for piece, after in itertools.pairwise(pieces):
                assert after.x == pytest.approx(piece.x + piece.width)
                assert piece.width >= piece.least - 0.01
        if style.paper != "a5":
            assert phrases_cut(body) == [], seed


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 6, 7, 8, 12])
def test_lines_hold_what_was_asked_for_at_most(count: int) -> None:
    for name, text in sorted(TUNES.items()):
        body = body_of(text, PageStyle(bars_per_line=count))
        bars = body.context.chart.sheet.bars
        for line in body.lines:
            full = {piece.bar for piece in line.line.pieces if not bars[piece.bar].pickup}
            assert len(full) <= count, name


def lowest(page: Page, above: float) -> float:
    """The lowest point of all items over a height."""
    boxes = (item_box(item) for item in page.items)
    return max(box[3] for box in boxes if box is not None and box[3] < above)


@pytest.mark.parametrize("style", PAGES, ids=lambda style: f"{style.paper}-{style.landscape}")
@pytest.mark.parametrize("name", ["lanterns", "harbour_at_six", "the_long_platform"])
def test_a_song_fills_its_pages(name: str, style: PageStyle) -> None:
    document = lay_out(chart_of(TUNES[name]), style)
    frames = frames_of(chart_of(TUNES[name]), style, caution=True)
    for number, page in enumerate(document.pages):
        frame = frames.later if number else frames.first
        used = lowest(page, frame.bottom + 0.1) - frame.top
        # No blank third under a page; the last of several may end a little higher.
        last = 0 < number == len(document.pages) - 1
        assert used > frame.room * (0.6 if last else 2 / 3), number


def test_sizes_grow_until_a_page_is_full_or_a_phrase_would_be_cut() -> None:
    plain = REGULAR_METRICS.symbol
    short = body_of("Key: C\n\nA:\n| C | F | G7 | C ||\n", PageStyle())
    assert short.context.sizes.symbol == pytest.approx(1.5 * plain)
    crowded = body_of("Key: C\n\nA:\n| C F | F Dm | G7 Am7 | C Dm ||\n", PageStyle())
    assert [len(line.line.pieces) for line in crowded.lines] == [4]
    assert crowded.context.sizes.symbol < 1.5 * plain


def test_sections_are_whole_where_pages_can_hold_them() -> None:
    section = "| Gm7 | C7 | F6 | D7b9 | Gm7 | C7 | F6 D7 | Gm7 C7 ||\n"
    text = "Key: F\n\n" + "".join(f"{name}:\n{section}\n" for name in "ABCDEFGH")
    style = PageStyle()
    body = body_of(text, style)
    pages = pages_of(body, frames_of(chart_of(text), style, caution=True))
    assert len(pages) > 1
    assert all(body.lines[start].line.begins for start, _ in pages)


def two_chords_a_bar(split: str) -> str:
    """32 bars of two chords each, in sections of eight; `split` parts the chords of odd bars."""
    bars = [f"Gm7{split} C7", "F6 D7", f"Cm7{split} F7", "Bb6 G7"] * 2
    return "Key: F\n\n" + "".join(f"{name}:\n| {' | '.join(bars)} ||\n" for name in "ABCD")


def test_32_bars_of_two_chords_fit_one_page_at_the_floors() -> None:
    document = lay_out(chart_of(two_chords_a_bar("")), PageStyle())
    assert len(document.pages) == 1
    body = body_of(two_chords_a_bar(""), PageStyle())
    assert (body.context.sizes.symbol, body.tight) == (20.0, True)
    assert [overlaps(page) for page in document.pages] == [[]]
    assert [struck_through(page) for page in document.pages] == [[]]


def test_32_bars_with_ticks_are_higher_than_one_page() -> None:
    """Eight lines with a row of ticks, without any gap, do not fit: the page turns."""
    text = two_chords_a_bar(" / /")
    body = body_of(text, PageStyle())
    chart = chart_of(text)
    room = frames_of(chart, PageStyle(), needs_caution(chart, PageStyle())).first.room
    assert len(body.lines) == 8
    assert sum(line.height for line in body.lines) > room
    assert len(lay_out(chart, PageStyle()).pages) == 2


def test_both_halves_of_a_cut_phrase_are_as_wide_as_the_page() -> None:
    """A short last line is narrow only under a line of more bars: 4, 2, 2 but not 4, 2."""
    full = "| Gm7 Bbm7 | C7 Eb7 | F6 D7alt | Gm7 C7alt |\n"
    crowded = "| Fm7 Bb7b9 | Ebmaj7 Ab7#11 | Dm7b5 G7alt | Cm7 / F7sus4 F7b9 |\n"
    body = body_of(f"Key: F\n\nA:\n{full}{crowded}", PageStyle())
    assert [len(line.line.pieces) for line in body.lines] == [4, 2, 2]
    width = body.context.music_width
    assert [line.line.right for line in body.lines] == pytest.approx([width] * 3)
    body = body_of(f"Key: F\n\nA:\n{full}| Gm7 | C7 |\n", PageStyle())
    assert [len(line.line.pieces) for line in body.lines] == [4, 2]
    assert body.lines[1].line.right < 0.76 * width
