"""Sections as scores have them in a sheet's text: without a label, or with the label of a sign."""

from __future__ import annotations

from dataclasses import replace

import pytest
from midneck.grammar.form.unfold import unfold
from midneck.grammar.sheet import Section, Sheet
from midneck.grammar.text.reader import read_sheet
from midneck.grammar.text.writer import write_sheet

SHEET = read_sheet("A:\n| C | F | G |\n# below\nB:\n| Am |\nA: again\n")
A, B, AGAIN = SHEET.sections
UNSEEN = replace(A, label="", first=1, count=2, text=("softly",))


def written(sheet: Sheet, *sections: Section) -> str:
    """The text of a sheet with other sections, below its meter."""
    return write_sheet(replace(sheet, sections=sections)).partition("\n\n")[2]


def test_a_section_that_nothing_begins_goes_to_the_one_before() -> None:
    text = written(SHEET, replace(A, count=1), UNSEEN, B, replace(AGAIN, recalls=0))
    assert text == '# below\nA:\n"softly"\n| C | F | G |\n\nB:\n| Am |\n\nA: again\n'
    assert [section.count for section in read_sheet(text).sections] == [3, 1, 0]


def test_what_is_played_again_and_remarks_keep_their_sections() -> None:
    """The section that is recalled has another number once the one before it is gone."""
    text = written(SHEET, replace(A, count=1), UNSEEN, B, replace(AGAIN, label="B", recalls=2))
    assert text.endswith("B:\n| Am |\n\nB: again\n")
    sheet = read_sheet("A:\n| C | F |\n# one\nB:\n| Am |\n# two\nC:\n| G |\n# three\n")
    first, second, third = sheet.sections
    text = written(sheet, first, replace(second, label=""), third)
    assert text == "# one\nA:\n| C | F | Am |\n\n# two\nC:\n| G |\n# three\n"


def test_a_section_without_a_label_behind_one_that_is_played_again_stays() -> None:
    sheet = read_sheet("A:\n| C |\nA: again\nB:\n| Am |\n")
    first, again, last = sheet.sections
    text = written(sheet, first, again, replace(last, label=""))
    assert [section.count for section in read_sheet(text).sections] == [1, 0, 1]


@pytest.mark.parametrize(
    ("labels", "lines"),
    [
        (("Coda", "Coda", "Coda"), ["Coda:", "Coda.:", "Coda: again"]),
        (("Coda", "B", "Coda"), ["Coda:", "B:", "Coda: again"]),
        (("A", "coda", "A"), ["A:", "coda:", "A: again"]),
    ],
)
def test_only_one_section_has_the_label_of_the_sign(labels: list[str], lines: list[str]) -> None:
    sections = [
        replace(each, label=name) for each, name in zip(SHEET.sections, labels, strict=True)
    ]
    text = written(SHEET, *sections)
    assert [line for line in text.splitlines() if ":" in line] == lines


def test_the_label_of_the_sign_is_where_the_sign_is() -> None:
    sheet = read_sheet("A:\n| C | F To Coda |\nB:\n| F D.C. al Coda |\nCoda:\n| G |\n")
    first, second, coda = sheet.sections
    text = written(sheet, replace(first, label="CODA"), second, coda)
    assert [line for line in text.splitlines() if ":" in line] == ["CODA.:", "B:", "Coda:"]
    assert [bar.coda for bar in read_sheet(text).bars] == [False, False, False, True]


#: A form, the labels that are typed below it, and the labels in the order of the sheet; "" where
#: the form orders something else, so that all is played as it stands.
FORMS = [
    ("AABA", "AB", "AABA"), ("AABA", "IAB", "IAABA"), ("AABA", "ABC", "AABAC"),
    ("AABA", "AABA", "AABA"), ("ABAB", "AB", "ABAB"), ("AABA", "IABZ", "IAABAZ"),
    ("AABA", "ABA", ""), ("AABA", "ABCA", ""), ("AABA", "ABAC", ""), ("ABC", "AB", ""),
    ("AB", "BA", ""), ("AABA", "AIB", ""),
]  # fmt: skip


@pytest.mark.parametrize(("form", "typed", "order"), FORMS)
def test_a_form_orders_the_sections_that_are_typed_once(form: str, typed: str, order: str) -> None:
    sections = "".join(f"{label}:\n| {label if label in 'ABC' else 'G'} |\n" for label in typed)
    sheet = read_sheet(f"Form: {form}\n{sections}")
    assert "".join(section.label for section in sheet.sections) == (order or typed)
    assert bool(sheet.warnings) is not bool(order)


@pytest.mark.parametrize(
    ("form", "typed", "order"),
    [
        ("AABA", ["A", "Bridge"], ["A", "A", "Bridge", "A"]),
        ("VVBV", ["Verse", "Bridge"], ["Verse", "Verse", "Bridge", "Verse"]),
        ("A A Bridge A", ["A", "Bridge"], ["A", "A", "Bridge", "A"]),
        ("AABA", ["A", "B", "Bridge"], ["A", "A", "B", "A", "Bridge"]),
        ("AABA", ["A", "Blues"], []),
    ],
)
def test_a_form_names_a_bridge_by_its_letter(form: str, typed: list[str], order: list[str]) -> None:
    sections = "".join(f"{label}:\n| C | F |\n" for label in typed)
    sheet = read_sheet(f"Form: {form}\n{sections}")
    assert [section.label for section in sheet.sections] == (order or typed)
    assert bool(sheet.warnings) is not bool(order)


BODY = "A:\n| C | F | G | C |\nB:\n| Am | F | G | C |\n"


@pytest.mark.parametrize("label", ["intro", "Introduction", "lead in", "Vamp", "Intro 2"])
def test_what_is_played_once_before_the_chorus(label: str) -> None:
    form = unfold(read_sheet(f"{label}:\n| F | G |\n{BODY}"))
    assert (len(form.opening), len(form.ending)) == (2, 0)


@pytest.mark.parametrize(
    "label", ["coda", "Tag", "outro", "Ending", "end", "vamp", "last time", "Tag 2"]
)
def test_what_is_played_once_after_the_last_chorus(label: str) -> None:
    form = unfold(read_sheet(f"{BODY}{label}:\n| F | G |\n"))
    assert (len(form.opening), len(form.ending)) == (0, 2)


@pytest.mark.parametrize("label", ["C", "Bridge", "interlude", "solos"])
def test_another_section_belongs_to_the_chorus(label: str) -> None:
    for text in (f"{label}:\n| F | G |\n{BODY}", f"{BODY}{label}:\n| F | G |\n"):
        form = unfold(read_sheet(text))
        assert (len(form.opening), len(form.ending)) == (0, 0)
