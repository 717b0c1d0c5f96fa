"""The PDF, read back by pypdf and PDFium."""

from __future__ import annotations

import io
import re
import subprocess
import sys
from collections.abc import Iterator

import pypdf
import pypdfium2
import pytest
from midneck.render.page import Document, PageStyle, lay_out, write_pdf
from midneck.render.page.drawing.fonts import spans
from midneck.render.page.drawing.geometry import item_box
from midneck.render.page.drawing.items import Page, Text
from pypdf.generic import ContentStream
from support.charts import FERRYMAN, LANTERNS, chart_of
from support.pages import with_groups

PLAIN = PageStyle()


def read(data: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(data), strict=True)


def fonts_of(page: pypdf.PageObject) -> Iterator[pypdf.generic.DictionaryObject]:
    for font in page["/Resources"]["/Font"].values():
        yield font.get_object()


def read_texts(page: Page) -> list[Text]:
    """The texts of a page that are read as such: numbers in pictures are drawn."""
    return [
        item for item, inside in with_groups(page.items)
        if isinstance(item, Text) and inside[-1].kind not in ("drawing", "decoration")
    ]  # fmt: skip


def test_document_facts() -> None:
    reader = read(write_pdf(lay_out(chart_of(FERRYMAN), PLAIN)))
    assert reader.metadata is not None
    assert reader.metadata.title == "The Ferryman's Long Way Round the Estuary at Low Water"
    assert reader.metadata.author == "Ottoline Brackwater-Hume"
    assert reader.trailer["/Root"]["/Lang"] == "en"
    assert [entry.title for entry in reader.outline] == ["Intro", "A", "B", "C", "Coda"]
    assert all("/Annots" not in page for page in reader.pages)


@pytest.mark.parametrize(("paper", "landscape", "size"), [
    ("a4", False, (595.28, 841.89)), ("a4", True, (841.89, 595.28)),
    ("letter", False, (612, 792)), ("a5", False, (419.53, 595.28)),
])  # fmt: skip
def test_page_boxes(paper, landscape: bool, size: tuple[float, float]) -> None:
    document = lay_out(chart_of(LANTERNS), PageStyle(paper=paper, landscape=landscape))
    for page in read(write_pdf(document)).pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(
            size, abs=0.01
        )


def test_fonts_are_embedded_and_cut_down() -> None:
    page = read(write_pdf(lay_out(chart_of(LANTERNS), PLAIN))).pages[0]
    fonts = list(fonts_of(page))
    assert fonts
    for font in fonts:
        descriptor = font["/FontDescriptor"].get_object()
        # ISO 32000-1, 9.6.4: a subset's name begins with six capitals and a plus sign.
        assert re.fullmatch("/[A-Z]{6}[+].+", font["/BaseFont"])
        assert "/ToUnicode" in font
        assert len(descriptor["/FontFile2"].get_object().get_data()) < 30_000


def test_text_copies_as_chord_symbols() -> None:
    chart = chart_of(LANTERNS)
    data = write_pdf(lay_out(chart, PLAIN))
    by_pypdf = read(data).pages[0].extract_text()
    by_pdfium = pypdfium2.PdfDocument(data)[0].get_textpage().get_text_range()
    for text in (by_pypdf, by_pdfium):
        words = text.replace("\r", "").split()
        for symbol, count in {"G–7": 9, "D7♭9": 3, "B♭6": 2, "Gø7": 1, "D♭–7": 1, "G♭7": 1}.items():
            assert words.count(symbol) == count, symbol


def test_symbols_of_several_sizes_say_their_text() -> None:
    document = lay_out(chart_of(LANTERNS), PLAIN)
    reader = read(write_pdf(document))
    operations = ContentStream(reader.pages[0].get_contents(), reader).operations
    # ISO 32000-1, 14.9.4: ActualText of a marked content stands for what is drawn in it.
    said = [
        operands[1]["/ActualText"] for operands, name in operations
        if name == b"BDC" and operands[0] == "/Span"
    ]  # fmt: skip
    texts = read_texts(document.pages[0])
    assert said == [text.string for text in texts if len(text.spans) > 1]
    assert said.count("D7♭9") == 3


def test_ink_lies_where_pdfium_sees_it() -> None:
    for words in ("Gjm7", "Ærø", "–1"):
        text = Text(30, 60, tuple(spans(words, "FiraGO-Bold", 20)))
        page = pypdfium2.PdfDocument(write_pdf(Document((Page(200, 100, (text,)),), "x")))[0]
        seen = page.get_textpage()
        boxes = [seen.get_charbox(place) for place in range(seen.count_chars())]
        lefts, bottoms, rights, tops = zip(*boxes, strict=True)
        box = item_box(text)
        assert box == pytest.approx(
            (min(lefts), 100 - max(tops), max(rights), 100 - min(bottoms)), abs=0.15
        )


def test_letters_copy_as_words() -> None:
    data = write_pdf(lay_out(chart_of(LANTERNS), PageStyle(symbols="letters")))
    assert "Gm7♭5" in read(data).pages[0].extract_text().split()


@pytest.mark.slow
def test_same_bytes_again_and_in_another_process() -> None:
    first = write_pdf(lay_out(chart_of(LANTERNS), PLAIN))
    write_pdf(lay_out(chart_of(FERRYMAN), PLAIN))
    assert write_pdf(lay_out(chart_of(LANTERNS), PLAIN)) == first
    script = (
        "import sys; from support.charts import LANTERNS, chart_of; "
        "from midneck.render.page import PageStyle, lay_out, write_pdf; "
        "sys.stdout.buffer.write(write_pdf(lay_out(chart_of(LANTERNS), PageStyle())))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        check=True,
        env={"PYTHONPATH": _paths()},
    )
    assert done.stdout == first


def _paths() -> str:
    return ":".join(path for path in sys.path if path)


def test_letters_beyond_latin_are_drawn() -> None:
    lines = tuple(
        Text(20, 30 * place, tuple(spans(words, "FiraGO-Bold", 20)))
        for place, words in enumerate(("Паромщик Ω", "Ferryman"), 1)
    )
    data = write_pdf(Document((Page(200, 100, lines),), "Паромщик"))
    assert read(data).pages[0].extract_text().splitlines() == ["Паромщик Ω", "Ferryman"]
    assert read(data).metadata.title == "Паромщик"


def test_texts_stand_where_the_layout_put_them() -> None:
    document = lay_out(chart_of(LANTERNS), PLAIN)
    page = document.pages[0]
    reader = read(write_pdf(document))
    content = ContentStream(reader.pages[0].get_contents(), reader)
    found = [
        (float(operands[4]), float(operands[5])) for operands, operator in content.operations
        if operator == b"Tm"
    ]  # fmt: skip
    wanted = [
        (item.x + span.dx, page.height - item.y)
        for item in read_texts(page) for span in item.spans
    ]  # fmt: skip
    assert len(found) == len(wanted)
    for ours, theirs in zip(wanted, found, strict=True):
        assert theirs == pytest.approx(ours, abs=0.006)


def test_what_reportlab_is_set_to_stays_as_it_was() -> None:
    from reportlab import rl_config

    before = rl_config.useA85
    write_pdf(lay_out(chart_of(LANTERNS), PLAIN))
    assert rl_config.useA85 == before
