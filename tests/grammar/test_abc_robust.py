"""Any text is read as ABC or refused with a `SheetError`; what is read can be written and read."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from midneck.grammar.abc import read_abc
from midneck.grammar.errors import SheetError
from midneck.grammar.sheet import Sheet
from midneck.grammar.text.reader import read_sheet
from midneck.grammar.text.writer import write_sheet
from support.abc_tunes import abc_tune

pytestmark = pytest.mark.slow

PIECES = st.sampled_from(
    ["|", ":|", "|:", "::", "|]", "||", "[1", "[2", "|1", "|2", '"Am7"', '"D7"', '"N.C."', '"^x"',
     '"', "A2", "z4", "Z3", "c>d", "(3abc", "[CE]", "{g}", "!segno!", "!D.C.!", "!coda!", "H", "&",
     "[K:G]", "[M:3/4]", "\n", "\nP:A\n", "\nP:B\n", "\nV:2\n", "\nw: la\n", "4", "/", "^",
     " ", "%"]
)  # fmt: skip


def read(text: str) -> Sheet | None:
    try:
        return read_abc(text)
    except SheetError:
        return None


@given(st.text(max_size=200))
@settings(max_examples=150, deadline=None)
def test_any_text_raises_only_our_error(text: str) -> None:
    read(text)
    read(f"X:1\nM:4/4\nK:C\n{text}")


@given(st.lists(PIECES, max_size=30).map("".join), st.sampled_from(["", "P:AB\n", "M:3/4\n"]))
@settings(max_examples=300, deadline=None)
def test_pieces_of_the_notation_raise_only_our_error_and_come_back(body: str, field: str) -> None:
    sheet = read(f"X:1\nT:Pieces\n{field}L:1/4\nK:C\n{body}\n")
    if sheet is not None:
        text = write_sheet(sheet)
        assert write_sheet(read_sheet(text)) == text


@given(st.integers(0, 500), st.data())
@settings(max_examples=100, deadline=None)
def test_a_tune_with_one_character_changed_raises_only_our_error(
    seed: int, data: st.DataObject
) -> None:
    text = abc_tune(seed).text
    at = data.draw(st.integers(0, len(text) - 1))
    read(text[:at] + data.draw(st.sampled_from('|:[]"(){}<>/0 9z!%&\n~')) + text[at + 1 :])
