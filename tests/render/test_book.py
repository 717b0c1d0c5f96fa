"""Books: what a PDF library reads back (outline, labels, links) and the indexes against reports.

The reader is pypdf. The tunes are the examples and generated ones.
"""

from __future__ import annotations

import io
from itertools import pairwise, takewhile
from pathlib import Path

import midneck
import pytest
from midneck.converter.chart import CompingChart
from midneck.converter.drill.tune import cadences_of
from midneck.converter.prose.facts import span_text
from midneck.render.book.book import BookOptions, BookTune, book_tune, in_order
from midneck.render.book.book_file import BookFile, book_file_bytes, read_book_file
from midneck.render.book.indexes import area_index, difficulty_index, grip_index, key_index
from midneck.render.book.layout import IN_PLACE, ROUND_THE_KEYS, lay_out_book
from midneck.render.book.part import book_part
from midneck.render.commands.main import run
from midneck.render.options import OptionError
from midneck.render.page import PageStyle
from midneck.render.page.drawing.items import Document, OutlineEntry, Text
from midneck.render.page.write.pdf import write_pdf
from midneck.render.page.write.pdf_fonts import letters_beyond_latin
from midneck.render.report import report
from pypdf import PdfReader

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.txt"))
OPTIONS = BookOptions("Term of Lanterns", "R. Calloway-Finch", "Bring a pencil.", "title")


@pytest.fixture(scope="module")
def charts() -> list[CompingChart]:
    made = [midneck.chart(path).comping for path in EXAMPLES]
    assert len(made) == 5
    return in_order(made, book_tune, "title")


@pytest.fixture(scope="module")
def tunes(charts: list[CompingChart]) -> list[BookTune]:
    return [book_tune(chart) for chart in charts]


def bound(charts: list[CompingChart], style: PageStyle, drills: bool = False) -> Document:
    """The book of charts in a style."""
    return lay_out_book([book_part(chart, style, drills) for chart in charts], OPTIONS, style)


@pytest.fixture(scope="module")
def document(charts: list[CompingChart]) -> Document:
    return bound(charts, PageStyle())


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
    indexes = [entry.page for entry in document.outline if entry.level == 0][len(tunes) :]
    assert targets[len(tunes) : len(tunes) + 4] == indexes
    assert set(targets) == {*starts, *indexes}


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


def test_the_same_book_gives_the_same_bytes(charts: list[CompingChart], document: Document) -> None:
    assert write_pdf(bound(charts, PageStyle())) == write_pdf(document)


@pytest.mark.parametrize(
    "style", [PageStyle(large=True), PageStyle(paper="a5"), PageStyle(punch=True)]
)
def test_large_print_small_paper_and_punched_books(
    style: PageStyle, charts: list[CompingChart]
) -> None:
    made = bound(charts[:3], style)
    assert made.front % 2 == 0
    for page in made.pages:
        for item in page.items:
            if isinstance(item, Text):
                assert 0 <= item.x <= page.width
                assert item.x + item.spans[-1].end <= page.width + 0.01
                assert not style.large or min(span.size for span in item.spans) > 10


@pytest.fixture(scope="module")
def drilled(charts: list[CompingChart]) -> Document:
    """The book of three examples with their drills."""
    return bound(charts[1:4], PageStyle(), drills=True)


def text_of(document: Document, page: int) -> str:
    items = document.pages[page].items
    return " ".join(item.string for item in items if isinstance(item, Text))


def test_drills_follow_the_charts_shared_ones_once(
    drilled: Document, document: Document, charts: list[CompingChart]
) -> None:
    parts = [entry.title for entry in drilled.outline if entry.level == 0]
    assert parts[3:5] == [ROUND_THE_KEYS, IN_PLACE]
    assert ROUND_THE_KEYS not in [entry.title for entry in document.outline]
    shared = children(drilled, ROUND_THE_KEYS)
    assert len({entry.title for entry in shared}) == len(shared)
    wanted = {group.name for chart in charts[1:4] for group in cadences_of(chart)}
    assert {entry.title.partition(", ")[0] for entry in shared} == wanted
    assert len(wanted) < sum(len(cadences_of(chart)) for chart in charts[1:4])
    own = [entry.title for entry in children(drilled, IN_PLACE)]
    assert own == [f"Practice sheet: {chart.sheet.header.title}" for chart in charts[1:4]]


@pytest.mark.parametrize(("count", "more"), [(6, "T6 (p. 6)"), (7, "1 more tune")])
def test_a_shared_drill_counts_the_tunes_that_it_does_not_name(count: int, more: str) -> None:
    texts = [f"Title: T{at}\nKey: C\n\n| Dm7 | G7 | C6 | % |\n" for at in range(1, count + 1)]
    document = bound([midneck.chart(text).comping for text in texts], PageStyle(), drills=True)
    [shared] = children(document, ROUND_THE_KEYS)
    assert f"T5 (p. 5){',' if count > 6 else ' and'} " in text_of(document, shared.page)
    assert f" and {more}." in text_of(document, shared.page)


def children(document: Document, name: str) -> list[OutlineEntry]:
    """The entries of the outline right below the entry of a name."""
    at = next(place for place, entry in enumerate(document.outline) if entry.title == name)
    rest = takewhile(lambda entry: entry.level > 0, document.outline[at + 1 :])
    return [entry for entry in rest if entry.level == 1]


def test_a_shared_drill_names_its_tunes_with_their_pages_and_the_caution(
    drilled: Document, tunes: list[BookTune]
) -> None:
    starts = {entry.title: entry.page for entry in drilled.outline if entry.level == 0}
    first = children(drilled, ROUND_THE_KEYS)[0]
    told = text_of(drilled, first.page)
    named = [tune.title for tune in tunes[1:4] if f"{tune.title} (p. " in told]
    assert len(named) > 1
    for title in named:
        assert f"{title} (p. {starts[title] - drilled.front + 1})" in told
    for entry in (*children(drilled, ROUND_THE_KEYS), *children(drilled, IN_PLACE)):
        words = " ".join(text_of(drilled, entry.page).split())
        assert "at once when anything hurts or goes numb" in words
        assert str(entry.page - drilled.front + 1) in words.split()


def test_titles_of_other_scripts_are_found_without_reading_the_pages() -> None:
    made = midneck.book(["Title: Фонарь\n| Dm7 | G7 |\n"], title="Ήχος").document(PageStyle())
    assert made.letters == letters_beyond_latin(made.pages)
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(write_pdf(made))).pages)
    # Title, contents, and the indexes of keys and grips.
    assert text.count("Фонарь") >= 4
    assert "Ήχος" in text


def test_areas_of_the_index_are_those_of_the_reports(
    charts: list[CompingChart], tunes: list[BookTune]
) -> None:
    indexed = {
        (section.name, entry.title, entry.bars)
        for section in area_index(tunes)
        for entry in section.entries
    }
    wanted: dict[tuple[str, str], list[str]] = {}
    for chart, tune in zip(charts, tunes, strict=True):
        for area in report(chart)["areas"]:
            key = area["key"].replace("b ", "♭ ").replace("# ", "♯ ")
            heading = f"{area['kind'].replace('-', '–')} in {key}"
            spans = wanted.setdefault((heading, tune.title), [])
            if (text := ", ".join(map(span_text, area["spans"]))) not in spans:
                spans.append(text)
    assert indexed == {(*place, "; ".join(bars)) for place, bars in wanted.items()}


def test_keys_and_grips_of_the_index_are_those_of_the_reports(
    charts: list[CompingChart], tunes: list[BookTune]
) -> None:
    keys = {e.title: section.name for section in key_index(tunes) for e in section.entries}
    reports = [report(chart) for chart in charts]
    for tune, name in zip(tunes, (data["key"] for data in reports), strict=True):
        assert keys[tune.title].replace("♭", "b").replace("♯", "#") == name
    grips = {
        (str(entry.chord), entry.grip.frets, found.title): found.bars
        for entry in grip_index(tunes)
        for found in entry.entries
    }
    played: dict[tuple[str, tuple[int | None, ...], str], list[int]] = {}
    for tune, data in zip(tunes, reports, strict=True):
        for chord in data["chords"]:
            if chord["grip"] is not None:
                place = (chord["symbol"], tuple(chord["grip"]["frets"]), tune.title)
                bars = played.setdefault(place, [])
                if chord["bar"] not in bars:
                    bars.append(chord["bar"])
    assert grips == {place: ", ".join(map(str, bars)) for place, bars in played.items()}


def test_orders(tunes: list[BookTune]) -> None:
    titles = [tune.title for tune in in_order(tunes, lambda tune: tune, "title")]
    assert titles.index("Ledger Blues") < titles.index("The Long Platform")
    assert titles.index("The Long Platform") < titles.index("Slate Roofs")
    hard = [tune.difficulty for tune in in_order(tunes, lambda tune: tune, "difficulty")]
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


@pytest.mark.slow
def test_processes_make_the_same_bytes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for number in range(3):
        (tmp_path / f"{number}.txt").write_text(f"Title: T{number}\n| Dm7 | G7 | C6 | % |\n")
    (tmp_path / "bad.txt").write_text("| Q7 |\n")
    asked = ["book", str(tmp_path), "--keep-going", "-q", "--drills", "-o"]
    assert run([*asked, str(tmp_path / "one.pdf"), "--jobs", "1"]) == 1
    assert run([*asked, str(tmp_path / "two.pdf"), "--jobs", "2"]) == 1
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()
    assert capsys.readouterr().err.count("bad.txt:1:3") == 2


def test_a_long_title_stands_in_several_lines_of_the_contents_at_full_size() -> None:
    """And a page of the grips is not parted from its `p.`."""
    title = "A Very Long Recollection of an Afternoon at the Ferry While It Rained " * 2
    chart = midneck.chart(f"Title: {title.strip()}\n\n| Dm7 | G7 | C6 |\n").comping
    document = bound([chart], PageStyle())
    contents = [item for item in document.pages[1].items if isinstance(item, Text)]
    lines = [item for item in contents if item.string and item.string in title]
    assert len(lines) == 2
    assert {span.size for line in lines for span in line.spans} == {10.0}
    assert [item.string for item in contents if item.y == lines[-1].y][-1] == "1"
    said = [item.string for page in document.pages for item in page.items if isinstance(item, Text)]
    assert any(each.endswith("p. 1") for each in said)
    assert not any(each.endswith("p.") for each in said)
