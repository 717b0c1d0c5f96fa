"""SVG: it parses, and says the same as the PDF of the same page."""

from __future__ import annotations

import base64
import io
import re
from xml.etree import ElementTree

import pypdf
import pytest
from fontTools.ttLib import TTFont
from midneck.grammar.sheet import SheetChord
from midneck.render.page import PageStyle, lay_out, write_pdf
from midneck.render.page.drawing.items import Text
from midneck.render.page.pictures import grid_svg, line_svg
from midneck.render.page.write.svg import write_svg
from pypdf.generic import ContentStream
from support.charts import FERRYMAN, LANTERNS, chart_of

SVG = "{http://www.w3.org/2000/svg}"


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
        tuple(float(rect.get(key, "0")) for key in ("x", "y", "width", "height"))
        for rect in root.iter(f"{SVG}rect")
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
    spans = [float(span.get("font-size", "0")) for span in root.iter(f"{SVG}tspan")]
    assert sizes[-len(spans) :] == pytest.approx(spans, abs=0.01)


def test_text_reads_as_symbols() -> None:
    root = ElementTree.fromstring(write_svg(lay_out(chart_of(LANTERNS), PageStyle())))
    words = ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]
    assert words.count("D7♭9") == 3


def test_raised_figures_stand_higher() -> None:
    document = lay_out(chart_of(LANTERNS), PageStyle())
    root = ElementTree.fromstring(write_svg(document))
    text = next(text for text in root.iter(f"{SVG}text") if "".join(text.itertext()) == "G–7")
    spans = [(float(span.get("y", "0")), float(span.get("font-size", "0"))) for span in text]
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
    root = ElementTree.fromstring(grid_svg(written.chord, grip))
    words = ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]
    assert words[0] == "G–7"
    assert root.findtext(f"{SVG}title") == "Fret grid of Gm7"
    fingers = [str(f) for f, fret in zip(grip.fingers, grip.frets, strict=True) if fret]
    assert [word for word in words[1:] if word in "1234"][-len(fingers) :] == fingers


def test_picture_of_one_line() -> None:
    root = ElementTree.fromstring(line_svg(chart_of(LANTERNS), 1))
    words = ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]
    assert [word for word in words if word in ("G–7", "C7", "F6", "D7")] == [
        "G–7", "C7", "F6", "D7", "G–7", "C7",
    ]  # fmt: skip
    with pytest.raises(IndexError):
        line_svg(chart_of(LANTERNS), 8)
