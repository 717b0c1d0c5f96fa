"""Limits are counted over the whole file, before anything is expanded, whoever reads it."""

from __future__ import annotations

import tracemalloc
from dataclasses import replace

import pytest
from midneck.grammar.abc import read_abc
from midneck.grammar.errors import SheetError
from midneck.grammar.form.unfold import unfold
from midneck.grammar.limits import (
    MAX_BARS,
    MAX_CHORDS,
    MAX_LINE,
    MAX_LINES,
    MAX_METER_BEATS,
    MAX_PLAYED,
    MAX_REST_BARS,
    MAX_SYMBOL,
    MAX_TEXT,
    MAX_TIMES,
)
from midneck.grammar.text import format_text
from midneck.grammar.text.reader import read_sheet

#: A bar of 512 beats with a chord on each.
FULL_BAR = " ".join(["C", "F"] * 256)

#: What a small file asks for → the label of its refusal.
REFUSED = {
    "a long section recalled": ("A:\n" + "| C " * 2000 + "|\n" + "A: again\n" * 19_000, "too-long"),
    "chords recalled": (
        f"Time: 512/4\nA:\n| {FULL_BAR} |\n" + "A: again\n" * 300,
        "played-chords",
    ),
    "chords repeated": (
        f"Time: 512/4\n|: {FULL_BAR} | {FULL_BAR} | {FULL_BAR} :|100x",
        "played-chords",
    ),
    "chords played by %": (f"Time: 512/4\n| {FULL_BAR} |" + " % |" * 300, "played-chords"),
    "beats of long bars": ("Time: 512/64\n|" + "C |" * 400, "played-beats"),
    "beats recalled": ("Time: 512/4\nA:\n| C |\n" + "A: again\n" * 400, "played-beats"),
    "beats repeated": ("Time: 512/4\n|: C | -3- :|99x", "played-beats"),
    "rests of many bars": ("|" + f"-{MAX_REST_BARS}-|" * 1000, "too-many-bars"),
    "rests repeated": (f"|: C | -{MAX_REST_BARS}- :|99x", "too-long"),
    "a long title": ("Title: " + "x" * (MAX_TEXT + 1) + "\n| C |", "text-too-long"),
    "a long title without a name": ("a " * MAX_TEXT + "\n| C |", "text-too-long"),
    "a long text for the player": ('| C |\n"' + "x" * (MAX_TEXT + 1) + '"', "text-too-long"),
    "a long remark": ("| C |\n#" + "x" * (MAX_TEXT + 1), "text-too-long"),
    "a long header": ("Mood: " + "x" * (MAX_TEXT + 1) + "\n| C |", "text-too-long"),
    "a long line": ("|" + "<" * MAX_LINE, "line-too-long"),
    "bars on one line": ("|" + "C |" * MAX_LINE, "line-too-long"),
}


@pytest.mark.parametrize(("text", "label"), REFUSED.values(), ids=REFUSED.keys())
def test_what_would_be_too_much_is_refused_once(text: str, label: str) -> None:
    with pytest.raises(SheetError, match=r"longer than|more than") as caught:
        read_sheet(text)
    assert [problem.label for problem in caught.value.problems] == [label]


def test_a_sheet_made_by_hand_has_the_same_limits_and_is_not_expanded_first() -> None:
    """Expanded, the form has 10 million bars."""
    sheet = read_sheet("A:\n" + "| C " * 100 + "|\nA: again\n")
    again = sheet.sections[-1]
    many = replace(sheet, sections=(sheet.sections[0], *[again] * 100_000))
    tracemalloc.start()
    with pytest.raises(SheetError, match="longer than 50000 bars"):
        unfold(many)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 5_000_000


@pytest.mark.parametrize(
    ("body", "label"),
    [(f'"C"Z{MAX_REST_BARS}|' * 60, "too-many-bars"), ("|" + "C" * MAX_LINE, "line-too-long")],
)
def test_abc_has_the_same_limits(body: str, label: str) -> None:
    with pytest.raises(SheetError, match=r"longer than|more than") as caught:
        read_abc(f"X:1\nK:C\n{body}")
    assert [problem.label for problem in caught.value.problems] == [label]


def test_the_description_of_the_format_states_the_limits() -> None:
    described = format_text().partition("## Limits")[2]
    most = (MAX_BARS, MAX_LINES, MAX_LINE, MAX_TEXT, MAX_SYMBOL, MAX_REST_BARS, MAX_PLAYED)
    for limit in (*most, MAX_CHORDS, MAX_TIMES, MAX_METER_BEATS):
        assert f" {limit:,}" in described.replace("\n", " ")
