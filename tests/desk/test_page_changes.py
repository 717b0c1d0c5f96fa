"""The parts of a page that changed, put into the page before, give the page after."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest
from midneck.render.desk.choices import Choices
from midneck.render.desk.page_changes import PageParts, parts_of, splices_between
from midneck.render.desk.work import work_out
from support.charts import example_texts

TEXTS = example_texts()
#: One symbol of a tune is changed, added or taken out, or the title is.
EDITS = [("7 ", "7b9 "), ("| ", "| C6 ", 1), ("Title: ", "Title: The "), ("m7 ", "m9 ")]


def pages_of(text: str) -> tuple[str, ...]:
    return work_out(text, Choices()).pages


def spliced(before: PageParts, after: PageParts) -> tuple[str, ...]:
    """What the browser makes of the page before."""
    parts = list(before.parts)
    for one in splices_between(before, after) or ():
        parts[one.start : one.start + one.removed] = [one.added] if one.added else []
    return tuple("\n".join(parts).split("\n"))


@pytest.mark.parametrize("name", sorted(TEXTS))
def test_the_parts_are_the_elements_at_the_top_of_the_picture(name: str) -> None:
    for page in pages_of(TEXTS[name]):
        found = parts_of(page)
        root = ET.fromstring(page)
        assert len(found.parts) == len(root)
        for part, element in zip(found.parts, root, strict=True):
            one = ET.fromstring(f"{found.head}{part}</svg>")[0]
            assert ET.tostring(one).strip() == ET.tostring(element).strip()


@pytest.mark.parametrize("name", sorted(TEXTS))
@pytest.mark.parametrize("edit", EDITS, ids=str)
def test_parts_that_changed_make_the_page_after(name: str, edit: tuple) -> None:
    before = pages_of(TEXTS[name])
    after = pages_of(TEXTS[name].replace(*edit, *(() if len(edit) == 3 else (1,))))
    for old, new in zip(before, after, strict=False):
        one, other = parts_of(old), parts_of(new)
        assert spliced(one, other) == tuple("\n".join(other.parts).split("\n"))
        sent = sum(len(splice.added) for splice in splices_between(one, other) or ())
        assert sent < len(new)


def test_another_paper_and_a_first_page_are_sent_whole() -> None:
    [page, *_] = pages_of(TEXTS[min(TEXTS)])
    found = parts_of(page)
    assert splices_between(PageParts("", ()), found) is None
    assert splices_between(PageParts(found.head.replace("595", "420"), found.parts), found) is None
    assert splices_between(found, found) == []


def test_a_part_that_is_gone_leaves_the_parts_between_two_changes_alone() -> None:
    found = splices_between(PageParts("", tuple("abcdefgh")), PageParts("", tuple("aXcdegh")))
    assert [(one.start, one.removed, one.added) for one in found or ()] == [(5, 1, ""), (1, 1, "X")]


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
    [splice] = splices_between(PageParts("", tuple(old)), PageParts("", tuple(new))) or ()
    assert (splice.start, splice.removed, splice.added) == (start, removed, added)


def test_each_run_of_parts_that_differ_is_spliced_the_last_first() -> None:
    found = splices_between(PageParts("", tuple("abcdef")), PageParts("", tuple("aXYdeZ")))
    assert [(one.start, one.removed, one.added) for one in found or ()] == [
        (5, 1, "Z"), (1, 2, "X\nY"),
    ]  # fmt: skip
