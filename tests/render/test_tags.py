"""The tags of a PDF, read back by pypdf, against what a program can judge of ISO 14289-1:2014.

Clauses are named beside the checks. What only a person can judge (whether words fit a picture) and
the flag that claims conformance are left out.
"""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import pypdf
import pypdfium2
import pytest
from midneck.render.page import Document, PageStyle, lay_out, lay_out_drill, write_pdf
from midneck.render.page.drawing.fonts import spans
from midneck.render.page.drawing.items import (
    CLOSE,
    DECORATION_GROUP,
    DRAWING_GROUP,
    Circle,
    Group,
    Open,
    Page,
    Rect,
    Text,
    grouped,
)
from midneck.render.page.drawing.signs import set_symbol
from pypdf.generic import ContentStream, DictionaryObject, IndirectObject
from support.charts import FERRYMAN, LANTERNS, chart_of, example_texts, said_of
from support.drills import drill

#: ISO 32000-1, 14.8.4: the standard structure types that are used here.
STANDARD = {"/Document", "/Sect", "/Div", "/P", "/H1", "/H2", "/Figure"}
#: The operators that show text, paint paths, or draw an object (ISO 32000-1, annex A).
PAINTING = {
    b"Tj", b"TJ", b"'", b'"', b"S", b"s", b"f", b"F", b"f*", b"B", b"B*", b"b", b"b*", b"Do",
    b"sh", b"EI",
}  # fmt: skip

CHARTS = {
    "lanterns": lay_out(chart_of(LANTERNS), PageStyle()),
    "lanterns, second page": lay_out(chart_of(LANTERNS), PageStyle(second_page=True, large=True)),
    "ferryman": lay_out(chart_of(FERRYMAN), PageStyle(paper="a5", neck_map="page")),
    "ferryman, large": lay_out(chart_of(FERRYMAN), PageStyle(large=True)),
    **{name: lay_out(chart_of(text), PageStyle()) for name, text in example_texts().items()},
    "drill": lay_out_drill(drill("ii-V-I"), PageStyle()),
}
every_document = pytest.mark.parametrize("document", CHARTS.values(), ids=CHARTS)


def read(document: Document) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(write_pdf(document)), strict=True)


def operations(reader: pypdf.PdfReader, page: pypdf.PageObject) -> list[tuple[Any, bytes]]:
    return ContentStream(page.get_contents(), reader).operations


def elements(reader: pypdf.PdfReader) -> Iterator[tuple[IndirectObject, DictionaryObject]]:
    """The elements of the tree in the order of reading, each with its reference."""
    todo = [reader.root_object["/StructTreeRoot"].raw_get("/K")]
    while todo:
        reference = todo.pop()
        element = reference.get_object()
        yield reference, element
        kids = element["/K"]
        todo += [kid for kid in reversed(kids) if isinstance(kid, IndirectObject)]


def contents(element: DictionaryObject) -> Iterator[tuple[Any, int]]:
    """The pieces of content of an element: page and marked-content identifier."""
    for kid in element["/K"]:
        if isinstance(kid, int):
            yield element.raw_get("/Pg").idnum, int(kid)
        elif not isinstance(kid, IndirectObject):
            yield kid.raw_get("/Pg").idnum, int(kid["/MCID"])


@every_document
def test_all_content_is_tagged_or_an_artifact_and_never_both(document: Document) -> None:
    """7.1, first and second paragraph."""
    reader = read(document)
    for page in reader.pages:
        inside: list[str] = []
        painted = 0
        for operands, name in operations(reader, page):
            if name in (b"BDC", b"BMC"):
                marks = operands[1] if name == b"BDC" else {}
                kind = "artifact" if operands[0] == "/Artifact" else ""
                inside.append("tagged" if "/MCID" in marks else kind)
            elif name == b"EMC":
                inside.pop()
            elif name in PAINTING:
                painted += 1
                assert [kind for kind in inside if kind] in (["tagged"], ["artifact"])
        assert painted
        assert not inside


@every_document
def test_tree_and_parent_tree_hold_each_piece_of_content_once(document: Document) -> None:
    """ISO 32000-1, 14.7.4.4, and 7.1 (a logical structure)."""
    reader = read(document)
    found = Counter(place for _, element in elements(reader) for place in contents(element))
    drawn = Counter(
        (page.indirect_reference.idnum, int(operands[1]["/MCID"]))
        for page in reader.pages for operands, name in operations(reader, page)
        if name == b"BDC" and "/MCID" in operands[1]
    )  # fmt: skip
    assert found == drawn
    assert set(found.values()) == {1}
    home = {place: ref.idnum for ref, one in elements(reader) for place in contents(one)}
    numbers = reader.root_object["/StructTreeRoot"]["/ParentTree"]["/Nums"]
    parents = dict(zip(numbers[::2], numbers[1::2], strict=True))
    assert len(parents) == len(reader.pages)
    for page in reader.pages:
        listed = parents[page["/StructParents"]].get_object()
        number = page.indirect_reference.idnum
        assert [one.idnum for one in listed] == [
            home[number, mcid] for mcid in range(len(listed))
        ]  # fmt: skip
        assert len(listed) == sum(place[0] == number for place in found)


@every_document
def test_elements_know_their_parent_and_have_standard_types(document: Document) -> None:
    """7.1, role mapping; ISO 32000-1, 14.7.2."""
    reader = read(document)
    root = reader.root_object["/StructTreeRoot"]
    mapped = root["/RoleMap"]
    assert set(mapped.values()) <= STANDARD
    assert not set(mapped) & STANDARD
    parent = {root.raw_get("/K").idnum: reader.root_object.raw_get("/StructTreeRoot").idnum}
    for reference, element in elements(reader):
        assert mapped.get(element["/S"], element["/S"]) in STANDARD
        assert element.raw_get("/P").idnum == parent[reference.idnum]
        for kid in element["/K"]:
            if isinstance(kid, IndirectObject):
                parent[kid.idnum] = reference.idnum


@every_document
def test_every_figure_has_words_and_a_place_on_its_page(document: Document) -> None:
    """7.3, alternative text; ISO 32000-1, 14.8.5.4.3, BBox."""
    reader = read(document)
    pages = {page.indirect_reference.idnum: page for page in reader.pages}
    figures = [element for _, element in elements(reader) if element["/S"] == "/Figure"]
    assert figures
    for figure in figures:
        assert figure["/Alt"].strip()
        assert figure["/A"]["/O"] == "/Layout"
        left, bottom, right, top = map(float, figure["/A"]["/BBox"])
        box = pages[figure.raw_get("/Pg").idnum].mediabox
        assert 0 < left < right < float(box.width)
        assert 0 < bottom < top < float(box.height)


@every_document
def test_headings_begin_at_level_1_and_skip_none(document: Document) -> None:
    """7.4.2."""
    levels = [int(one["/S"][2:]) for _, one in elements(read(document)) if one["/S"][1] == "H"]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


@every_document
def test_document_says_that_it_is_tagged_its_language_and_title(document: Document) -> None:
    """6.2, 7.1 (title, DisplayDocTitle, Suspects), 7.2 (language), 7.18.3 (tab order)."""
    data = write_pdf(document)
    root = read(document).root_object
    assert data.startswith(b"%PDF-1.7\n")
    assert root["/MarkInfo"] == {"/Marked": True}
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"].value is True
    xmp = pypdf.xmp.XmpInformation(root["/Metadata"].get_object())
    assert xmp.dc_title == {"x-default": document.title}
    assert xmp.dc_creator == ([document.author] if document.author else [])
    assert xmp.dc_language == ["en"]
    # Nothing claims conformance to PDF/UA.
    assert b"pdfuaid" not in data
    assert all(page["/Tabs"] == "/S" for page in read(document).pages)


def test_chords_are_read_in_the_order_of_the_music_each_in_its_bar() -> None:
    chart = chart_of(FERRYMAN)
    reader = read(lay_out(chart, PageStyle()))
    wanted = [said_of(chart, index) for index in range(len(chart.sheet.chords))]
    bar, said = "", []
    for _, element in elements(reader):
        if element["/S"] == "/Bar":
            bar = element["/T"]
        elif element["/S"] == "/Figure" and "beat" in element["/Alt"]:
            said.append((bar, element["/Alt"]))
    numbers = [f"Bar {bar.number}" for bar in chart.sheet.bars for _ in bar.chords]
    assert said == list(zip(numbers, wanted, strict=True))


@pytest.mark.parametrize("reader", ["pypdf", "pdfium"])
def test_extracted_text_holds_the_symbols_in_order_and_no_numbers_of_grids(reader: str) -> None:
    chart = chart_of(LANTERNS)
    data = write_pdf(lay_out(chart, PageStyle(symbols="letters", analysis=False)))
    if reader == "pypdf":
        text = pypdf.PdfReader(io.BytesIO(data)).pages[0].extract_text()
    else:
        text = pypdfium2.PdfDocument(data)[0].get_textpage().get_text_range()
    symbols = [
        set_symbol(written.chord, 20.0, "letters").at(0.0, 0.0).string
        for written in chart.sheet.chords if written.chord is not None
    ]  # fmt: skip
    words = text.split()
    assert [word for word in words if word in set(symbols)] == symbols
    start, end = words.index(symbols[0]), len(words) - words[::-1].index(symbols[-1])
    labels = {section.label for section in chart.sheet.sections}
    assert set(words[start:end]) <= {*symbols, *labels}


def test_numbers_in_pictures_are_drawn_where_their_text_would_stand() -> None:
    def ink(group: Group) -> Any:
        words = Text(30, 60, tuple(spans("10 3+", "FiraGO-Bold", 40)))
        page = Page(200, 100, tuple(grouped(group, [words])))
        image = pypdfium2.PdfDocument(write_pdf(Document((page,), "x")))[0].render(scale=4)
        return image.to_numpy().astype(int)

    as_text, as_picture = ink(Group("text")), ink(DECORATION_GROUP)
    # The edges of letters are smoothed in two ways; nothing else may differ.
    assert (abs(as_text - as_picture) > 128).mean() < 0.0005
    assert (as_picture < 128).mean() > 0.01


def test_empty_groups_leave_no_element() -> None:
    chord = Group("chord", 1, 0, "C6")
    page = Page(99, 99, (
        Open(Group("section")), CLOSE, Open(Group("bar", 1)), Open(chord), Open(DRAWING_GROUP),
        Circle(9, 9, 3), CLOSE, CLOSE, CLOSE, Open(Group("bar", 2)), CLOSE, Rect(20, 20, 5, 5),
    ))  # fmt: skip
    kinds = [element["/S"] for _, element in elements(read(Document((page,), "x")))]
    assert kinds == ["/Document", "/Sect", "/Bar", "/Figure"]
