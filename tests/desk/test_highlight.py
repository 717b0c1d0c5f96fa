"""Marks of the editor: words by kind, mistakes by range, and fixes that mend what they say."""

from __future__ import annotations

import pytest
from midneck.grammar import mistakes
from midneck.grammar.errors import Problem, SheetError
from midneck.grammar.text.reader import read_sheet
from midneck.render.desk.highlight import fixes, marks, mended, mistake_range

TEXT = "# Remark\nTitle: Short\nKey: C\n\nA: | Dm7<x 5 3 5 x x> G7 | Cmaj7 D.C. al Fine |\n"


def test_words_are_marked_by_kind() -> None:
    found = [(mark.kind, TEXT[mark.start : mark.end]) for mark in marks(TEXT)]
    assert found == [
        ("comment", "# Remark"),
        ("name", "Title"),
        ("words", "Short"),
        ("name", "Key"),
        ("words", "C"),
        ("label", "A"),
        ("bar-line", "|"),
        ("chord", "Dm7"),
        ("pin", "<x 5 3 5 x x>"),
        ("chord", "G7"),
        ("bar-line", "|"),
        ("chord", "Cmaj7"),
        ("sign", "D.C. al Fine"),
        ("bar-line", "|"),
    ]


def problems_of(text: str) -> tuple[Problem, ...]:
    try:
        read_sheet(text)
    except SheetError as error:
        return error.problems
    return ()


def examples() -> list[tuple[str, Problem, str]]:
    """Every example of a mistake that has a fix, with the mistake and the fix."""
    found = vars(mistakes).items()
    tables = [table for name, table in found if name.endswith("_MISTAKES") and name[:3] != "MAX"]
    texts = {text for table in tables for row in table.values() for text in row.examples}
    return [
        (text, problem, fix)
        for text in sorted(texts)
        for problem in problems_of(text)
        for fix in fixes(problem)
    ]


def test_every_fix_mends_its_mistake() -> None:
    found = examples()
    assert len(found) > 10
    worse = [
        (text, fix, mended(text, problem, fix))
        for text, problem, fix in found
        if len(problems_of(mended(text, problem, fix))) >= len(problems_of(text))
    ]
    assert worse == []


@pytest.mark.parametrize(
    ("text", "wrong"), [("| Cm7 | Qm7 |\n", "Qm7"), ("Key: Hb\n| C |\n", "Hb"), ("| C | F", "F")]
)
def test_the_offending_text_is_underlined(text: str, wrong: str) -> None:
    problems = problems_of(text)
    for problem in problems:
        start, end = mistake_range(text, problem)
        assert 0 <= start < end <= len(text)
        assert text[start:end].startswith(problem.text[:1]) or not problem.text
        assert problem.text in wrong
