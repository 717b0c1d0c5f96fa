"""Books: what a PDF library reads back (outline, labels, links) and the indexes against reports.

The reader is pypdf. The tunes are the examples and generated ones.
"""

from __future__ import annotations

import io
from itertools import pairwise
from pathlib import Path

import midneck
import pytest
from midneck.converter.prose.facts import span_text
from midneck.render.book.book import BookOptions, BookTune, book_tune, in_order
from midneck.render.book.book_file import BookFile, book_file_bytes, read_book_file
from midneck.render.book.indexes import area_index, difficulty_index, grip_index, key_index
from midneck.render.book.layout import lay_out_book
from midneck.render.commands.main import run
from midneck.render.options import OptionError
from midneck.render.page import PageStyle
from midneck.render.page.drawing.items import Document, Text
from midneck.render.page.write.pdf import write_pdf
from midneck.render.report import report
from pypdf import PdfReader

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.txt"))
OPTIONS = BookOptions("Term of Lanterns", "R. Calloway-Finch", "Bring a pencil.", "title")


@pytest.fixture(scope="module")
def tunes() -> list[BookTune]:
    made = [book_tune(midneck.chart(path).comping) for path in EXAMPLES]
    assert len(made) == 5
    return in_order(made, "title")


@pytest.fixture(scope="module")
def document(tunes: list[BookTune]) -> Document:
    return lay_out_book(tunes, OPTIONS, PageStyle())


@pytest.fixture(scope="module")
def reader(document: Document) -> PdfReader:
    return PdfReader(io.BytesIO(write_pdf(document)))


def first_pages(document: Document, tunes: list[BookTune]) -> list[int]:
    """For each tune the index of the page that its outline entry leads to."""
    tops = [entry.page for entry in document.outline if entry.level == 0]
    return tops[: len(tunes)]


def test_the_outline_leads_to_each_tune_and_index(reader: PdfReader, tunes: list[BookTune]) -> None:
    tops = [entry for entry in reader.outline if not isinstance(entry, list)]
    assert [entry.title for entry in tops] == [
        *(tune.title for tune in tunes), "Keys", "ii–V–I's and other areas", "Grips",
        "From easy to hard",
    ]  # fmt: skip
    for entry, tune in zip(tops, tunes, strict=False):
        page = reader.get_destination_page_number(entry)
        assert tune.title in reader.pages[page].extract_text()


def test_front_matter_has_roman_labels_and_charts_begin_on_page_1(
    reader: PdfReader, document: Document
) -> None:
    labels = reader.page_labels
    assert document.front == 2
    assert labels[:4] == ["i", "ii", "1", "2"]
    assert labels[-1] == str(len(document.pages) - document.front)


def test_contents_and_indexes_link_to_the_tunes(
    reader: PdfReader, document: Document, tunes: list[BookTune]
) -> None:
    starts = first_pages(document, tunes)
    pages = [page.indirect_reference for page in reader.pages]
    targets = [
        pages.index(list.__getitem__(annotation.get_object()["/Dest"].get_object(), 0))
        for page in reader.pages
        for annotation in page.get("/Annots", [])
    ]
    drawn = [link.page for page in document.pages for link in page.links]
    assert targets == drawn
    assert targets[: len(tunes)] == starts
    assert set(targets) == set(starts)


def test_the_contents_tell_the_pages_that_are_printed(
    document: Document, tunes: list[BookTune]
) -> None:
    rows = [item.string for item in document.pages[1].items if isinstance(item, Text)]
    for tune, start in zip(tunes, first_pages(document, tunes), strict=True):
        folio = str(start - document.front + 1)
        at = rows.index(tune.title)
        assert folio in rows[at : at + 3]
        feet = [item.string for item in document.pages[start].items if isinstance(item, Text)]
        assert folio in feet


def test_a_chart_of_several_pages_never_needs_a_turn_in_the_middle(
    document: Document, tunes: list[BookTune]
) -> None:
    starts = first_pages(document, tunes)
    ends = [*starts[1:], next(e.page for e in document.outline if e.title == "Keys")]
    lengths = [
        sum(bool(page.items) for page in document.pages[start:end])
        for start, end in zip(starts, ends, strict=True)
    ]
    assert max(lengths) == 2
    for start, length in zip(starts, lengths, strict=True):
        assert length < 2 or (start - document.front + 1) % 2 == 0


def test_inner_margins_mirror_and_folios_stand_outside(document: Document) -> None:
    for number, page in enumerate(document.pages[document.front :], 1):
        texts = [item for item in page.items if isinstance(item, Text)]
        folio = next((item for item in reversed(texts) if item.string == str(number)), None)
        assert (folio is None) == (not texts)
        if folio is not None:
            assert (folio.x < page.width / 2) == (number % 2 == 0)


def test_the_same_book_gives_the_same_bytes(tunes: list[BookTune], document: Document) -> None:
    assert write_pdf(lay_out_book(tunes, OPTIONS, PageStyle())) == write_pdf(document)


@pytest.mark.parametrize(
    "style", [PageStyle(large=True), PageStyle(paper="a5"), PageStyle(punch=True)]
)
def test_large_print_small_paper_and_punched_books(style: PageStyle, tunes: list[BookTune]) -> None:
    made = lay_out_book(tunes[:3], OPTIONS, style)
    assert made.front % 2 == 0
    for page in made.pages:
        for item in page.items:
            if isinstance(item, Text):
                assert 0 <= item.x <= page.width
                assert item.x + item.spans[-1].end <= page.width + 0.01
                assert not style.large or min(span.size for span in item.spans) > 10


def test_areas_of_the_index_are_those_of_the_reports(tunes: list[BookTune]) -> None:
    indexed = {
        (section.name, entry.title, entry.bars)
        for section in area_index(tunes)
        for entry in section.entries
    }
    wanted: dict[tuple[str, str], list[str]] = {}
    for tune in tunes:
        for area in report(tune.chart)["areas"]:
            key = area["key"].replace("b ", "♭ ").replace("# ", "♯ ")
            heading = f"{area['kind'].replace('-', '–')} in {key}"
            spans = wanted.setdefault((heading, tune.title), [])
            if (text := ", ".join(map(span_text, area["spans"]))) not in spans:
                spans.append(text)
    assert indexed == {(*place, "; ".join(bars)) for place, bars in wanted.items()}


def test_keys_and_grips_of_the_index_are_those_of_the_reports(tunes: list[BookTune]) -> None:
    keys = {e.title: section.name for section in key_index(tunes) for e in section.entries}
    for tune in tunes:
        name = report(tune.chart)["key"]
        assert keys[tune.title].replace("♭", "b").replace("♯", "#") == name
    grips = {
        (str(entry.chord), entry.grip.frets, found.title)
        for entry in grip_index(tunes)
        for found in entry.entries
    }
    played = {
        (chord["symbol"], tuple(chord["grip"]["frets"]), tune.title)
        for tune in tunes
        for chord in report(tune.chart)["chords"]
        if chord["grip"] is not None
    }
    assert grips == played


def test_orders(tunes: list[BookTune]) -> None:
    titles = [tune.title for tune in in_order(tunes, "title")]
    assert titles.index("Ledger Blues") < titles.index("The Long Platform")
    assert titles.index("The Long Platform") < titles.index("Slate Roofs")
    hard = [tune.difficulty for tune in in_order(tunes, "difficulty")]
    assert all(first <= then for first, then in pairwise(hard))
    figures = [section.name for section in difficulty_index(tunes)]
    assert figures == sorted(figures, key=lambda name: int(name.split()[-1]))


def test_the_front_door(tmp_path: Path) -> None:
    made = midneck.book([*EXAMPLES[:2], midneck.chart(EXAMPLES[2])], title="Three", order="key")
    (path,) = made.save(tmp_path / "three.pdf")
    assert PdfReader(path).metadata.title == "Three"
    assert repr(made) == "<Book 'Three': 3 tunes>"
    with pytest.raises(midneck.MidneckError, match="at least one tune"):
        midneck.book([])
    with pytest.raises(midneck.MidneckError, match="order cannot be 'loud'"):
        midneck.book([EXAMPLES[0]], order="loud")


def test_a_book_file_comes_back(tmp_path: Path) -> None:
    names = [str(tmp_path / "a b.txt"), str(tmp_path / "sub" / "c.txt")]
    path = tmp_path / "book.toml"
    path.write_bytes(book_file_bytes(OPTIONS, names, tmp_path))
    assert read_book_file(path) == BookFile(OPTIONS, tuple(names))


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('tunes = "x"', "tunes is a list of file names"),
        ("tunes = []", "tunes is a list of file names"),
        ('tunes = ["a.txt"]\norder = "loud"', "order cannot be 'loud'; there are: given, title"),
        ('tunes = ["a.txt"]\ncolour = 1', "'colour' is not known; a book file has: title"),
        ('tunes = ["a.txt"]\ntitle = 3', "title is a text"),
        ('tunes = ["a.txt"]\nindexes = "yes"', "indexes is true or false"),
        ("tunes = [", "is not a TOML file"),
    ],
)
def test_mistakes_of_a_book_file(text: str, message: str, tmp_path: Path) -> None:
    path = tmp_path / "book.toml"
    path.write_text(text)
    with pytest.raises(OptionError, match=message.replace("[", r"\[")):
        read_book_file(path)


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out, kept = tmp_path / "term.pdf", tmp_path / "term.toml"
    names = [str(path) for path in EXAMPLES[:2]]
    assert run(["book", *names, "-o", str(out), "--title", "Term", "--keep", str(kept)]) == 0
    assert f"wrote   {out}" in capsys.readouterr().out
    again = tmp_path / "again.pdf"
    assert run(["book", str(kept), "-o", str(again)]) == 0
    assert again.read_bytes() == out.read_bytes()


def test_a_broken_tune_is_told_and_left_out_only_when_asked(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "bad.txt").write_text("| C | Gyx |\n")
    (tmp_path / "good.txt").write_text("Title: Good\n| C | G7 |\n")
    out = tmp_path / "book.pdf"
    assert run(["book", str(tmp_path), "-o", str(out)]) == 2
    errors = capsys.readouterr().err
    assert "bad.txt:1:8: not a quality 'yx'" in errors
    assert "--keep-going" in errors
    assert not out.exists()
    assert run(["book", str(tmp_path), "-o", str(out), "--keep-going"]) == 1
    assert PdfReader(out).outline[0].title == "Good"
