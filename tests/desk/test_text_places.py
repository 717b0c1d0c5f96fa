"""The bar of every cursor place of a text, and the place of every bar."""

from __future__ import annotations

import pytest
from midneck.grammar.errors import SourcePosition
from midneck.grammar.text.reader import read_sheet
from midneck.render.desk.page_panel import _bar as clicked_bar
from midneck.render.desk.text_places import bar_at, bar_at_beat_share, place_of

TEXT = """Title: X
Key: C

A:
|: C6|Dm7 G7 |1. C6 :|2.   C6 ||
# between
 | % |Am7 |
B: | C | N.C. |

A:

"""
#: The number of the bar at each cursor place of each line of `TEXT`.
BARS = (
    "1" * 9,
    "1" * 7,
    "1",
    "111",
    "111111" + "22222222" + "33333333" + "44444444444",
    "5" * 10,
    "555555" + "666666",
    "77777777" + "88888888",
    "8",
    "111",
    "8",
    "8",
)
SHEET = read_sheet(TEXT)


@pytest.mark.parametrize(
    ("clicked", "number"),
    [
        ({"bar": 3}, 3), ({"bar": 99}, None), ({"share": 0}, 1), ({"share": 0.99}, 8),
        ({"share": 7.5}, 8), ({"share": -1}, 1), ({"share": "x", "bar": 2}, 2), ({}, None),
    ],
)  # fmt: skip
def test_a_click_means_the_bar_of_its_number_or_of_its_share_of_the_beats(
    clicked: dict[str, object], number: int | None
) -> None:
    at = clicked_bar(clicked, SHEET)
    assert (None if at is None else SHEET.bars[at].number) == number


def test_every_cursor_place_has_a_bar() -> None:
    found = [
        "".join(
            str(SHEET.bars[bar].number)
            for column in range(1, len(line) + 2)
            if (bar := bar_at(SHEET, TEXT, SourcePosition(number, column))) is not None
        )
        for number, line in enumerate(TEXT.split("\n"), 1)
    ]
    assert found == list(BARS)


@pytest.mark.parametrize("bar", range(len(SHEET.bars)))
def test_the_place_of_a_bar_is_in_it(bar: int) -> None:
    assert bar_at(SHEET, TEXT, place_of(SHEET, TEXT, bar)) == bar


def test_a_pickup_and_a_sheet_whose_text_has_changed() -> None:
    text = "Time: 4/4\n\n(G7) | C6 | F6 |\n"
    sheet = read_sheet(text)
    assert bar_at(sheet, text, SourcePosition(3, 3)) == 0
    assert bar_at(sheet, "", SourcePosition(3, 40)) == 2
    assert bar_at(sheet, "", SourcePosition(9, 1)) == 2


def test_a_share_of_the_beats_is_a_bar() -> None:
    shares = (0.0, 0.1, 0.24, 0.26, 0.9, 1.0)
    sheet = read_sheet("| C | F | G | C |\n")
    assert [bar_at_beat_share(sheet, share) for share in shares] == [0, 0, 0, 1, 3, 3]
