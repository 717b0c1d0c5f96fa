"""The parts of a page that changed, put into the page before, give the page after."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest
from midneck.render.desk.choices import Choices
from midneck.render.desk.page_changes import (
    LinePart,
    PageChange,
    PageParts,
    Part,
    change_between,
    parts_of,
)
from midneck.render.desk.work import work_out
from support.charts import example_texts

TEXTS = example_texts()
#: One symbol of a tune is changed, added or taken out, or the title is.
EDITS = [("7 ", "7b9 "), ("| ", "| C6 ", 1), ("Title: ", "Title: The "), ("m7 ", "m9 ")]


def pages_of(text: str) -> tuple[str, ...]:
    return work_out(text, Choices()).pages


def changed(before: PageParts, change: PageChange) -> tuple[Part, ...]:
    """What the browser makes of the page before."""
    parts = list(before.parts)
    for line, place in change.moves:
        moved = parts[line]
        assert isinstance(moved, LinePart)
        parts[line] = LinePart(place, moved.parts)
    for one in change.splices:
        if one.line is None:
            parts[one.start : one.start + one.removed] = parts_of(
                f"<svg>\n{one.added}\n</svg>"
            ).parts
            continue
        line = parts[one.line]
        assert isinstance(line, LinePart)
        inside = list(line.parts)
        added = parts_of(f"<svg>\n{one.added}\n</svg>").parts
        inside[one.start : one.start + one.removed] = map(str, added)
        parts[one.line] = LinePart(line.place, tuple(inside))
    return tuple(parts)


def page(parts: str, *lines: str) -> PageParts:
    """A page of parts of a letter each, and of lines of such parts behind them."""
    return PageParts("", (*parts, *(LinePart("", tuple(line)) for line in lines)))


def sent(before: PageParts, after: PageParts) -> list[tuple[int | None, int, int, str]]:
    """The splices between two pages."""
    change = change_between(before, after)
    assert change is not None
    return [(one.line, one.start, one.removed, one.added) for one in change.splices]


@pytest.mark.parametrize("name", sorted(TEXTS))
def test_the_parts_are_the_elements_at_the_top_of_the_picture_and_in_its_lines(name: str) -> None:
    for text in pages_of(TEXTS[name]):
        found = parts_of(text)
        root = ET.fromstring(text)
        elements = [
            element.findall("*") if element.get("class") == "line" else [element]
            for element in root
        ]
        parts = [part.parts if isinstance(part, LinePart) else (part,) for part in found.parts]
        places = [part.place for part in found.parts if isinstance(part, LinePart)]
        lines = [element for element in root if element.get("class") == "line"]
        assert places == [line.get("transform") for line in lines]
        assert found.count == len(root) + sum(map(len, lines))
        for of_part, of_element in zip(parts, elements, strict=True):
            for part, element in zip(of_part, of_element, strict=True):
                one = ET.fromstring(f"{found.head}{part}</svg>")[0]
                assert ET.tostring(one).strip() == ET.tostring(element).strip()


@pytest.mark.parametrize("name", sorted(TEXTS))
@pytest.mark.parametrize("edit", EDITS, ids=str)
def test_parts_that_changed_make_the_page_after(name: str, edit: tuple) -> None:
    before = pages_of(TEXTS[name])
    after = pages_of(TEXTS[name].replace(*edit, *(() if len(edit) == 3 else (1,))))
    for old, new in zip(before, after, strict=False):
        one, other = parts_of(old), parts_of(new)
        change = change_between(one, other)
        assert change is not None
        assert change.count == one.count
        assert changed(one, change) == other.parts
        assert sum(len(splice.added) for splice in change.splices) < len(new)


def test_a_line_that_moves_is_sent_as_its_place() -> None:
    bars = "\n".join(["A:", *["| Cmaj7 | Am7 | Dm7 | G7 |"] * 3]) + "\n"
    low = pages_of(f"Title: One\n\n{bars}")[0]
    [first, *_] = [part for part in parts_of(low).parts if isinstance(part, LinePart)]
    high = low.replace(first.place, "translate(0 99)")
    change = change_between(parts_of(low), parts_of(high))
    assert change is not None
    assert [place for _, place in change.moves] == ["translate(0 99)"]
    assert not change.splices


def test_another_paper_and_a_first_page_are_sent_whole() -> None:
    [text, *_] = pages_of(TEXTS[min(TEXTS)])
    found = parts_of(text)
    assert change_between(PageParts("", ()), found) is None
    assert change_between(PageParts(found.head.replace("595", "420"), found.parts), found) is None
    assert change_between(found, found) == PageChange(found.count, (), ())


def test_a_part_that_is_gone_leaves_the_parts_between_two_changes_alone() -> None:
    assert sent(page("abcdefgh"), page("aXcdegh")) == [(None, 5, 1, ""), (None, 1, 1, "X")]


@pytest.mark.parametrize(
    ("old", "new", "start", "removed", "added"),
    [
        ("abc", "abxc", 2, 0, "x"),
        ("abxc", "abc", 2, 1, ""),
        ("abc", "abcd", 3, 0, "d"),
        ("abc", "dabc", 0, 0, "d"),
        ("aaa", "aa", 2, 1, ""),
        ("aa", "aaa", 2, 0, "a"),
        ("abcd", "axyzd", 1, 2, "x\ny\nz"),
    ],
)
def test_one_run_is_spliced_where_the_number_of_parts_differs(
    old: str, new: str, start: int, removed: int, added: str
) -> None:
    assert sent(page(old), page(new)) == [(None, start, removed, added)]
    assert sent(page("", "x", old), page("", "x", new)) == [(1, start, removed, added)]


def test_parts_that_differ_are_spliced_the_last_first() -> None:
    assert sent(page("abcdef"), page("aXYdeZ")) == [
        (None, 5, 1, "Z"), (None, 2, 1, "Y"), (None, 1, 1, "X"),
    ]  # fmt: skip
    assert sent(page("a", "bc", "de"), page("A", "bC", "De")) == [
        (2, 0, 1, "D"), (1, 1, 1, "C"), (None, 0, 1, "A"),
    ]  # fmt: skip


def test_a_line_that_comes_takes_no_other_with_it() -> None:
    new = '<g class="line" transform="">\nx\n</g>'
    assert sent(page("a", "bc"), page("a", "x", "bc")) == [(None, 1, 0, new)]
    assert sent(page("a", "bc", "x"), page("a", "bc")) == [(None, 2, 1, "")]
