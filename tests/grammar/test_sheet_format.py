"""The manual of the written form: its examples read, and it names all that the grammar reads."""

from __future__ import annotations

from itertools import groupby

import pytest
from midneck.grammar.text import format_text
from midneck.grammar.text.reader import read_sheet
from midneck.grammar.text.source import KNOWN_NAMES
from midneck.grammar.text.tokens import TokenKind


def _is_example(line: str) -> bool:
    return not line or line.startswith("    ")


TEXT = format_text()
LINES = TEXT.splitlines()
EXAMPLES = [
    "\n".join(line[4:] for line in lines)
    for example, lines in groupby(LINES, lambda line: _is_example(line))
    if example
    for lines in [list(lines)]
    if any(lines)
]

SAID = {
    "chord": "Chord symbols", "slashes": "A slash is", "silence": "N.C.", "simile": "% plays",
    "long_simile": "%% the two", "long_rest": "-4-", "pickup": "(pickup)", "push": "(push)",
    "hold": "(hold)", "pin": "<10 x", "length": "C6=1.5", "segno": "Segno", "coda": "Coda",
    "to_coda": "To Coda", "fine": "Fine", "jump": "D.S.", "optional_open": "(G7)",
    "open_pin": "", "stray": "",
    "numeral": "", "mode": "", "unknown": "",
}  # fmt: skip


@pytest.mark.parametrize("text", EXAMPLES)
def test_every_example_reads(text: str) -> None:
    assert read_sheet(text).bars


def test_every_topic_has_an_example() -> None:
    topics = TEXT.split("\n## ")[1:]
    assert len(topics) == 13
    assert [topic.split("\n")[0] for topic in topics if "\n    " not in topic] == []


def test_every_kind_of_word_and_header_is_told() -> None:
    assert set(SAID) == set(TokenKind.__args__)
    for said in [*SAID.values(), *KNOWN_NAMES]:
        assert said in TEXT


def test_it_fits_a_terminal() -> None:
    assert max(len(line) for line in LINES) <= 80
