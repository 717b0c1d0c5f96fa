"""Whatever is read, the reader answers with a sheet or with SheetError."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st
from midneck.grammar.errors import SheetError
from midneck.grammar.form.unfold import unfold
from midneck.grammar.text.encoding import decode
from midneck.grammar.text.reader import read_sheet
from midneck.grammar.text.source import source_lines
from midneck.grammar.text.writer import write_sheet
from support.sheets import refused, sheet_texts, without_places

WORDS = st.sampled_from(
    [
        *(
            "|",
            "||",
            "|:",
            ":|",
            ":|3x",
            "|1.",
            "|2.",
            "|1,2.",
            ":|:",
            "%",
            "%%",
            "/",
            "//",
            "1",
            "x",
        ),
        *("N.C.", "C", "F#m7b5", "Bb/D", "Gm7(b9)", "H", "Dm7<10 x 10 10 x x>", "<", ">", "(", ")"),
        *("(push)", "(hold)", "(pickup)", "=1.5", "=0", "-4-", "Segno", "Coda", "Fine", "To Coda"),
        *("D.C.", "D.S.", "al", "D.S. al Coda", "D.C. al Fine", '"', "“", "#", "A:", "B:", "[A]"),
        *("A: again", "Key:", "Key: F", "Time: 3/4", "Time:", "Tempo: 0", "Title: x", ":", "♭"),
        *("△", "｜", "}", "\t", "é", "𝄆", "𝄇", "999999999"),
    ]
)
GAPS = st.sampled_from(("", " ", " ", "\n", "\n", "\r\n"))
SOUP = st.lists(st.tuples(WORDS, GAPS), max_size=60).map(
    lambda pairs: "".join(word + gap for word, gap in pairs)
)


def read_or_refuse(text: str) -> None:
    error = refused(text, "soup")
    if error is None:
        keeps_everything(text)
        return
    lines = source_lines(text)
    assert error.problems
    assert str(error).startswith("soup:")
    for problem in error.problems:
        assert problem.label
        assert problem.message
        assert problem.line == 0 or problem.source == lines[problem.line - 1]
        assert 0 <= problem.column <= len(problem.source) + 1


def keeps_everything(text: str) -> None:
    sheet = read_sheet(text)
    assert set(unfold(sheet).bars) == set(range(len(sheet.bars)))
    written = write_sheet(sheet, keep_spelling=True)
    assert without_places(read_sheet(written)) == without_places(sheet)
    assert write_sheet(read_sheet(written), keep_spelling=True) == written


@given(st.text())
def test_any_text(text: str) -> None:
    read_or_refuse(text)


@given(SOUP)
def test_soup_of_the_words_of_sheets(text: str) -> None:
    read_or_refuse(text)


@given(SOUP)
def test_soup_below_a_good_start(text: str) -> None:
    read_or_refuse(f"Title: x\nA:\n| C | F |\n{text}")


@pytest.mark.slow
@given(sheet_texts(), st.data())
def test_good_sheets_with_something_changed(text: str, data: st.DataObject) -> None:
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(text)))
        cut = data.draw(st.integers(0, 4))
        text = text[:at] + data.draw(st.one_of(WORDS, st.text(max_size=2))) + text[at + cut :]
    read_or_refuse(text)


@given(st.binary(max_size=200))
def test_any_bytes(data: bytes) -> None:
    with suppress(SheetError):
        read_or_refuse(decode(data, "bytes").text)
