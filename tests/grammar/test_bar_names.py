"""Bars by name: numbers, sections, their second playing, and what is said of others."""

from __future__ import annotations

import pytest
from midneck.grammar.bar_names import BarsError, find_bars, named_bars
from midneck.grammar.text.reader import read_sheet

#: Bar 0 is a pickup; the second A is written out, the third plays it again.
SHEET = read_sheet(
    """Title: Ash Lane

Intro:
| G7 (pickup) |
| Cmaj7 | Dm7 G7 ||

A:
| Cmaj7 | A7 | Dm7 | G7 ||

A:
| Cmaj7 | A7 | Dm7 | G7 ||

B:
| Fmaj7 | Fm6 |

Key: Eb
| Fm7 | Bb7 ||

A: again
"""
)


@pytest.mark.parametrize(
    ("text", "bars"),
    [
        ("7", (7, 7)), ("3-6", (3, 6)), ("3–6", (3, 6)), (" 9 ", (9, 9)),
        ("Intro", (0, 2)), ("intro", (0, 2)), ("A", (3, 6)), ("a", (3, 6)), ("A2", (7, 10)),
        ("A3", (7, 10)), ("B", (11, 14)), ("99", (99, 99)),
    ],
)  # fmt: skip
def test_bars_are_found(text: str, bars: tuple[int, int]) -> None:
    assert find_bars(SHEET, text) == bars


@pytest.mark.parametrize("text", ["C", "B2", "A0", "", "-", "3-", "-3", "3-B", "²"])
def test_what_names_no_bars_lists_the_sections(text: str) -> None:
    expected = f"{text!r} names no bars; give numbers, as 7 or 9-16, or a section: Intro, A, A2"
    with pytest.raises(BarsError) as raised:
        find_bars(SHEET, text)
    assert str(raised.value) == f"{expected}, B, A3"


def test_a_tune_without_names_says_so() -> None:
    sheet = read_sheet("| Dm7 | G7 |\n")
    with pytest.raises(BarsError, match="no section of this tune has a name"):
        find_bars(sheet, "B")


def test_a_label_with_a_number_keeps_it() -> None:
    """A section that is called A2 is A2; the second A is then A3."""
    sheet = read_sheet("A:\n| C6 ||\nA2:\n| F6 ||\nA:\n| G7 ||\n")
    assert named_bars(sheet) == {"A": (1, 1), "A2": (2, 2), "A3": (3, 3)}
