"""SVG: it parses, and says the same as the PDF of the same page."""

from __future__ import annotations

import base64
import io
import re
from dataclasses import replace
from xml.etree import ElementTree

import pypdf
import pytest
from fontTools.ttLib import TTFont
from midneck.grammar.sheet import SheetChord
from midneck.render.page import Document, PageStyle, lay_out, write_pdf, write_svg
from midneck.render.page.drawing.items import CLOSE, Group, Open, Page, Text, shifted
from midneck.render.page.layout import grid_picture, line_picture
from pypdf.generic import ContentStream
from support.charts import FERRYMAN, LANTERNS, chart_of, said_of
from support.svg_drawn import SVG, drawn


def test_page_parses_and_has_the_size_of_the_pdf() -> None:
    document = lay_out(chart_of(LANTERNS), PageStyle(paper="letter"))
    root = ElementTree.fromstring(write_svg(document))
    box = pypdf.PdfReader(io.BytesIO(write_pdf(document))).pages[0].mediabox
    assert root.get("viewBox") == f"0 0 {float(box.width):g} {float(box.height):g}"
    assert root.get("width") == "612pt"
    assert root.findtext(f"{SVG}title") == "Lanterns Going Down"


def test_boxes_and_texts_agree_with_the_pdf() -> None:
    document = lay_out(chart_of(FERRYMAN), PageStyle())
    height = document.pages[0].height
    root = ElementTree.fromstring(write_svg(document))
    reader = pypdf.PdfReader(io.BytesIO(write_pdf(document)))
    operations = ContentStream(reader.pages[0].get_contents(), reader).operations
    rects = [tuple(map(float, ops)) for ops, name in operations if name == b"re"]
    ours = [
        tuple(each.number(key) for key in ("x", "y", "width", "height"))
        for each in drawn(root)
        if each.element.tag == f"{SVG}rect"
    ][1:]  # the first is the paper
    assert len(ours) == len(rects) > 20
    for (x, y, w, h), theirs in zip(ours, rects, strict=True):
        assert theirs == pytest.approx((x, height - y - h, w, h), abs=0.02)
    # Numbers in pictures are outlines of 1000 units to the em (FiraGO's table head), scaled.
    sizes = [
        float(ops[1]) if name == b"Tf" else 1000 * float(ops[0])
        for ops, name in operations
        if name == b"Tf" or (name == b"cm" and ops[0] != 1)
    ]
    kinds = f"{SVG}text", f"{SVG}tspan"
    spans = [each.size for each in drawn(root) if each.element.tag in kinds]
    assert sizes[-len(spans) :] == pytest.approx(spans, abs=0.01)


def test_text_reads_as_symbols() -> None:
    root = ElementTree.fromstring(write_svg(lay_out(chart_of(LANTERNS), PageStyle())))
    words = ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]
    assert words.count("D7♭9") == 3


def test_raised_figures_stand_higher() -> None:
    document = lay_out(chart_of(LANTERNS), PageStyle())
    root = ElementTree.fromstring(write_svg(document))
    text = next(text for text in root.iter(f"{SVG}text") if "".join(text.itertext()) == "G–7")
    spans = [(each.number("y"), each.size) for each in drawn(text)]
    # The seven is 0.72 of the root and ends as high: 0.69 · 0.28 of the root's size above it.
    assert spans[0][0] - spans[-1][0] == pytest.approx(0.69 * 0.28 * spans[0][1], abs=0.02)
    assert spans[-1][1] == pytest.approx(0.72 * spans[0][1], abs=0.01)


def test_embedded_fonts_hold_what_is_used() -> None:
    document = lay_out(chart_of(LANTERNS), PageStyle())
    style = ElementTree.fromstring(write_svg(document)).findtext(f"{SVG}style")
    assert style is not None
    rules = re.findall(r'font-family:"([^"]+)";src:url\(data:font/ttf;base64,([^)]+)\)', style)
    assert {name for name, _ in rules} == {
        "FiraGO-Regular", "FiraGO-Bold", "MidneckSigns", "MidneckSigns-Bold",
    }  # fmt: skip
    for name, data in rules:
        with TTFont(io.BytesIO(base64.b64decode(data))) as font:
            has = {chr(code) for code in font.getBestCmap()}
        used = {
            char for item in document.pages[0].items if isinstance(item, Text)
            for span in item.spans if span.face == name for char in span.text
        }  # fmt: skip
        assert has == used


def test_second_page_and_a_page_that_is_not_there() -> None:
    document = lay_out(chart_of(LANTERNS), PageStyle(second_page=True))
    assert "The grips of this tune" in write_svg(document, 1)
    with pytest.raises(IndexError):
        write_svg(document, 2)


def test_picture_of_one_grid() -> None:
    chart = chart_of(LANTERNS)
    written: SheetChord = chart.sheet.chords[0]
    grip = chart.plan.grips[0]
    assert written.chord is not None
    assert grip is not None
    root = ElementTree.fromstring(write_svg(grid_picture(written.chord, grip)))
    words = ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]
    assert words[0] == "G–7"
    assert root.findtext(f"{SVG}title") == "Fret grid of Gm7"
    fingers = [str(f) for f, fret in zip(grip.fingers, grip.frets, strict=True) if fret]
    assert [word for word in words[1:] if word in "1234"][-len(fingers) :] == fingers


def test_picture_of_one_line() -> None:
    root = ElementTree.fromstring(write_svg(line_picture(chart_of(LANTERNS), 1)))
    words = ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]
    assert [word for word in words if word in ("G–7", "C7", "F6", "D7")] == [
        "G–7", "C7", "F6", "D7", "G–7", "C7",
    ]  # fmt: skip
    with pytest.raises(IndexError):
        line_picture(chart_of(LANTERNS), 8)


def groups(root: ElementTree.Element, kind: str) -> list[ElementTree.Element]:
    return [group for group in root.iter(f"{SVG}g") if group.get("class") == kind]


def test_bars_and_chords_are_groups_with_words_and_ids() -> None:
    chart = chart_of(FERRYMAN)
    pages = lay_out(chart, PageStyle()).pages
    roots = [
        ElementTree.fromstring(write_svg(lay_out(chart, PageStyle()), number))
        for number in range(len(pages))
    ]
    chords = [chord for root in roots for chord in groups(root, "chord")]
    count = len(chart.sheet.chords)
    assert [chord.get("data-chord") for chord in chords] == [str(n) for n in range(count)]
    assert [chord.get("id") for chord in chords] == [f"chord-{n}" for n in range(count)]
    assert [chord.findtext(f"{SVG}title") for chord in chords] == [
        said_of(chart, index) for index in range(count)
    ]
    numbers = [str(bar.number) for bar in chart.sheet.bars for _ in bar.chords]
    assert [chord.get("data-bar") for chord in chords] == numbers
    for root in roots:
        for bar in groups(root, "bar"):
            title = bar.findtext(f"{SVG}title") or ""
            assert title.split(",")[0] == f"Bar {bar.get('data-bar')}"
            inside = [chord.get("data-bar") for chord in groups(bar, "chord")]
            assert set(inside) <= {bar.get("data-bar")}


def test_a_line_of_the_chart_is_a_group_with_heights_from_its_top() -> None:
    """What moves a line down the page leaves all that is in it as it was."""
    document = lay_out(chart_of(FERRYMAN), PageStyle())
    root = ElementTree.fromstring(write_svg(document))
    lines = [each for each in drawn(root) if each.element.get("class") == "line"]
    tops = [item.top for item in document.pages[0].items if isinstance(item, Open) and item.top]
    assert [each.dy for each in lines] == pytest.approx(tops, abs=0.005)
    assert len(lines) == len(groups(root, "line")) > 3
    bars = [len(groups(each.element, "bar")) for each in lines]
    assert sum(bars) == len(groups(root, "bar"))
    page = document.pages[0]
    moved = replace(page, parts=tuple(shifted(item, 0.0, 7.0) for item in page.parts))
    lower = ElementTree.fromstring(write_svg(replace(document, pages=(moved,))))
    for one, other in zip(groups(root, "line"), groups(lower, "line"), strict=True):
        assert one.get("transform") != other.get("transform")
        assert [ElementTree.tostring(each) for each in one] == [
            ElementTree.tostring(each) for each in other
        ]


@pytest.mark.parametrize("style", [PageStyle(), PageStyle(second_page=True, large=True)])
def test_ids_are_there_once(style: PageStyle) -> None:
    document = lay_out(chart_of(FERRYMAN), style)
    for page in range(len(document.pages)):
        root = ElementTree.fromstring(write_svg(document, page))
        ids = [element.get("id") for element in root.iter() if element.get("id")]
        assert len(ids) == len(set(ids))


def test_an_id_that_is_wanted_again_gets_a_number() -> None:
    bar = Group("bar", 7)
    page = Page(50, 50, (Open(bar), CLOSE, Open(bar), CLOSE, Open(Group("bar", 8)), CLOSE))
    root = ElementTree.fromstring(write_svg(Document((page,), "x")))
    assert [group.get("id") for group in groups(root, "bar")] == ["bar-7", "bar-7-2", "bar-8"]


def test_numbers_of_grids_and_maps_are_hidden_from_readers_and_not_selected() -> None:
    root = ElementTree.fromstring(write_svg(lay_out(chart_of(LANTERNS), PageStyle())))
    pictures = [*groups(root, "drawing"), *groups(root, "decoration")]
    for picture in pictures:
        assert picture.get("aria-hidden") == "true"
        assert "user-select:none" in (picture.get("style") or "")
    numbers = {text for picture in pictures for text in picture.iter(f"{SVG}text")}
    chords = [text for chord in groups(root, "chord") for text in chord.iter(f"{SVG}text")]
    left = ["".join(text.itertext()) for text in chords if text not in numbers]
    assert numbers
    assert not [words for words in left if words.isdigit()]


def test_the_arrow_of_a_substitute_is_dashed() -> None:
    chart = chart_of("Key: C\n\nA:\n| Dm7 | Db7 | Cmaj7 | % ||\n")
    page = ElementTree.fromstring(write_svg(lay_out(chart, PageStyle())))
    dashes = {item.get("stroke-dasharray") for item in page.iter() if item.get("stroke-dasharray")}
    assert dashes == {"2.4 1.6"}
